package api_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"soloright/api"
	"soloright/content"
	"soloright/quiz"
	"soloright/scoring"
	"soloright/scoring/clearance"
)

func (s *site) preview(sub api.ItemSubject) api.Remark {
	s.t.Helper()
	plan, err := s.RemarkPreview(s.t.Context(), s.role(api.SafetyOfficer), api.RemarkQuery{ItemSubject: sub})
	if err != nil {
		s.t.Fatal(err)
	}
	return plan
}

func (s *site) remark(plan api.Remark) api.Remark {
	s.t.Helper()
	done, err := s.Remark(s.t.Context(), s.role(api.SafetyOfficer), api.RemarkCommand{ItemSubject: plan.Withdrawal.ItemSubject, Digest: plan.Digest, Reason: because})
	if err != nil {
		s.t.Fatal(err)
	}
	return done
}

// A sitting failed by a miss on an isolation item that was wrong passes when it is
// marked again without it: from then on, with a new marking, and on the record.
func TestFailedByAWithdrawnItem(t *testing.T) {
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
	if r := s.hand(c, sit.ID); r.Final != scoring.Failed {
		t.Fatalf("isolation missed: %s", r.Final)
	}
	s.wait(2 * time.Hour)
	s.withdraw(subjectOf(bad))
	at, before := s.last(), s.now()
	plan := s.preview(subjectOf(bad))
	if len(plan.Changes) != 1 {
		t.Fatalf("%+v", plan)
	}
	ch := plan.Changes[0]
	if ch.Sitting != sit.ID || ch.Was != scoring.Failed || ch.Is != scoring.Passed || !ch.Turns() || ch.IsFinal != "passed" || len(ch.Left) != 1 || ch.Person.ID != p.ID {
		t.Errorf("%+v", ch)
	}
	if s.last() != at {
		t.Error("looking at it put something on the record")
	}
	s.wait(time.Minute)
	s.remark(plan)
	s.wantKinds(at, "sitting re-marked")
	r, err := s.Result(t.Context(), c, sit.ID)
	if err != nil || r.Final != scoring.Passed || len(r.Outcome.LeftOut()) != 1 || r.Outcome.Of != r.Sitting.Items-1 {
		t.Errorf("the result: %s of %d, left out %v, %v", r.Final, r.Outcome.Of, r.Outcome.LeftOut(), err)
	}
	was, err := s.Standing(t.Context(), c, api.StandingQuery{Person: p.ID, Procedure: pump, On: content.DateOf(before), Known: before})
	is := s.standing(p, content.DateOf(s.now()))
	if err != nil || slices.Equal(was.Next, is.Next) {
		t.Errorf("as known before there was to do %v, now %v; %v", was.Next, is.Next, err)
	}
	if again := s.preview(subjectOf(bad)); len(again.Changes) != 0 {
		t.Errorf("marked again, and a preview shows %+v", again.Changes)
	}
	if rep := s.replay(); len(rep.Differences) > 0 {
		t.Errorf("the record does not replay: %v", rep.Differences)
	}
	s.sound()
}

