package api_test

import (
	"crypto/sha256"
	"encoding/hex"
	"slices"
	"strings"
	"testing"
	"time"

	"soloright/api"
	"soloright/content"
	"soloright/quiz"
	"soloright/scoring/clearance"
	"soloright/scoring/ledger"
)

func sha(text string) string {
	sum := sha256.Sum256([]byte(text))
	return hex.EncodeToString(sum[:])
}

// A rebuild by the use cases: what was found, by which wrench, and who signed
// under exactly that, by the names as they were printed then.
func TestTheEvidenceOfAnObservedRebuild(t *testing.T) {
	y := newYard(t)
	tech := y.people[api.Technician]
	f := y.finished()
	y.do(y.sign(y.tech, f, clearance.Performed))
	y.wait(time.Minute)
	y.do(y.sign(y.assessor, f, clearance.Observed))
	renamed := "Another Name"
	_, err := y.ChangeAccount(t.Context(), api.Operator(), api.ChangeAccount{Person: tech.ID, Name: &renamed})
	y.do(err)
	e := y.evidence(y.officer, tech, content.Date{})
	if len(e.Rebuilds) != 1 || !e.Standing.Cleared {
		t.Fatalf("%d rebuilds: %s", len(e.Rebuilds), e.Standing.Reason)
	}
	r := e.Rebuilds[0]
	if sha(r.Sheet) != r.Digest || !strings.HasPrefix(r.Sheet, "soloright rebuild sheet 1\n") || !r.Counts || !r.Carries || r.Void != nil {
		t.Errorf("the sheet: counts %v, %.60q under %s", r.Counts, r.Sheet, r.Digest)
	}
	for _, l := range r.Readings {
		if l.What == "" || l.Wanted == "" || l.Found == "" || l.Kept == "" || l.Fault != "" {
			t.Errorf("reading %+v", l)
		}
	}
	for _, h := range r.Holds {
		if h.Text == "" || h.Outcome != clearance.Unaided || h.Kept == "" {
			t.Errorf("hold point %+v", h)
		}
	}
	if len(r.Readings) < 8 || len(r.Holds) < 3 || len(r.Wrenches) != 1 || r.Wrenches[0].ID != "TW-1" || r.Wrenches[0].Certificate != "C 12" || r.Wrenches[0].Due.IsZero() {
		t.Errorf("%d readings, %d hold points, wrenches %+v", len(r.Readings), len(r.Holds), r.Wrenches)
	}
	if e.Person.Name != renamed || r.Signatures[0].Name != tech.Name || r.Signatures[0].Role != string(api.Technician) || r.Signatures[0].Digest != r.Digest {
		t.Errorf("signed by %+v, whose account is now %s’s", r.Signatures[0], e.Person.Name)
	}
	kinds := map[ledger.Kind]int{}
	for _, x := range e.Entries {
		kinds[x.Kind]++
	}
	if kinds[ledger.RebuildFinished] != 1 || kinds[ledger.SignatureGiven] != 2 {
		t.Errorf("entries: %v", kinds)
	}
	y.do(y.VoidRebuild(t.Context(), y.officer, api.VoidRebuildCommand{Rebuild: f.ID, Reason: "it was another pump"}))
	e = y.evidence(y.officer, tech, content.Date{})
	if r := e.Rebuilds[0]; r.Void == nil || r.Void.Reason != "it was another pump" || r.Void.By.ID != y.people[api.SafetyOfficer].ID || r.Carries || e.Standing.Cleared {
		t.Errorf("struck out: %+v, %s", r.Void, e.Standing.Reason)
	}
	y.sound()
}

// After a revision: the delta sitting, what was read and signed for, and the
// revision that the standing is on now.
func TestTheEvidenceOfACatchUp(t *testing.T) {
	s := newSite(t)
	tech, yesterday := held(s, moreFacts)
	c := s.as(tech)
	todo, err := s.CatchUp(t.Context(), c, pump)
	s.do(err)
	s.do(s.SignReading(t.Context(), c, api.SignReading{Procedure: pump, Digest: todo.Digest, Facts: factsOf(todo.Read), Password: password}))
	sit, err := s.openDelta(c)
	s.do(err)
	_, err = s.Evidence(t.Context(), c, api.EvidenceQuery{Person: tech.ID, Procedure: pump})
	wantKind(t, err, api.Conflict) // what is asked just now is not to be read here
	s.answer(c, sit.ID, s.right)
	s.hand(c, sit.ID)
	e := s.evidence(c, tech, content.Date{})
	if len(e.Sittings) != 2 || e.Sittings[1].Mode != api.DeltaSitting || !e.Sittings[1].Carries || e.Sittings[1].Final != "passed" || !e.Sittings[0].Carries {
		t.Errorf("sittings: %+v", e.Sittings)
	}
	if e.Revision.Revision != "M" || e.Sittings[0].Revision != "L" || len(e.Read) != 2 {
		t.Fatalf("revision %s, %d readings", e.Revision.Revision, len(e.Read))
	}
	removed, changed := e.Read[0], e.Read[1]
	if !removed.Removed || changed.Removed || removed.ID != changed.ID || removed.Shown != todo.Text || sha(removed.Shown) != removed.Digest || len(removed.Texts) == 0 || removed.Texts[0] == "" {
		t.Errorf("read: %+v and %+v", removed, changed)
	}
	for _, r := range e.Read {
		if len(r.Signatures) != 1 || r.Signatures[0].Meaning != clearance.Read || r.Signatures[0].Name != tech.Name || r.Signatures[0].Digest != r.Digest {
			t.Errorf("signed: %+v", r.Signatures)
		}
	}
	if was := s.evidence(c, tech, yesterday); len(was.Sittings) != 1 || len(was.Read) != 0 || was.Revision.Revision != "L" || !was.Standing.Cleared {
		t.Errorf("yesterday: %d sittings, %d readings on %s", len(was.Sittings), len(was.Read), was.Revision.Revision)
	}
}

