package api_test

import (
	"errors"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"soloright/api"
	"soloright/api/store/storetest"
	"soloright/api/testenv"
	"soloright/content"
	"soloright/quiz"
	"soloright/scoring"
	"soloright/scoring/clearance"
)

// twoFacts changes two torques of the pump, both of which can be asked.
func twoFacts(text string) string {
	text = strings.Replace(text, "torque: 16 N·m, tolerance: ±10 %", "torque: 18 N·m, tolerance: ±10 %", 1)
	return strings.Replace(text, "torque: 28 N·m, tolerance: ±10 %", "torque: 30 N·m, tolerance: ±8 %", 1)
}

var blowCleaning = regexp.MustCompile(`(?s)  - id: blow-cleaning\n.*?step: clean\n`)

// moreFacts also removes a hazard and changes a tool on which no model can write.
func moreFacts(text string) string {
	text = blowCleaning.ReplaceAllString(twoFacts(text), "")
	return strings.Replace(text, "tools: [ring-driver]", "tools: [seal-sleeve]", 1)
}

// held has the technician cleared on revision L, and M adopted a day later.
func held(s *site, change func(string) string) (api.Person, content.Date) {
	s.t.Helper()
	s.lone("L", false, nil)
	tech := s.people[api.Technician]
	s.passed(tech)
	s.clear(tech, "L")
	yesterday := content.DateOf(s.now())
	s.wait(24 * time.Hour)
	s.lone("M", true, change)
	_, err := s.AdoptRevision(s.t.Context(), s.role(api.SafetyOfficer), api.AdoptRevision{Procedure: pump, Revision: "M", Replaces: "L"})
	s.do(err)
	if got := s.standing(tech, content.Date{}); got.State != clearance.Held {
		s.t.Fatalf("after the adoption: %s", got.Reason)
	}
	return tech, yesterday
}

func (s *site) openDelta(c api.Caller) (api.Sitting, error) {
	return s.OpenSitting(s.t.Context(), c, api.OpenSitting{Procedure: pump, Mode: api.DeltaSitting})
}

// The whole of it: a revision that changes two facts is adopted, who was cleared is
// held, sits the delta sitting and is cleared on the new revision; the register for
// yesterday still shows yesterday.
func TestWhoIsHeldSitsTheDeltaSitting(t *testing.T) {
	t.Run("embedded", func(t *testing.T) { whoIsHeldSits(t, newSite(t)) })
	t.Run("postgresql", func(t *testing.T) { whoIsHeldSits(t, newSiteAt(t, t.TempDir(), testenv.PostgreSQL(t))) })
}

