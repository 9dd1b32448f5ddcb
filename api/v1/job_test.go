package v1

import (
	"bytes"
	"fmt"
	"regexp"
	"slices"
	"testing"

	"soloright/api"
	"soloright/api/store"
	"soloright/api/testenv"
	"soloright/quiz"
	"soloright/scoring"
)

// The whole job through the JSON face, on both databases, every request and
// every answer held against the document; and in the end each operation has
// answered with each status that the document gives it.
func TestTheWholeJob(t *testing.T) {
	t.Run("embedded", func(t *testing.T) { wholeJob(t, store.Config{Folder: t.TempDir()}) })
	t.Run("postgresql", func(t *testing.T) { wholeJob(t, store.Config{URL: testenv.PostgreSQL(t)}) })
}

func wholeJob(t *testing.T, c store.Config) {
	s := newSite(t, c)
	s.readProcedures()
	sitting := s.sitQualifying()
	practice := s.sitPractice()
	s.sure(sitting, practice.ID)
	s.strikeOut(practice)
	s.keepPeople()
	s.putRevisions()
	s.record(sitting)
	s.evidences()
	s.standings(sitting)
	s.revise()
	s.observe()
	s.teach(sitting)
	s.panelsAll()
	s.judge()
	s.refusals(sitting)
	s.outages(sitting)
	s.signOut()
	s.checkCoverage()
}

func (s *site) readProcedures() {
	got := s.do(call{method: "GET", path: "/openapi.json"}, 200)
	if !bytes.Equal(got.body, document) {
		s.t.Error("openapi.json is not the document")
	}
	as := s.token[api.Technician]
	var me Me
	s.do(call{method: "GET", path: "/me", as: as}, 200).into(&me)
	if me.Person != s.person[api.Technician] || len(me.Sessions) != 1 {
		s.t.Errorf("me: %+v", me)
	}
	var all Procedures
	s.do(call{method: "GET", path: "/procedures", as: as}, 200).into(&all)
	if len(all.Procedures) != 2 || len(all.Procedures[0].Cautions) < 4 {
		s.t.Fatalf("procedures: %+v", all)
	}
	var p Procedure
	s.do(call{method: "GET", path: "/procedures/aodd-air-side", as: as}, 200).into(&p)
	if len(p.Steps) == 0 || len(p.Facts) < 40 || len(p.Cautions) < 4 {
		s.t.Errorf("%d steps, %d facts, %d cautions", len(p.Steps), len(p.Facts), len(p.Cautions))
	}
	s.do(call{method: "GET", path: "/procedures/aodd-air-side?revision=" + p.Revision, as: as}, 200).into(&p)
	var items Preview
	s.do(call{method: "GET", path: "/procedures/energy-isolation/items?seed=07ff", as: s.token[api.Trainer]}, 200).into(&items)
	written := slices.ContainsFunc(items.Facts, func(f PreviewFact) bool { return len(f.Items) > 0 && f.Items[0].Explain != "" })
	if len(items.Facts) < 40 || !written {
		s.t.Errorf("the preview has %d facts, with items %v", len(items.Facts), written)
	}
}

func (s *site) open(as string, mode api.Mode) Sitting {
	s.t.Helper()
	var sit Sitting
	a := s.do(call{method: "POST", path: "/sittings", as: as, body: api.OpenSitting{Procedure: "aodd-air-side", Mode: mode}}, 201)
	a.into(&sit)
	if sit.State != api.StateOpen || a.header.Get("Location") != Prefix+"/sittings/"+sit.ID {
		s.t.Errorf("opened %+v at %q", sit, a.header.Get("Location"))
	}
	return sit
}

func (s *site) save(as, sitting string, n int, rev int64, a quiz.Answer) Kept {
	s.t.Helper()
	var k Kept
	c := call{method: "PUT", path: fmt.Sprintf("/sittings/%s/sheets/%d/answer", sitting, n), as: as, body: api.SaveAnswer{Revision: rev, Answer: a, Millis: 1500}}
	s.do(c, 200).into(&k)
	return k
}

func (s *site) handIn(as, sitting string) Sitting {
	s.t.Helper()
	var sit Sitting
	s.do(call{method: "POST", path: "/sittings/" + sitting + "/hand-in", as: as}, 200).into(&sit)
	return sit
}

func (s *site) result(as, sitting string) Result {
	s.t.Helper()
	var r Result
	s.do(call{method: "GET", path: "/sittings/" + sitting + "/result", as: as}, 200).into(&r)
	return r
}

