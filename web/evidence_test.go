package web

import (
	"archive/zip"
	"bytes"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"soloright/api"
	"soloright/content"
	"soloright/quiz"
	"soloright/scoring/clearance"
	"soloright/scoring/ledger"
)

// walked clears a person on a procedure without prerequisites: a sitting by its
// form, and then, each act with its entry, a rebuild that both signed.
func (s *site) walked(person, token, procedure string) {
	s.t.Helper()
	policy := clearance.DefaultPolicy()
	policy.Tries, policy.WaitDays = 20, 0
	if _, err := s.app.SetPolicy(s.t.Context(), api.Operator(), api.SetPolicy{Procedure: procedure, Policy: policy}); err != nil {
		s.t.Fatal(err)
	}
	sitting := s.open(token, procedure, api.Qualifying)
	s.answer(token, sitting, func(int, quiz.Item) bool { return true })
	s.post("/sittings/"+sitting+"/hand-in", token, nil)
	now, digest, id, assessor := s.now(), strings.Repeat("ab", 32), "walked-"+person, s.person[api.Trainer].ID
	sign := func(who string, m clearance.Meaning) clearance.Act {
		return clearance.Signed{Covers: clearance.Covered{Kind: clearance.CoversRebuild, ID: id, Digest: digest}, Signer: who, Role: "as printed", Meaning: m, Technician: person, Proof: "password"}
	}
	s.attested(assessor, procedure, clearance.AssessorAppointed{Appointment: id + "-a", Assessor: assessor, Procedure: procedure, From: content.DateOf(now), Reason: "knows <it>"})
	for _, act := range []clearance.Act{
		clearance.RebuildFinished{Rebuild: id, Technician: person, Assessor: assessor, Procedure: procedure, Revision: s.inForce(procedure), Started: now, Ended: now,
			Holds:       []clearance.HoldRecord{{Step: "isolate", Outcome: clearance.Unaided}, {Step: "heater", Outcome: clearance.NotApplicable, Conditional: true, Condition: "no <heater> is fitted"}},
			InTolerance: true, InCalibration: true, Digest: digest},
		sign(person, clearance.Performed), sign(assessor, clearance.Observed)} {
		s.attested(person, procedure, act)
	}
}

// attested puts one act on the record with an entry.
func (s *site) attested(person, procedure string, act clearance.Act) {
	s.t.Helper()
	kind, data, err := clearance.Encode(act)
	if err != nil {
		s.t.Fatal(err)
	}
	err = s.store.InTx(s.t.Context(), func(tx api.Tx) error {
		head, err := tx.LockLedger(s.t.Context())
		if err != nil {
			return err
		}
		row := api.StoredAct{Seq: head.Size + 1, At: s.now(), Kind: kind, Person: person, Procedure: procedure, Data: data}
		if err := tx.AddActs(s.t.Context(), []api.StoredAct{row}); err != nil {
			return err
		}
		return api.AppendEntries(s.t.Context(), tx, s.signer, ledger.Entry{Kind: ledger.ActRecorded, ID: person, At: s.now(), Attributes: map[string]string{"act": string(kind)}})
	})
	if err != nil {
		s.t.Fatal(err)
	}
}

// carried clears the technician on the isolation procedure and gives out two
// cards, of which the second revokes the first.
func (p *past) carried() {
	p.walked(p.person[api.Technician].ID, p.mine, "energy-isolation")
	p.issued(p.mine, p.person[api.Technician].ID)
	p.issued(p.mine, p.person[api.Technician].ID)
}

// issued issues a card by the button on the page and returns the page.
func (s *site) issued(token, person string) *html.Node {
	s.t.Helper()
	w := s.send(http.MethodPost, "/evidence/"+person+"/energy-isolation/cards", token, nil)
	if w.Code != http.StatusOK {
		s.t.Fatalf("issue a card: %d %s", w.Code, textOf(parse(s.t, w.Body.Bytes())))
	}
	return parse(s.t, w.Body.Bytes())
}