func whoIsHeldSits(t *testing.T, s *site) {
	tech, yesterday := held(s, twoFacts)
	c := s.as(tech)
	todo, err := s.CatchUp(t.Context(), c, pump)
	s.do(err)
	if len(todo.Asked) != 2 || len(todo.Read) != 0 || todo.From != "L" || todo.Procedure.Revision != "M" || !todo.Sit.May || todo.Digest != "" {
		t.Fatalf("to catch up: %+v", todo)
	}
	for _, f := range todo.Asked {
		if f.Was == "" || f.Is == "" || f.Was == f.Is || f.Step == "" {
			t.Errorf("asked: %+v", f)
		}
	}
	at := s.last()
	sit, err := s.openDelta(c)
	s.do(err)
	if again, err := s.openDelta(c); err != nil || again.ID != sit.ID {
		t.Errorf("opened again: %s, %v", again.ID, err)
	}
	s.checkDelta(sit, todo)
	s.closed(c)
	s.answer(c, sit.ID, s.right)
	r := s.hand(c, sit.ID)
	if r.Final != scoring.Passed || r.Outcome.Cut != 100 || len(r.Review) > 0 {
		t.Fatalf("all right: %s at cut %d, %d sheets with keys", r.Final, r.Outcome.Cut, len(r.Review))
	}
	s.wantKinds(at, "delta sitting marked")
	mark := s.record(at)[0].Act.(clearance.DeltaMarked)
	if mark.From != "L" || mark.To != "M" || len(mark.Facts) != 2 || mark.Verdict != clearance.Passed || mark.Sitting != sit.ID || !mark.HandedIn.Equal(r.HandIn.At) {
		t.Errorf("on the record: %+v", mark)
	}
	today, was := s.standing(tech, content.Date{}), s.standing(tech, yesterday)
	if today.State != clearance.Cleared || today.Revision != "M" || was.State != clearance.Cleared || was.Revision != "L" {
		t.Errorf("today %q, yesterday %q", today.Reason, was.Reason)
	}
	reg, err := s.Register(t.Context(), s.role(api.SafetyOfficer), api.RegisterQuery{On: yesterday, Procedure: pump, Person: tech.ID})
	if s.do(err); len(reg) != 1 || reg[0].Revision != "L" || !reg[0].Cleared {
		t.Errorf("yesterday's register: %+v", reg)
	}
	if todo, err = s.CatchUp(t.Context(), c, pump); err != nil || todo.Some() || todo.Procedure.Revision != "M" {
		t.Errorf("nothing is left: %+v, %v", todo, err)
	}
	_, err = s.openDelta(c)
	if e := wantKind(t, err, api.Conflict); e.State != "nothing changed" {
		t.Errorf("a second delta sitting: %v", err)
	}
	if rep := s.replay(); len(rep.Differences) > 0 || rep.Older > 0 {
		t.Errorf("it does not replay: %+v", rep)
	}
	s.sound()
}

// checkDelta: exactly the changed facts, two or three items on each, with no
// minimum of items.
func (s *site) checkDelta(sit api.Sitting, todo api.CatchUp) {
	s.t.Helper()
	f := s.form(sit.ID)
	if f.Delta == nil || f.Delta.From != todo.From || len(f.Delta.Facts) != len(todo.Asked) || sit.Mode != api.DeltaSitting || sit.Revision != "M" || f.Cut != 100 {
		s.t.Fatalf("the form was set for %+v, %+v", f.Delta, sit)
	}
	if n := len(todo.Asked); len(f.Items) < 2*n || len(f.Items) > 3*n {
		s.t.Errorf("%d items on %d facts", len(f.Items), n)
	}
	on := map[content.FactID]int{}
	for _, it := range f.Items {
		on[it.Lead]++
	}
	for _, a := range todo.Asked {
		if on[a.Fact] < 2 || on[a.Fact] > 3 {
			s.t.Errorf("%d items lead with %s", on[a.Fact], a.Fact)
		}
	}
}

// closed: while a delta sitting is open the book is shut, and nothing is explained.
func (s *site) closed(c api.Caller) {
	s.t.Helper()
	for name, ask := range map[string]func() error{
		"procedure": func() error { _, err := s.Procedure(s.t.Context(), c, pump, ""); return err },
		"catch up":  func() error { _, err := s.CatchUp(s.t.Context(), c, pump); return err },
		"practice": func() error {
			_, err := s.OpenSitting(s.t.Context(), c, api.OpenSitting{Procedure: pump, Mode: api.Practice})
			return err
		},
	} {
		if e := wantKind(s.t, ask(), api.Conflict); e.State != "delta sitting open" {
			s.t.Errorf("%s: %v", name, e)
		}
	}
	open, err := s.Sittings(s.t.Context(), c, api.SittingFilter{Person: s.person(c), Mode: api.DeltaSitting, State: api.StateOpen})
	if s.do(err); len(open) != 1 {
		s.t.Fatalf("%d open delta sittings", len(open))
	}
	_, err = s.Explain(s.t.Context(), c, open[0].ID, 1)
	wantKind(s.t, err, api.Conflict)
}