// secret finds what no sheet may hold before marking.
var secret = regexp.MustCompile(`"(key|facts|feedback|explain|signature|shows|lead|model|seed)":|"right":(true|false)`)

// sitQualifying sits a form, misses one critical fact, and passes by the
// confirming step. It returns the sitting.
func (s *site) sitQualifying() Sitting {
	as := s.token[api.Technician]
	sit := s.open(as, api.Qualifying)
	if again := s.open(as, api.Qualifying); again.ID != sit.ID {
		s.t.Error("opening again opened another sitting")
	}
	form, missed := s.form(sit.ID), 0
	for i, it := range form.Items {
		var sheet Sheet
		a := s.do(call{method: "GET", path: fmt.Sprintf("/sittings/%s/sheets/%d", sit.ID, i+1), as: as}, 200)
		a.into(&sheet)
		if m := secret.Find(a.body); m != nil {
			s.t.Errorf("sheet %d gives away %s", i+1, m)
		}
		if missed == 0 && merciful(it) {
			missed = i + 1
			continue
		}
		if k := s.save(as, sit.ID, i+1, 1, s.right(it)); !k.Applied || k.Revision != 1 || k.Sheet != i+1 {
			s.t.Errorf("kept %+v", k)
		}
	}
	if missed == 0 {
		s.t.Fatal("this form has no sheet with one critical fact off isolation")
	}
	if k := s.save(as, sit.ID, missed%len(form.Items)+1, 1, quiz.Answer{}); k.Applied {
		s.t.Error("an equal revision was applied")
	}
	var v SittingView
	s.do(call{method: "GET", path: "/sittings/" + sit.ID, as: as}, 200).into(&v)
	for _, l := range v.Sheets {
		if (l.Revision == 0) != (l.N == missed) {
			s.t.Errorf("the sheet list says of sheet %d: revision %d", l.N, l.Revision)
		}
	}
	if done := s.handIn(as, sit.ID); done.State != api.StateMarked || done.Verdict != string(scoring.ToConfirm) || done.HandedIn == nil {
		s.t.Fatalf("handed in: %+v", done)
	}
	s.handIn(as, sit.ID) // twice is no error
	r := s.result(as, sit.ID)
	if r.Verdict != scoring.ToConfirm || len(r.Critical) != 1 || r.ConfirmBy == nil || len(r.Sheets) != 0 {
		s.t.Errorf("result: %s, critical %v, until %v, %d sheets with keys", r.Verdict, r.Critical, r.ConfirmBy, len(r.Sheets))
	}
	s.confirmIt(as, sit.ID)
	return sit
}

// merciful reports whether missing the item misses one critical fact that may
// be confirmed.
func merciful(it quiz.Item) bool {
	n := 0
	for _, f := range it.Facts {
		if f.Isolation {
			return false
		}
		if f.Critical {
			n++
		}
	}
	return n == 1
}

func (s *site) confirmIt(as, sitting string) {
	var conf Sitting
	s.do(call{method: "POST", path: "/sittings/" + sitting + "/confirmation", as: as}, 201).into(&conf)
	if conf.Confirms != sitting || conf.Items != 2 {
		s.t.Errorf("confirming step: %+v", conf)
	}
	for i, it := range s.form(conf.ID).Items {
		s.save(as, conf.ID, i+1, 1, s.right(it))
	}
	s.handIn(as, conf.ID)
	if r := s.result(as, sitting); r.Verdict != scoring.Passed || r.Confirm != conf.ID {
		s.t.Errorf("after the confirming step: %s, confirmed by %q", r.Verdict, r.Confirm)
	}
}

// sitPractice has sheets explained one by one and returns the sitting.
func (s *site) sitPractice() Sitting {
	as := s.token[api.Technician]
	sit := s.open(as, api.Practice)
	for i, it := range s.form(sit.ID).Items {
		wrong := i%2 == 1 // and left blank
		if !wrong {
			s.save(as, sit.ID, i+1, 1, s.right(it))
		}
		var x Explained
		s.do(call{method: "POST", path: fmt.Sprintf("/sittings/%s/sheets/%d/explanation", sit.ID, i+1), as: as}, 200).into(&x)
		if x.Item.ID != it.ID || x.Marked.Blank != wrong || !wrong && x.Marked.Mark.String() != "1" {
			s.t.Errorf("sheet %d (%s): mark %s, blank %v", i+1, it.Model, x.Marked.Mark, x.Marked.Blank)
		}
		if k := s.save(as, sit.ID, i+1, 9, quiz.Answer{}); k.Applied {
			s.t.Errorf("sheet %d was changed after its explanation", i+1)
		}
	}
	s.handIn(as, sit.ID)
	if r := s.result(as, sit.ID); len(r.Sheets) != sit.Items || r.Verdict != scoring.Failed {
		s.t.Errorf("practice: %s, %d of %d sheets with keys", r.Verdict, len(r.Sheets), sit.Items)
	}
	return sit
}

