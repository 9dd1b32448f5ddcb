package api_test

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"soloright/api"
	"soloright/content"
	"soloright/quiz"
)

// health waits for the analysis that reading starts, and reads again.
func (s *site) itemsHealth() api.ItemsHealth {
	s.t.Helper()
	c := s.role(api.Trainer)
	if _, err := s.ItemsHealth(s.t.Context(), c, pump); err != nil {
		s.t.Fatal(err)
	}
	api.WaitHealth(s.App)
	out, err := s.ItemsHealth(s.t.Context(), c, pump)
	if err != nil {
		s.t.Fatal(err)
	}
	return out
}

// crowd has people sit once each, by choose.
func (s *site) crowd(n int, mode api.Mode, choose func(person, sheet int, it quiz.Item) quiz.Answer) (all []api.Sitting) {
	s.t.Helper()
	for i := range n {
		crew := []string{"Day", "Night"}[i%2]
		p := s.add(fmt.Sprintf("crowd%d-%s-%d", i, mode, s.last()), api.Technician)
		if _, err := s.ChangeAccount(s.t.Context(), s.role(api.Administrator), api.ChangeAccount{Person: p.ID, Crew: &crew}); err != nil {
			s.t.Fatal(err)
		}
		c := s.as(p)
		sit := s.open(c, mode)
		s.answer(c, sit.ID, func(n int, it quiz.Item) quiz.Answer { return choose(i, n, it) })
		s.wait(10 * time.Minute)
		s.hand(c, sit.ID)
		all = append(all, sit)
	}
	return all
}

// The first reading starts an analysis in the background and says so; the next
// one has its result with what it knew. What is marked later makes it out of date,
// and starts another one once it is old enough.
func TestItemsAreAnalysedInTheBackground(t *testing.T) {
	s := newSite(t)
	s.crowd(4, api.Qualifying, func(_, _ int, it quiz.Item) quiz.Answer { return s.right(0, it) })
	c := s.role(api.Trainer)
	first, err := s.ItemsHealth(t.Context(), c, pump)
	if err != nil || first.Report != nil || first.Progress == nil || first.Progress.Doing == "" {
		t.Fatalf("%+v, %v", first, err)
	}
	out := s.itemsHealth()
	if out.Report == nil || out.Stale || out.Progress != nil || out.AsOf.Sittings != 4 || out.Report.People != 4 || len(out.Report.Items) < 24 || out.Failed != "" {
		t.Fatalf("%+v", out)
	}
	s.crowd(1, api.Qualifying, func(_, _ int, it quiz.Item) quiz.Answer { return s.right(0, it) })
	if out, err = s.ItemsHealth(t.Context(), c, pump); err != nil || !out.Stale || out.Report.People != 4 || out.Progress == nil {
		t.Errorf("a later marking: %+v, %v", out.AsOf, err)
	}
	api.WaitHealth(s.App)
	if out, err = s.ItemsHealth(t.Context(), c, pump); err != nil || out.Stale || out.Report.People != 5 {
		t.Errorf("worked out anew: %+v, %v", out.AsOf, err)
	}
	s.Stop()
	if p, err := s.AnalyseItems(t.Context(), c); err != nil || p.Doing != "the program is stopping" {
		t.Errorf("after the end: %+v, %v", p, err)
	}
}

// What is struck out counts no more; a sheet left out does not either; in practice
// the blank sheets after the last answered one were not reached.
func TestWhatCountsForItems(t *testing.T) {
	s := newSite(t)
	all := s.crowd(3, api.Qualifying, func(_, _ int, it quiz.Item) quiz.Answer { return s.right(0, it) })
	s.crowd(1, api.Practice, func(_, n int, it quiz.Item) quiz.Answer {
		if n == 2 || n > 5 {
			return quiz.Answer{}
		}
		return s.right(n, it)
	})
	size := len(s.form(all[0].ID).Items)
	if out := s.itemsHealth(); out.AsOf.Answers != 3*size+5 {
		t.Errorf("%d answers, want %d of three sittings and 5 of a practice", out.AsOf.Answers, 3*size)
	}
	if err := s.VoidSitting(t.Context(), s.role(api.SafetyOfficer), api.VoidCommand{Sitting: all[0].ID, Reason: "a neighbour helped out"}); err != nil {
		t.Fatal(err)
	}
	_, it := s.often(all[1])
	s.withdraw(subjectOf(it))
	s.wait(2 * time.Hour)
	plan := s.preview(subjectOf(it))
	s.remark(plan)
	if out := s.itemsHealth(); out.AsOf.Answers != 2*size+5-len(plan.Changes) || out.AsOf.Sittings != 3 {
		t.Errorf("%d answers of %d sittings; %d sheets were left out", out.AsOf.Answers, out.AsOf.Sittings, len(plan.Changes))
	}
}

// One family: its lines, what it states, and whether forms can do without it.
func TestOneItem(t *testing.T) {
	s := newSite(t)
	all := s.crowd(2, api.Qualifying, func(_, _ int, it quiz.Item) quiz.Answer { return s.right(0, it) })
	s.itemsHealth()
	_, it := s.often(all[0])
	c := s.role(api.Trainer)
	out, err := s.ItemHealth(t.Context(), c, pump, it.Lead, it.Model)
	if err != nil || len(out.Health) != 1 || !out.Health[0].Current || out.Fact.ID != it.Lead || out.Unmet != "" {
		t.Fatalf("%+v, %v", out.Health, err)
	}
	texts := []string{}
	for _, o := range out.Health[0].Options {
		texts = append(texts, o.Text)
	}
	for _, o := range it.Interaction.Options {
		if o.Text != "" && !slices.Contains(texts, o.Text) {
			t.Errorf("the option %q is not told of: %q", o.Text, texts)
		}
	}
	_, err = s.ItemHealth(t.Context(), c, pump, "facing/none", it.Model)
	wantKind(t, err, api.NotFound)
	_, err = s.ItemHealth(t.Context(), c, pump, it.Lead, "no-such-model")
	wantKind(t, err, api.NotFound)
	_, err = s.ItemsHealth(t.Context(), c, "none")
	wantKind(t, err, api.NotFound)
}

// While a qualifying sitting is open, its own trainer does not see which options are right.
func TestItemsAreAClosedBook(t *testing.T) {
	s := newSite(t)
	c := s.role(api.Trainer)
	s.open(c, api.Qualifying)
	_, err := s.ItemsHealth(t.Context(), c, pump)
	wantKind(t, err, api.Conflict)
}

// Forms that need what is withdrawn cannot be set, and the item's page says so.
func TestWithdrawalThatStopsForms(t *testing.T) {
	s := newSite(t)
	p, err := s.Procedure(t.Context(), s.role(api.Trainer), pump, "")
	if err != nil {
		t.Fatal(err)
	}
	var last api.ItemSubject
	gone := map[api.ItemSubject]bool{}
	for _, f := range content.Facts(p) {
		if f.Kind.Topic() != content.TopicTightening {
			continue
		}
		pf, err := s.PreviewOf(t.Context(), s.role(api.Trainer), pump, "", "", f.ID, quiz.Seed{})
		if err != nil {
			continue // only other builds state it
		}
		for _, it := range pf.Items {
			if last = subjectOf(it); !gone[last] {
				gone[last] = true
				s.withdraw(last)
			}
		}
	}
	out, err := s.ItemHealth(t.Context(), s.role(api.Trainer), pump, last.Fact, last.Model)
	if err != nil || out.Unmet == "" || len(out.Withdrawn) == 0 {
		t.Errorf("nothing on tightening is left, and: %q, %v", out.Unmet, err)
	}
}