func (s *site) page(path, token string) *html.Node {
	s.t.Helper()
	w := s.send(http.MethodGet, path, token, nil)
	if w.Code != http.StatusOK {
		s.t.Fatalf("%s: %d %s", path, w.Code, textOf(parse(s.t, w.Body.Bytes())))
	}
	return parse(s.t, w.Body.Bytes())
}

func has(t *testing.T, where string, doc *html.Node, all ...string) {
	t.Helper()
	text := textOf(doc)
	for _, want := range all {
		if !strings.Contains(text, want) {
			t.Errorf("%s lacks %q", where, want)
		}
	}
}

func TestTheEvidencePage(t *testing.T) {
	s := newSite(t)
	tech, token := s.person[api.Technician], s.token[api.Technician]
	id := s.open(token, "energy-isolation", api.Qualifying)
	if w := s.send(http.MethodGet, "/evidence/"+tech.ID+"/energy-isolation", token, nil); w.Code != http.StatusSeeOther || w.Header().Get("Location") != "/" {
		t.Errorf("during an own sitting: %d", w.Code)
	}
	s.post("/sittings/"+id+"/hand-in", token, nil)
	s.walked(tech.ID, token, "energy-isolation")
	at := "/evidence/" + tech.ID + "/energy-isolation"
	for who, as := range map[string]string{"own": token, "officer": s.token[api.SafetyOfficer]} {
		doc := s.page(at, as)
		has(t, who, doc, "● May work alone", "Cleared until 2027-03-02 on revision", "80 % of the marks", "Qualifying sitting", "failed", "0 % (0 of", "Facts missed and relearned", "not asked again", "critical",
			"Clearance began 2026-03-02 08:00", "unaided", "not applicable: no <heater> is fitted", "Signed: performed", "Signed: observed", tech.Name+", as printed, 2026-03-02 08:00", strings.Repeat("ab", 32), "was appointed as assessor from 2026-03-02: knows <it>",
			"soloright-verify proof", "test.example/ledger", "Isolate, lock out and prove zero energy")
		for _, wrong := range lint(doc) {
			t.Errorf("%s: %s", who, wrong)
		}
	}
	for role, token := range map[string]string{"trainer": s.token[api.Trainer], "administrator": s.token[api.Administrator]} {
		for _, part := range []string{"", "/print", "/proofs", "/proofs/1"} {
			if w := s.send(http.MethodGet, at+part, token, nil); w.Code != http.StatusForbidden {
				t.Errorf("%s%s to a %s: %d", at, part, role, w.Code)
			}
		}
	}
	before := s.page(at+"?on=2026-03-01", token)
	has(t, "the day before", before, "○ May not work alone", "None is on the record.", "the end of 2026-03-01")
	for path, want := range map[string]int{at + "?on=soon": 422, at + "/print?paper=a5": 422, at + "/proofs/0": 404, at + "/proofs/x": 404, "/evidence/nobody/energy-isolation": 404, "/evidence/" + tech.ID + "/nosuch": 404} {
		if w := s.send(http.MethodGet, path, s.token[api.SafetyOfficer], nil); w.Code != want {
			t.Errorf("%s: %d, want %d", path, w.Code, want)
		}
	}
}