// Who may adopt and sits a delta sitting is not shown what changed meanwhile.
func TestTheChangeSheetIsClosedToWhoSits(t *testing.T) {
	s := newSite(t)
	s.lone("L", false, nil)
	trainer := s.people[api.Trainer]
	s.passed(trainer)
	s.wait(time.Minute)
	s.lone("M", false, twoFacts)
	s.lone("N", true, moreFacts)
	c := s.as(trainer)
	_, err := s.PreviewAdoption(t.Context(), c, pump, "N")
	s.do(err)
	_, err = s.openDelta(c)
	s.do(err)
	_, err = s.PreviewAdoption(t.Context(), c, pump, "N")
	if e := wantKind(t, err, api.Conflict); e.State != "delta sitting open" {
		t.Errorf("%v", e)
	}
}

// Under a store that fails, what is signed, withdrawn and adopted stands once.
func TestReadingAndAdoptingUnderAHostileStore(t *testing.T) {
	s := newSite(t)
	tech, _ := held(s, moreFacts)
	c, officer, at := s.as(tech), s.role(api.SafetyOfficer), s.last()
	hostile := s.on(storetest.Hostile(s.store, 5))
	insist := func(do func() error) {
		t.Helper()
		for range 200 {
			if err := do(); api.KindOf(err) != api.Unavailable {
				s.do(err)
				return
			}
		}
		t.Fatal("two hundred times in vain")
	}
	todo, err := s.CatchUp(t.Context(), c, pump)
	s.do(err)
	insist(func() error {
		return hostile.SignReading(t.Context(), c, api.SignReading{Procedure: pump, Digest: todo.Digest, Facts: factsOf(todo.Read), Password: password})
	})
	insist(func() error {
		return hostile.WithdrawProcedure(t.Context(), officer, api.WithdrawProcedure{Procedure: pump, Reason: "the maker recalls it"})
	})
	insist(func() error {
		_, err := hostile.AdoptRevision(t.Context(), officer, api.AdoptRevision{Procedure: pump, Revision: "M"})
		return err
	})
	s.wantKinds(at, "signed, removed facts read, changed facts read, procedure withdrawn, revision adopted")
	s.sound()
}

// One wrong answer fails it; the next try waits, the last one wants training; a
// delta sitting that ran out is a try; one struck out counts no more, and what it
// brought is taken back.
func TestDeltaTries(t *testing.T) {
	s := newSite(t)
	tech, _ := held(s, twoFacts)
	policy := clearance.DefaultPolicy()
	policy.Tries, policy.WaitDays, policy.GraceDays = 2, 1, 90
	_, err := s.SetPolicy(t.Context(), s.role(api.SafetyOfficer), api.SetPolicy{Procedure: pump, Policy: policy})
	s.do(err)
	c := s.as(tech)
	sit, err := s.openDelta(c)
	s.do(err)
	s.answer(c, sit.ID, func(n int, it quiz.Item) quiz.Answer {
		if n == 1 {
			return quiz.Answer{}
		}
		return s.right(n, it)
	})
	r := s.hand(c, sit.ID)
	if r.Final != scoring.Failed || len(r.Outcome.Again) == 0 || !r.ConfirmBy.IsZero() {
		t.Fatalf("one blank: %s, again %v", r.Final, r.Outcome.Again)
	}
	_, err = s.openDelta(c)
	if e := wantKind(t, err, api.Conflict); e.State != "waiting" {
		t.Errorf("at once again: %v", e)
	}
	s.wait(24 * time.Hour)
	c = s.as(tech)
	late, err := s.openDelta(c)
	s.do(err)
	s.wait(late.Deadline.Sub(s.now()) + time.Second)
	_, err = s.openDelta(c)
	if e := wantKind(t, err, api.Conflict); e.State != "training due" {
		t.Errorf("after one that ran out: %v", e)
	}
	s.do(s.GiveTraining(t.Context(), s.role(api.Trainer), api.GiveTraining{Technician: tech.ID, Procedure: pump, Date: content.DateOf(s.now())}))
	last, err := s.openDelta(c)
	s.do(err)
	s.answer(c, last.ID, s.right)
	s.hand(c, last.ID)
	if got := s.standing(tech, content.Date{}); got.Revision != "M" || got.State != clearance.Cleared {
		t.Errorf("passed: %s", got.Reason)
	}
	at := s.last()
	s.do(s.VoidSitting(t.Context(), s.role(api.SafetyOfficer), api.VoidCommand{Sitting: last.ID, Reason: "somebody stood beside"}))
	s.wantKinds(at, "sitting voided")
	if got := s.standing(tech, content.Date{}); got.State != clearance.Held || got.Revision != "L" {
		t.Errorf("struck out: %s", got.Reason)
	}
	s.sound()
}