// A pass that rested on a withdrawn item is none any more, and the clearance that
// rested on the pass goes with it; the preview says so before.
func TestPassedByAWithdrawnItem(t *testing.T) {
	s := newSite(t)
	s.lone("Z", false, nil)
	p := s.add("pat", api.Technician)
	c := s.as(p)
	sit := s.open(c, api.Qualifying)
	form := s.form(sit.ID)
	need := (int(form.Cut)*len(form.Items) + 99) / 100
	wrong := len(form.Items) - need
	var held []quiz.Item
	s.answer(c, sit.ID, func(n int, it quiz.Item) quiz.Answer {
		if wrong > 0 && criticals(it) == 0 {
			wrong--
			return quiz.Answer{}
		}
		if criticals(it) == 0 {
			held = append(held, it)
		}
		return s.right(n, it)
	})
	if r := s.hand(c, sit.ID); r.Final != scoring.Passed {
		t.Fatalf("just at the cut: %s, %d %%", r.Final, r.Outcome.Percent)
	}
	s.clear(p, "Z")
	if st := s.standing(p, content.DateOf(s.now())); st.State != clearance.Cleared {
		t.Fatalf("%+v", st)
	}
	s.wait(2 * time.Hour)
	for _, it := range held {
		s.withdraw(subjectOf(it))
		plan := s.preview(subjectOf(it))
		ch := plan.Changes[0]
		s.remark(plan)
		if !ch.Turns() {
			continue
		}
		if ch.WasFinal != "passed" || ch.IsFinal != "failed" || ch.WasStanding != clearance.Cleared || ch.IsStanding == clearance.Cleared || !ch.Touches() {
			t.Errorf("%+v", ch)
		}
		if st := s.standing(p, content.DateOf(s.now())); st.State != ch.IsStanding {
			t.Errorf("the preview said %s, the standing is %s", ch.IsStanding, st.State)
		}
		if rep := s.replay(); len(rep.Differences) > 0 {
			t.Errorf("the record does not replay: %v", rep.Differences)
		}
		s.sound()
		return
	}
	t.Error("however many items were withdrawn, the pass stood")
}

// A confirming step is marked again by what its first sitting comes out as.
func TestConfirmedWithAWithdrawnItem(t *testing.T) {
	s := newSite(t)
	c := s.as(s.add("pat", api.Technician))
	sit := s.open(c, api.Qualifying)
	s.missOne(c, sit)
	s.hand(c, sit.ID)
	conf, err := s.OpenConfirming(t.Context(), c, sit.ID)
	if err != nil {
		t.Fatal(err)
	}
	var missed quiz.Item
	s.answer(c, conf.ID, func(n int, it quiz.Item) quiz.Answer {
		if n == 1 {
			missed = it
			return quiz.Answer{}
		}
		return s.right(n, it)
	})
	s.hand(c, conf.ID)
	item := subjectOf(missed)
	item.Item = missed.ID
	s.withdraw(item)
	if plan := s.preview(item); len(plan.Changes) != 0 || len(plan.Waiting) != 1 {
		t.Errorf("within the hour: %+v", plan)
	}
	s.wait(2 * time.Hour)
	plan := s.preview(item)
	if len(plan.Changes) != 2 || plan.Changes[0].Sitting != sit.ID || plan.Changes[0].IsFinal != "passed" || plan.Changes[1].Confirms != sit.ID {
		t.Fatalf("%+v", plan.Changes)
	}
	s.remark(plan)
	if r, err := s.Result(t.Context(), c, sit.ID); err != nil || r.Final != scoring.Passed {
		t.Errorf("%s, %v", r.Final, err)
	}
	if rep := s.replay(); len(rep.Differences) > 0 {
		t.Errorf("the record does not replay: %v", rep.Differences)
	}
	s.sound()
}

// What was looked at is what is done, or nothing is.
func TestRemarkIsWhatWasShown(t *testing.T) {
	s := newSite(t)
	c := s.as(s.add("pat", api.Technician))
	sit := s.open(c, api.Qualifying)
	s.answer(c, sit.ID, s.right)
	s.hand(c, sit.ID)
	_, it := s.often(sit)
	sub := subjectOf(it)
	_, err := s.RemarkPreview(t.Context(), s.role(api.SafetyOfficer), api.RemarkQuery{ItemSubject: sub})
	wantKind(t, err, api.Conflict)
	s.withdraw(sub)
	twin := s.twin(sub)
	s.wait(2 * time.Hour)
	plan := s.preview(sub)
	if len(plan.Changes) != 2 || twin == "" {
		t.Fatalf("%+v", plan.Changes)
	}
	if err := s.VoidSitting(t.Context(), s.role(api.SafetyOfficer), api.VoidCommand{Sitting: sit.ID, Reason: "a neighbour helped out"}); err != nil {
		t.Fatal(err)
	}
	at := s.last()
	_, err = s.Remark(t.Context(), s.role(api.SafetyOfficer), api.RemarkCommand{ItemSubject: sub, Digest: plan.Digest, Reason: because})
	wantKind(t, err, api.Conflict)
	if s.last() != at {
		t.Error("something was put on the record")
	}
	s.remark(s.preview(sub))
	_, err = s.Remark(t.Context(), s.role(api.SafetyOfficer), api.RemarkCommand{ItemSubject: sub, Digest: s.preview(sub).Digest, Reason: because})
	wantKind(t, err, api.Conflict) // nothing is left to do
}