// What the page gives to keep: the print on both sizes, the same bytes again; and
// the proofs, one by one and in one file, each of which holds.
func TestTheEvidenceToKeep(t *testing.T) {
	s := newSite(t)
	tech, token := s.person[api.Technician], s.token[api.Technician]
	s.walked(tech.ID, token, "energy-isolation")
	at := "/evidence/" + tech.ID + "/energy-isolation"
	get := func(path, kind, ending string) *httptest.ResponseRecorder {
		t.Helper()
		w := s.send(http.MethodGet, path, token, nil)
		if w.Code != http.StatusOK || w.Header().Get("Content-Type") != kind || !strings.HasSuffix(w.Header().Get("Content-Disposition"), ending+`"`) {
			t.Fatalf("%s: %d %v", path, w.Code, w.Header())
		}
		return w
	}
	for _, size := range []string{"a4", "letter"} {
		first := get(at+"/print?paper="+size, "application/pdf", ".pdf").Body.Bytes()
		if !bytes.HasPrefix(first, []byte("%PDF-")) || !bytes.Equal(first, get(at+"/print?paper="+size, "application/pdf", ".pdf").Body.Bytes()) {
			t.Errorf("the print on %s is no PDF, or another the second time", size)
		}
	}
	all := get(at+"/proofs", "application/zip", ".proofs.zip").Body.Bytes()
	z, err := zip.NewReader(bytes.NewReader(all), int64(len(all)))
	if err != nil {
		t.Fatal(err)
	}
	files := map[string]string{}
	for _, f := range z.File {
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		b, err := io.ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
		files[f.Name] = string(b)
	}
	links := 0
	for _, a := range elements(s.page(at, token), "a") {
		href, _ := attr(a, "href")
		n, ok := strings.CutPrefix(href, at+"/proofs/")
		if !ok {
			continue
		}
		links++
		one := get(href, "text/plain; charset=utf-8", ".proof").Body.String()
		if one == "" || files["entry-"+n+".proof"] != one {
			t.Errorf("the proof of entry %s is not the one in the file of proofs", n)
		}
	}
	if links < 7 || len(files) != links+3 || files["record.checkpoint"] == "" || files["record.keys"] != s.signer.Verifier()+"\n" || !strings.Contains(files["READ-ME.txt"], "soloright-verify proof") {
		t.Errorf("%d links, %d files", links, len(files))
	}
}

var liveAt = regexp.MustCompile(`http://example\.com(/c/[a-z2-7]{26})`)

// A card from the button to the page behind its code, for somebody who is not
// signed in, and to its end.
func TestACardFromTheButtonToItsEnd(t *testing.T) {
	s := newSite(t)
	tech, token, officer := s.person[api.Technician], s.token[api.Technician], s.token[api.SafetyOfficer]
	at := "/evidence/" + tech.ID + "/energy-isolation"
	if w := s.send(http.MethodPost, at+"/cards", token, nil); w.Code != http.StatusConflict || !strings.Contains(textOf(parse(t, w.Body.Bytes())), "There is no clearance to issue a card for") {
		t.Errorf("a card without a clearance: %d", w.Code)
	}
	s.walked(tech.ID, token, "energy-isolation")
	doc := s.issued(token, tech.ID)
	for _, wrong := range lint(doc) {
		t.Error(wrong)
	}
	has(t, "the card", doc, tech.Name, "2027-03-02", "Print on A4")
	m := liveAt.FindStringSubmatch(textOf(doc))
	if m == nil {
		t.Fatalf("no address on the card: %s", textOf(doc))
	}
	live := m[1]
	for _, f := range []url.Values{{"code": {live[3:]}, "paper": {"a4"}}, {"code": {live[3:]}, "paper": {"letter"}}} {
		if w := s.send(http.MethodPost, "/cards/sheet", token, f); w.Code != http.StatusOK || !bytes.HasPrefix(w.Body.Bytes(), []byte("%PDF-")) {
			t.Errorf("print: %d", w.Code)
		}
	}
	if w := s.send(http.MethodPost, "/cards/sheet", s.token[api.Trainer], url.Values{"code": {live[3:]}}); w.Code != http.StatusForbidden {
		t.Errorf("printed by somebody else: %d", w.Code)
	}
	page := s.send(http.MethodGet, live, "", nil)
	liveDoc := parse(t, page.Body.Bytes())
	has(t, "the live page", liveDoc, "● Cleared", tech.Name, "2027-03-02", "As of 2026-03-02 08:00")
	for _, wrong := range lint(liveDoc) {
		t.Error(wrong)
	}
	if h := page.Header(); page.Code != 200 || !strings.Contains(h.Get("X-Robots-Tag"), "noindex") || h.Get("Referrer-Policy") != "no-referrer" || h.Get("Cache-Control") != "no-store" {
		t.Errorf("the live page: %d %v", page.Code, h)
	}
	// Nothing more: no id, no role, no revision, no reason, no crew, and the same for who is signed in.
	for _, more := range []string{tech.ID, "technician", "evision", "rebuild", "/evidence/", "outstanding"} {
		if strings.Contains(page.Body.String(), more) {
			t.Errorf("the live page shows %q", more)
		}
	}
	s.post("/register/people/"+tech.ID+"/energy-isolation/suspension", officer, url.Values{"reason": {"a cap was found loose"}})
	if doc := s.page(live, officer); strings.Contains(textOf(doc), "cap was found loose") || !strings.Contains(textOf(doc), "○ Not cleared") || strings.Contains(textOf(doc), "Until") || strings.Contains(textOf(doc), "Sign out") {
		t.Errorf("suspended: %s", textOf(doc))
	}
	s.post("/register/people/"+tech.ID+"/energy-isolation/reinstatement", officer, url.Values{"reason": {"it was another’s cap"}})
	s.revokes(at, token, live)
}