// Nobody but who is held has a delta sitting.
func TestWhoHasNoDeltaSitting(t *testing.T) {
	s := newSite(t)
	held(s, twoFacts)
	other := s.as(s.add("other", api.Technician))
	_, err := s.openDelta(other)
	wantKind(t, err, api.Conflict)
	todo, err := s.CatchUp(t.Context(), other, pump)
	if s.do(err); todo.Some() || todo.Procedure == nil || todo.Standing.State != clearance.NotCleared {
		t.Errorf("somebody who never sat: %+v", todo)
	}
	_, err = s.openDelta(s.role(api.Administrator))
	wantKind(t, err, api.Forbidden)
	_, err = s.CatchUp(t.Context(), s.role(api.Administrator), pump)
	wantKind(t, err, api.Forbidden)
	_, err = s.CatchUp(t.Context(), api.Operator(), pump)
	wantKind(t, err, api.Forbidden)
	_, err = s.CatchUp(t.Context(), other, "none such")
	wantKind(t, err, api.NotFound)
	_, err = s.OpenSitting(t.Context(), other, api.OpenSitting{Procedure: "none such", Mode: api.DeltaSitting})
	wantKind(t, err, api.Conflict)
}

// Under a store that fails, forgets to say so and runs things again, one delta
// sitting is marked once.
func TestADeltaSittingUnderAHostileStore(t *testing.T) {
	s := newSite(t)
	tech, _ := held(s, twoFacts)
	c, at := s.as(tech), s.last()
	hostile := s.on(storetest.Hostile(s.store, 11))
	insist := func(do func() error) {
		t.Helper()
		for range 200 {
			if err := do(); api.KindOf(err) != api.Unavailable {
				s.do(err)
				return
			}
		}
		t.Fatal("two hundred times in vain")
	}
	var sit api.Sitting
	insist(func() (err error) {
		sit, err = hostile.OpenSitting(t.Context(), c, api.OpenSitting{Procedure: pump, Mode: api.DeltaSitting})
		return err
	})
	s.answer(c, sit.ID, s.right)
	insist(func() error { _, err := hostile.HandIn(t.Context(), c, sit.ID); return err })
	insist(func() error { _, err := hostile.Result(t.Context(), c, sit.ID); return err })
	s.wantKinds(at, "delta sitting marked")
	if got := s.standing(tech, content.Date{}); got.Revision != "M" {
		t.Errorf("cleared on %s", got.Revision)
	}
	all, err := s.Sittings(t.Context(), c, api.SittingFilter{Person: tech.ID, Mode: api.DeltaSitting})
	if s.do(err); len(all) != 1 {
		t.Errorf("%d delta sittings", len(all))
	}
	s.sound()
}

// What was removed, and what no question asks, is read and signed for first.
func TestReadingAndSigning(t *testing.T) {
	t.Run("embedded", func(t *testing.T) { readingAndSigning(t, newSite(t)) })
	t.Run("postgresql", func(t *testing.T) { readingAndSigning(t, newSiteAt(t, t.TempDir(), testenv.PostgreSQL(t))) })
}