// finds opens qualifying sittings for new technicians until a form holds an item of
// the kind wanted.
func (s *site) finds(want func(quiz.Item) bool) (api.Person, api.Caller, api.Sitting) {
	s.t.Helper()
	for i := range 60 {
		p := s.add(fmt.Sprint("finder", i), api.Technician)
		c := s.as(p)
		sit := s.open(c, api.Qualifying)
		if slices.ContainsFunc(s.form(sit.ID).Items, want) {
			return p, c, sit
		}
	}
	s.t.Fatal("no form holds it")
	return api.Person{}, api.Caller{}, api.Sitting{}
}

// twin has somebody else sit on the subject, while it is taken up again for that.
func (s *site) twin(sub api.ItemSubject) string {
	s.t.Helper()
	if _, err := s.TakeUpItem(s.t.Context(), s.role(api.Trainer), api.WithdrawCommand{ItemSubject: sub, Reason: because}); err != nil {
		s.t.Fatal(err)
	}
	_, c, sit := s.finds(func(it quiz.Item) bool { return subjectOf(it) == sub })
	s.answer(c, sit.ID, s.right)
	s.hand(c, sit.ID)
	s.withdraw(sub)
	return sit.ID
}

// Who marks their own sitting again is refused; practice is left alone.
func TestNobodyMarksAgainForThemselves(t *testing.T) {
	s := newSite(t)
	officer := s.role(api.SafetyOfficer)
	sit := s.open(officer, api.Qualifying)
	s.answer(officer, sit.ID, s.right)
	s.hand(officer, sit.ID)
	_, it := s.often(sit)
	practice := s.as(s.add("pat", api.Technician))
	for range 4 {
		p := s.open(practice, api.Practice)
		s.answer(practice, p.ID, s.right)
		s.hand(practice, p.ID)
	}
	s.withdraw(subjectOf(it))
	s.wait(2 * time.Hour)
	plan := s.preview(subjectOf(it))
	if len(plan.Changes) != 1 || plan.Changes[0].Sitting != sit.ID {
		t.Errorf("%+v", plan.Changes)
	}
	_, err := s.Remark(t.Context(), officer, api.RemarkCommand{ItemSubject: subjectOf(it), Digest: plan.Digest, Reason: because})
	wantKind(t, err, api.Forbidden)
	for _, r := range []api.Role{api.Technician, api.Trainer, api.Administrator} {
		_, err := s.Remark(t.Context(), s.role(r), api.RemarkCommand{ItemSubject: subjectOf(it), Digest: plan.Digest, Reason: because})
		wantKind(t, err, api.Forbidden)
	}
}

// A marking that leaves out what nobody withdrew is found by the replay.
func TestLeavingOutNeedsAWithdrawal(t *testing.T) {
	s := newSite(t)
	sit := s.history()
	s.tamper("marks", `UPDATE marks SET outcome = CAST(replace(CAST(outcome AS TEXT), '"mark":"0"', '"left":true,"mark":"0"') AS BLOB) WHERE sitting = ?`, sit.ID)
	found := false
	for _, d := range s.replay().Differences {
		found = found || d.Sitting == sit.ID && strings.Contains(d.What, "nobody had withdrawn")
	}
	if !found {
		t.Error("a sheet is left out, and nobody asks why")
	}
}
