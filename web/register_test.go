package web

import (
	"encoding/csv"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"soloright/api"
	"soloright/content"
	"soloright/scoring/clearance"
)

// notices has the officer suspend one of the crew, and withdraw and reinstate others.
func (p *past) notices() {
	officer := p.token[api.SafetyOfficer]
	reason := url.Values{"reason": {"a cap was <found> loose"}}
	tech := "/register/people/" + p.person[api.Technician].ID + "/energy-isolation"
	p.post(tech+"/suspension", officer, reason)
	p.post(tech+"/reinstatement", officer, reason)
	p.post(tech+"/withdrawal", officer, reason)
	p.post("/register/people/"+p.person[api.Technician].ID+"/flanged-joint/suspension", officer, reason)
}

// cleared puts on the record what clears a person on a procedure without
// prerequisites: the acts alone, past the ledger, so nothing may follow them
// through a use case.
func (s *site) cleared(person, assessor, procedure string) {
	s.t.Helper()
	now := s.now()
	digest := strings.Repeat("ab", 32)
	id := "rebuild-" + person
	sign := func(who string, m clearance.Meaning) clearance.Act {
		return clearance.Signed{Covers: clearance.Covered{Kind: clearance.CoversRebuild, ID: id, Digest: digest}, Signer: who, Role: "as printed", Meaning: m, Technician: person, Proof: "password"}
	}
	revision := s.inForce(procedure)
	s.putActs(procedure,
		clearance.AssessorAppointed{Appointment: id + "-a", Assessor: assessor, Procedure: procedure, From: content.DateOf(now), Reason: "knows it from the maker’s school"},
		clearance.SittingMarked{Sitting: id + "-s", Person: person, Procedure: procedure, Revision: revision, HandedIn: now.Add(-2 * time.Hour), Verdict: clearance.Passed},
		clearance.RebuildFinished{Rebuild: id, Technician: person, Assessor: assessor, Procedure: procedure, Revision: revision, Started: now, Ended: now,
			Holds: []clearance.HoldRecord{{Step: "isolate", Outcome: clearance.Unaided}}, InTolerance: true, InCalibration: true, Digest: digest},
		sign(person, clearance.Performed), sign(assessor, clearance.Observed))
}

func (s *site) inForce(procedure string) string {
	s.t.Helper()
	p, err := s.app.Procedure(s.t.Context(), api.Bearer(s.token[api.Trainer]), procedure, "")
	if err != nil {
		s.t.Fatal(err)
	}
	return p.Revision
}

func (s *site) putActs(procedure string, acts ...clearance.Act) {
	s.t.Helper()
	err := s.store.InTx(s.t.Context(), func(tx api.Tx) error {
		last, err := tx.Acts(s.t.Context(), 0, 1<<20)
		if err != nil {
			return err
		}
		var rows []api.StoredAct
		for i, a := range acts {
			kind, data, err := clearance.Encode(a)
			if err != nil {
				return err
			}
			row := api.StoredAct{Seq: last[len(last)-1].Seq + int64(i) + 1, At: s.now(), Kind: kind, Data: data, Procedure: procedure}
			switch a := a.(type) {
			case clearance.AssessorAppointed:
				row.Person = a.Assessor
			case clearance.SittingMarked:
				row.Person = a.Person
			case clearance.RebuildFinished:
				row.Person = a.Technician
			case clearance.Signed:
				row.Person = a.Technician
			}
			rows = append(rows, row)
		}
		return tx.AddActs(s.t.Context(), rows)
	})
	if err != nil {
		s.t.Fatal(err)
	}
}

func (s *site) text(path, token string, status int) string {
	s.t.Helper()
	w := s.send(http.MethodGet, path, token, nil)
	if w.Code != status {
		s.t.Fatalf("%s: %d, want %d", path, w.Code, status)
	}
	return textOf(parse(s.t, w.Body.Bytes()))
}

// wants fails for each text that is not there.
func wants(t *testing.T, what, got string, parts ...string) {
	t.Helper()
	for _, part := range parts {
		if !strings.Contains(got, part) {
			t.Errorf("%s does not say %q: %s", what, part, got)
		}
	}
}

func TestTheRegisterPage(t *testing.T) {
	s := newSite(t)
	tech, trainer := s.person[api.Technician], s.person[api.Trainer]
	officer := s.token[api.SafetyOfficer]
	s.cleared(tech.ID, trainer.ID, "energy-isolation")
	wants(t, "the register", s.text("/register", officer, 200), tech.Name, "● Yes", "Cleared until 2027-03-02 on revision", "changed at 08:00", "1 of 1")
	if got := s.text("/register?on=2026-03-01", officer, 200); !strings.Contains(got, "Nobody had anything on the record") {
		t.Errorf("the day before: %s", got)
	}
	wants(t, "a coming day", s.text("/register?on=2027-03-03", officer, 200), "○ No", "lapsed after 2027-03-02", "A coming day is judged")
	wants(t, "by name", s.text("/register?name=THE-TECH&state=may+work+alone", officer, 200), tech.Name, "1 to 1, 1 in all")
	wants(t, "another name", s.text("/register?name=nobody", officer, 200), "Nobody, by what was asked")
	wants(t, "the cover", s.text("/register/cover?days=400", officer, 200), "only one "+tech.Name, "nobody", "2027-03-02")
	wants(t, "what runs out tomorrow", s.text("/register/cover?days=1", officer, 200), "Nothing runs out within 1 day.")
	wants(t, "who could sign", s.text("/register/signers?procedure=energy-isolation", officer, 200), trainer.Name+" : appointed", tech.Name+" : cleared until")
	wants(t, "the trail", s.text("/register/people/"+tech.ID+"/energy-isolation", officer, 200), "● May work alone", "Qualifying sitting passed on revision", "1 hold point, all unaided", "Signed as observed by "+trainer.Name, "Suspend")
	wants(t, "one's own trail", s.text("/register/people/"+tech.ID+"/energy-isolation", s.token[api.Technician], 200), "● May work alone")
	if got := s.text("/register/people/"+tech.ID+"/energy-isolation", s.token[api.Technician], 200); strings.Contains(got, "Suspend") {
		t.Error("a technician is offered to suspend")
	}
	wants(t, "the bench", s.text("/", s.token[api.Technician], 200), "May work alone", "May not work alone Not cleared: qualifying sitting outstanding", "Sit for it")
	for _, path := range []string{"/register?on=soon", "/register?state=lost", "/register/cover?days=x", "/register/cover?days=-1"} {
		s.text(path, officer, 422)
	}
	s.text("/register/people/nobody/energy-isolation", officer, 404)
	s.text("/register/people/"+tech.ID+"/nosuch", officer, 404)
	s.text("/register?from=0", officer, 404)
}