func readingAndSigning(t *testing.T, s *site) {
	tech, _ := held(s, moreFacts)
	c := s.as(tech)
	todo, err := s.CatchUp(t.Context(), c, pump)
	s.do(err)
	i := slices.IndexFunc(todo.Read, func(f api.FactChange) bool { return f.Is == "" })
	k := slices.IndexFunc(todo.Read, func(f api.FactChange) bool { return f.Fact == "tools/pins-in" })
	if i < 0 || k < 0 || todo.Read[i].Was == "" || todo.Read[k].Why == "" || len(todo.Asked) < 2 {
		t.Fatalf("to read: %+v", todo.Read)
	}
	for _, want := range []string{"from revision L to revision M\n", "stated no more: hazard/blow-cleaning", "  was: " + todo.Read[i].Was + "\n", "  is: " + todo.Read[k].Is + "\n"} {
		if !strings.Contains(todo.Text, want) {
			t.Errorf("the text lacks %q:\n%s", want, todo.Text)
		}
	}
	_, err = s.openDelta(c)
	if e := wantKind(t, err, api.Conflict); e.State != "to be read first" {
		t.Errorf("before reading: %v", e)
	}
	cmd := api.SignReading{Procedure: pump, Digest: todo.Digest, Facts: factsOf(todo.Read), Password: password}
	at := s.last()
	s.refusedReadings(c, cmd)
	s.wantKinds(at, "")
	for range 2 { // signed twice it stands once
		s.do(s.SignReading(t.Context(), c, cmd))
	}
	s.wantKinds(at, "signed, removed facts read, changed facts read")
	read := s.record(at)[1].Act.(clearance.RemovedRead)
	if read.Shown != todo.Text || read.Digest != todo.Digest || read.Revision != "M" || read.Person != tech.ID {
		t.Errorf("on the record: %+v", read)
	}
	given := s.record(at)[0].Act.(clearance.Signed)
	if given.Meaning != clearance.Read || given.Covers.Digest != todo.Digest || given.Covers.ID != read.Reading || given.Signer != tech.ID {
		t.Errorf("signed: %+v", given)
	}
	after, err := s.CatchUp(t.Context(), c, pump)
	if s.do(err); len(after.Read) != 0 || len(after.Asked) != len(todo.Asked) {
		t.Errorf("after reading: %+v", after)
	}
	sit, err := s.openDelta(c)
	s.do(err)
	s.answer(c, sit.ID, s.right)
	s.hand(c, sit.ID)
	if got := s.standing(tech, content.Date{}); got.State != clearance.Cleared || got.Revision != "M" {
		t.Errorf("read and sat: %s", got.Reason)
	}
	s.sound()
}

// refusedReadings signs what must not be signed.
func (s *site) refusedReadings(c api.Caller, good api.SignReading) {
	s.t.Helper()
	wrong := good
	wrong.Password += "x"
	wantKind(s.t, s.SignReading(s.t.Context(), c, wrong), api.Invalid)
	other := good
	other.Digest = strings.Repeat("0", 64)
	other.Facts = append([]content.FactID{"hazard/never-there"}, good.Facts[1:]...)
	e := wantKind(s.t, s.SignReading(s.t.Context(), c, other), api.Conflict)
	if !strings.Contains(e.Message, "To be read besides: "+string(good.Facts[0])) || !strings.Contains(e.Message, "No longer to be read: hazard/never-there") {
		s.t.Errorf("what changed: %v", e)
	}
	other.Facts = good.Facts
	if e := wantKind(s.t, s.SignReading(s.t.Context(), c, other), api.Conflict); !strings.Contains(e.Message, "their words") {
		s.t.Errorf("what changed: %v", e)
	}
	other.Digest = "short"
	wantKind(s.t, s.SignReading(s.t.Context(), c, other), api.Invalid)
	wantKind(s.t, s.SignReading(s.t.Context(), s.role(api.Administrator), good), api.Forbidden)
	wantKind(s.t, s.SignReading(s.t.Context(), s.role(api.Trainer), good), api.Conflict) // who has nothing to read
	if err := s.SignReading(s.t.Context(), api.Operator(), good); err == nil {
		s.t.Error("whoever runs the program signs")
	}
	var kind *api.Error
	if !errors.As(s.SignReading(s.t.Context(), api.Bearer("x"), good), &kind) || kind.Kind != api.Unauthenticated {
		s.t.Errorf("nobody signs: %v", kind)
	}
}

func factsOf(list []api.FactChange) []content.FactID {
	var out []content.FactID
	for _, f := range list {
		out = append(out, f.Fact)
	}
	return out
}