// revokes revokes the one valid card by the form on the page.
func (s *site) revokes(at, token, live string) {
	s.t.Helper()
	action := ""
	for _, f := range elements(s.page(at, token), "form") {
		if to, _ := attr(f, "action"); strings.HasSuffix(to, "/revocation") {
			action = to
		}
	}
	if w := s.send(http.MethodPost, action, token, url.Values{"reason": {"lost"}}); w.Code != 422 || !strings.Contains(w.Body.String(), ">lost</textarea>") {
		s.t.Errorf("a reason that is too short: %d", w.Code)
	}
	if to := s.post(action, token, url.Values{"reason": {"lost on the <way> home"}}); to != at+"#cards" {
		s.t.Errorf("revoked, and on to %s", to)
	}
	if w := s.send(http.MethodPost, action, token, url.Values{"reason": {"lost on the way home"}}); w.Code != http.StatusConflict {
		s.t.Errorf("revoked twice: %d", w.Code)
	}
	has(s.t, "the evidence", s.page(at, token), "Revoked 2026-03-02 08:00: lost on the <way> home")
	gone, none := s.send(http.MethodGet, live, "", nil), s.send(http.MethodGet, "/c/"+strings.Repeat("a", 26), "", nil)
	if gone.Code != http.StatusNotFound || none.Code != gone.Code || textOf(parse(s.t, gone.Body.Bytes())) == "" {
		s.t.Errorf("a revoked code: %d, an unknown one: %d", gone.Code, none.Code)
	}
	a, b := request.ReplaceAllString(gone.Body.String(), ""), request.ReplaceAllString(none.Body.String(), "")
	if a != b || !strings.Contains(a, "This card is not valid") {
		s.t.Errorf("a revoked and an unknown code are told apart:\n%s\n%s", a, b)
	}
}

var request = regexp.MustCompile(`Request [0-9a-f]+`)

// The drawing on the page is the code of the address: its modules are those of the
// print, which is read back in package paper.
func TestTheCodeOnThePageIsThatOfItsAddress(t *testing.T) {
	drawn, err := qrOf("https://soloright.works.example/c/" + strings.Repeat("q", 26))
	if err != nil {
		t.Fatal(err)
	}
	other, err := qrOf("https://soloright.works.example/c/" + strings.Repeat("r", 26))
	if err != nil {
		t.Fatal(err)
	}
	if drawn == other || !strings.HasPrefix(string(drawn), "<svg") || strings.Contains(string(drawn), "style") {
		t.Errorf("drawn: %.100s", drawn)
	}
}