func (s *site) strikeOut(sit Sitting) {
	officer := s.token[api.SafetyOfficer]
	var all Sittings
	s.do(call{method: "GET", path: "/sittings?person=all&procedure=aodd-air-side&state=marked", as: officer}, 200).into(&all)
	if !slices.ContainsFunc(all.Sittings, func(x Sitting) bool { return x.ID == sit.ID && x.Verdict != "" && x.Percent != nil }) {
		s.t.Errorf("%s is not among the %d marked sittings", sit.ID, len(all.Sittings))
	}
	s.do(call{method: "POST", path: "/sittings/" + sit.ID + "/void", as: officer, body: api.VoidCommand{Reason: "sat at the wrong bench"}}, 204)
	r := s.result(s.token[api.Technician], sit.ID)
	if r.Sitting.State != api.StateVoid || r.Void == nil || r.Void.Reason != "sat at the wrong bench" || r.Void.By != s.person[api.SafetyOfficer].ID {
		s.t.Errorf("struck out: %s, %+v", r.Sitting.State, r.Void)
	}
	s.do(call{method: "GET", path: "/sittings", as: s.token[api.Technician]}, 200).into(&all)
	if len(all.Sittings) != 3 { // the first, its confirming step, the practice
		s.t.Errorf("own sittings: %d, want 3", len(all.Sittings))
	}
}

func (s *site) keepPeople() {
	admin := s.token[api.Administrator]
	var p Person
	s.do(call{method: "POST", path: "/people", as: admin, body: api.AddAccount{SignIn: "Fresh", Name: "Fresh Hand", Role: api.Technician, Crew: "night", Password: password}}, 201).into(&p)
	if p.SignIn != "fresh" || p.Role != api.Technician || p.Crew != "night" || p.ID == "" {
		s.t.Errorf("added %+v", p)
	}
	token := s.signIn("fresh")
	role, left := api.Trainer, true
	s.do(call{method: "PATCH", path: "/people/" + p.ID, as: admin, body: api.ChangeAccount{Role: &role}}, 200).into(&p)
	if p.Role != api.Trainer {
		s.t.Errorf("changed %+v", p)
	}
	s.do(call{method: "GET", path: "/me", as: token}, 401) // a new role ends the sessions
	s.do(call{method: "PATCH", path: "/people/" + p.ID, as: admin, body: api.ChangeAccount{Left: &left}}, 200).into(&p)
	if p.Left == nil {
		s.t.Error("who has left has no day of leaving")
	}
	var all People
	a := s.do(call{method: "GET", path: "/people", as: admin}, 200)
	a.into(&all)
	if len(all.People) != len(api.Roles)+1 || bytes.Contains(a.body, []byte("argon2")) {
		s.t.Errorf("%d people, or with passwords: %.200s", len(all.People), a.body)
	}
}

func (s *site) putRevisions() {
	as := s.token[api.Trainer]
	put := func(text string, want int) Imported {
		s.t.Helper()
		var got Imported
		s.do(call{method: "POST", path: "/procedures", as: as, body: text, headers: map[string]string{"Content-Type": "application/yaml"}}, want).into(&got)
		return got
	}
	text := another(s.t, "energy-isolation", "F2")
	if got := put(text, 201); !got.New || got.InForce || got.Revision != "F2" || got.Facts < 40 {
		s.t.Errorf("imported %+v", got)
	}
	if got := put(text, 200); got.New {
		s.t.Error("the same text was new twice")
	}
	var p Procedure
	s.do(call{method: "GET", path: "/procedures/energy-isolation", as: as}, 200).into(&p)
	if p.Revision == "F2" {
		s.t.Error("a revision is in force that nobody adopted")
	}
}

func (s *site) signOut() {
	as := s.token[api.Trainer]
	s.do(call{method: "DELETE", path: "/session", as: as}, 204)
	s.do(call{method: "GET", path: "/me", as: as}, 401)
	s.do(call{method: "DELETE", path: "/session"}, 204) // no session: nothing to end
}