// Only who may read the register reads it; a technician reads no other's trail.
func TestTheRegisterIsNotForEverybody(t *testing.T) {
	s := newSite(t)
	other, token := s.add("other", api.Technician)
	for _, r := range []string{token, s.token[api.Administrator]} {
		for _, path := range []string{"/register", "/register/csv", "/register/cover", "/register/signers", "/register/people/" + s.person[api.Technician].ID + "/energy-isolation"} {
			s.text(path, r, 403)
		}
	}
	s.text("/register/people/"+other.ID+"/energy-isolation", token, 200)
	for _, r := range []string{token, s.token[api.Trainer], s.token[api.Administrator]} {
		w := s.send(http.MethodPost, "/register/people/"+s.person[api.Technician].ID+"/energy-isolation/suspension", r, url.Values{"reason": {"a cap was found loose"}})
		if w.Code != http.StatusForbidden {
			t.Errorf("suspended by somebody who may not: %d", w.Code)
		}
	}
}

// A suspension that is refused keeps what was written and says why.
func TestARefusedNoticeKeepsItsReason(t *testing.T) {
	s := newSite(t)
	officer, at := s.token[api.SafetyOfficer], "/register/people/"+s.person[api.Technician].ID+"/energy-isolation"
	w := s.send(http.MethodPost, at+"/suspension", officer, url.Values{"reason": {"too <b>"}})
	got := textOf(parse(t, w.Body.Bytes()))
	if w.Code != 422 || !strings.Contains(got, "reason must have at least 10 characters") || !strings.Contains(w.Body.String(), "too &lt;b&gt;</textarea>") {
		t.Errorf("%d %s", w.Code, got)
	}
	s.post(at+"/suspension", officer, url.Values{"reason": {"a cap was found loose"}})
	wants(t, "suspended", s.text(at, officer, 200), "○ May not work alone", "Suspended since 2026-03-02 : a cap was found loose", "Reinstate")
	w = s.send(http.MethodPost, at+"/suspension", officer, url.Values{"reason": {"for another reason"}})
	if got := textOf(parse(t, w.Body.Bytes())); w.Code != 409 || !strings.Contains(got, "suspended on this procedure already") {
		t.Errorf("again: %d %s", w.Code, got)
	}
	s.post(at+"/withdrawal", officer, url.Values{"reason": {"a cap was found loose"}})
	wants(t, "withdrawn", s.text(at, officer, 200), "Withdrawn on 2026-03-02", "Withdrawn: the road begins anew")
}

// The table is what RFC 4180 asks for, and no cell is a formula.
func TestTheRegisterAsATable(t *testing.T) {
	s := newSite(t)
	p, err := s.app.AddAccount(t.Context(), api.Operator(), api.AddAccount{SignIn: "formula", Name: `=1+1,"x"`, Role: api.Technician, Password: password})
	if err != nil {
		t.Fatal(err)
	}
	s.cleared(p.ID, s.person[api.Trainer].ID, "energy-isolation")
	w := s.send(http.MethodGet, "/register/csv?state=cleared", s.token[api.SafetyOfficer], nil)
	body := w.Body.String()
	if ct := w.Header().Get("Content-Type"); !strings.HasPrefix(ct, "text/csv") || strings.Count(body, "\r\n") != strings.Count(body, "\n") {
		t.Errorf("%s with line ends that are not CRLF: %q", ct, body)
	}
	rows, err := csv.NewReader(strings.NewReader(body)).ReadAll()
	if err != nil || len(rows) != 2 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	if got := rows[1]; got[1] != `'=1+1,"x"` || got[5] != "yes" || got[8] != "2027-03-02" || got[12] != p.ID {
		t.Errorf("the row is %q", got)
	}
}

// A sentence keeps its days in one piece, and what somebody wrote in it stays text.
func TestDated(t *testing.T) {
	got := string(dated("suspended since 2026-03-02: <b>2 caps</b> of lot 12026-03-021"))
	if want := `Suspended since <span class="nb">2026-03-02</span>: &lt;b&gt;2 caps&lt;/b&gt; of lot 12026-03-021`; got != want {
		t.Errorf("%s, want %s", got, want)
	}
}