// A sitting that is marked again a day later: the evidence of the day before
// keeps the marking that stood then.
func TestTheEvidenceOfARemark(t *testing.T) {
	s := newSite(t)
	isolation := func(it quiz.Item) bool {
		return slices.ContainsFunc(it.Facts, func(f quiz.Tested) bool { return f.Isolation && f.Critical })
	}
	p, c, sit := s.finds(isolation)
	var bad quiz.Item
	s.answer(c, sit.ID, func(n int, it quiz.Item) quiz.Answer {
		if bad.ID == "" && isolation(it) {
			bad = it
			return quiz.Answer{}
		}
		return s.right(n, it)
	})
	s.hand(c, sit.ID)
	yesterday := content.DateOf(s.now())
	s.wait(24 * time.Hour)
	s.withdraw(subjectOf(bad))
	s.remark(s.preview(subjectOf(bad)))
	of := func(on content.Date) api.Evidence {
		t.Helper()
		e, err := s.Evidence(t.Context(), s.role(api.SafetyOfficer), api.EvidenceQuery{Person: p.ID, Procedure: sit.Procedure, On: on})
		s.do(err)
		return e
	}
	was, is := of(yesterday), of(content.Date{})
	if x := was.Sittings[0]; x.Marking != 1 || x.Verdict != "failed" || x.Final != "failed" || x.Remarked != "" || len(was.Facts) == 0 {
		t.Errorf("yesterday: %+v, %d facts missed", x, len(was.Facts))
	}
	if x := is.Sittings[0]; x.Marking != 2 || x.Verdict != "passed" || x.Final != "passed" || x.Remarked != because || !x.Carries || x.Outcome == was.Sittings[0].Outcome || len(is.Facts) >= len(was.Facts) {
		t.Errorf("marked again: %+v, %d facts missed", x, len(is.Facts))
	}
}

// Whoever assessed gave training before: the evidence shows the training, the
// exception, and the appointment with its end.
func TestTheEvidenceOfAnException(t *testing.T) {
	y := newYard(t)
	tech, trainer := y.people[api.Technician], y.people[api.Trainer]
	y.do(y.GiveTraining(t.Context(), y.assessor, api.GiveTraining{Technician: tech.ID, Procedure: pump, Date: content.DateOf(y.now())}))
	y.do(y.RecordException(t.Context(), y.officer, api.RecordException{Assessor: trainer.ID, Technician: tech.ID, Procedure: pump, Reason: "nobody else is on the site", Password: password}))
	f := y.finished()
	y.do(y.sign(y.tech, f, clearance.Performed))
	y.do(y.sign(y.assessor, f, clearance.Observed))
	for _, e := range y.record(0) {
		if a, ok := e.Act.(clearance.AssessorAppointed); ok {
			y.do(y.EndAppointment(t.Context(), y.officer, api.EndAppointment{Appointment: a.Appointment, Reason: "back to the other site"}))
		}
	}
	e := y.evidence(y.officer, tech, content.Date{})
	if !e.Standing.Cleared {
		t.Errorf("under the exception: %s", e.Standing.Reason)
	}
	proved := map[int64]bool{}
	for _, x := range e.Entries {
		proved[x.N] = x.Proof != ""
	}
	said := ""
	for _, a := range e.Acts {
		said += a.What + "\n"
		if !proved[a.Entry] || a.By.Name == "" {
			t.Errorf("%q by %q has no proof", a.What, a.By.Name)
		}
		if except := a.Kind == (clearance.ExceptionGranted{}).Kind(); except != (a.Signature != nil) {
			t.Errorf("%q is signed: %v", a.What, a.Signature)
		} else if except && (a.Signature.Meaning != clearance.Exception || a.Signature.Name != y.people[api.SafetyOfficer].Name || !proved[a.Signature.Entry] ||
			a.Signature.Digest != sha(string(api.ExceptionText(clearance.ExceptionGranted{Assessor: trainer.ID, Technician: tech.ID, Procedure: pump, Reason: "nobody else is on the site"})))) {
			t.Errorf("the exception is signed as %+v", a.Signature)
		}
	}
	for _, want := range []string{"Trained by " + trainer.Name + " on 2026-03-02\n", trainer.Name + " may assess although he or she gave training: nobody else is on the site\n",
		trainer.Name + " was appointed as assessor from 2026-03-02", "The appointment of " + trainer.Name + " as assessor ended: back to the other site\n"} {
		if strings.Count(said, want) != 1 {
			t.Errorf("the acts lack %q:\n%s", want, said)
		}
	}
}
