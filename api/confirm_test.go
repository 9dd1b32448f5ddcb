package api_test

import (
	"slices"
	"testing"
	"time"

	"soloright/api"
	"soloright/quiz"
	"soloright/scoring"
)

// missOne answers everything right but for one sheet that tests critical facts,
// none on isolation, so that the sitting is to confirm.
func (s *site) missOne(c api.Caller, sit api.Sitting) {
	s.t.Helper()
	missed := false
	s.answer(c, sit.ID, func(n int, it quiz.Item) quiz.Answer {
		if !missed && criticals(it) == 1 {
			missed = true
			return quiz.Answer{}
		}
		return s.right(n, it)
	})
	if !missed {
		s.t.Fatal("this form has no sheet with one critical fact off isolation")
	}
}

// criticals counts the critical facts of an item; −1 where one is on isolation.
func criticals(it quiz.Item) int {
	n := 0
	for _, f := range it.Facts {
		if f.Isolation {
			return -1
		}
		if f.Critical {
			n++
		}
	}
	return n
}

func TestTheConfirmingStep(t *testing.T) {
	for _, end := range []struct {
		name  string
		right bool
		want  scoring.Verdict
	}{{"all right", true, scoring.Passed}, {"blank", false, scoring.Failed}} {
		t.Run(end.name, func(t *testing.T) {
			s := newSite(t)
			c := s.role(api.Technician)
			sit := s.open(c, api.Qualifying)
			s.missOne(c, sit)
			s.wait(20 * time.Minute)
			r := s.hand(c, sit.ID)
			if r.Final != scoring.ToConfirm {
				t.Fatalf("one critical fact missed: %s, %d %%, missed %v", r.Final, r.Outcome.Percent, r.Outcome.Critical)
			}
			conf, err := s.OpenConfirming(t.Context(), c, sit.ID)
			if err != nil {
				t.Fatal(err)
			}
			if again, err := s.OpenConfirming(t.Context(), c, sit.ID); err != nil || again.ID != conf.ID {
				t.Errorf("begun twice: %s and %s, %v", conf.ID, again.ID, err)
			}
			s.checkConfirming(sit, conf, r)
			if end.right {
				s.answer(c, conf.ID, s.right)
			}
			s.hand(c, conf.ID)
			if r, err = s.Result(t.Context(), c, sit.ID); err != nil || r.Final != end.want {
				t.Errorf("confirming step %s: %s, %v; want %s", end.name, r.Final, err, end.want)
			}
			s.checkListed(c, sit.ID, end.want)
		})
	}
}

// checkListed: a list says of the sitting what its result says, whoever reads it.
func (s *site) checkListed(c api.Caller, id string, want scoring.Verdict) {
	s.t.Helper()
	own, err := s.Sittings(s.t.Context(), c, api.SittingFilter{Person: s.person(c)})
	if err != nil {
		s.t.Fatal(err)
	}
	all, err := s.Sittings(s.t.Context(), s.role(api.Trainer), api.SittingFilter{})
	if err != nil {
		s.t.Fatal(err)
	}
	for _, list := range [][]api.Sitting{own, all} {
		at := slices.IndexFunc(list, func(x api.Sitting) bool { return x.ID == id })
		if at < 0 || list[at].Final != string(want) {
			s.t.Errorf("the list does not say %s of %s: %+v", want, id, list)
		}
	}
}

// checkConfirming: two fresh items for each missed fact.
func (s *site) checkConfirming(first, conf api.Sitting, r api.Result) {
	s.t.Helper()
	met := map[string]bool{}
	for _, it := range s.form(first.ID).Items {
		met[it.ID] = true
	}
	on := map[string]int{}
	for _, it := range s.form(conf.ID).Items {
		if met[it.ID] {
			s.t.Errorf("item %s (%s) of the confirming step is not fresh", it.ID, it.Model)
		}
		for _, f := range it.Facts {
			on[string(f.Fact)]++
		}
	}
	for _, m := range r.Outcome.Critical {
		if on[string(m.Fact)] < 2 {
			s.t.Errorf("%d items on the missed fact %s, want 2", on[string(m.Fact)], m.Fact)
		}
	}
}

func TestTheConfirmingStepMustBeginInTime(t *testing.T) {
	s := newSite(t)
	c := s.role(api.Technician)
	sit := s.open(c, api.Qualifying)
	s.missOne(c, sit)
	s.hand(c, sit.ID)
	s.wait(api.ConfirmWithin + time.Second)
	_, err := s.OpenConfirming(t.Context(), c, sit.ID)
	wantKind(t, err, api.Conflict)
	if r, err := s.Result(t.Context(), c, sit.ID); err != nil || r.Final != scoring.Failed {
		t.Errorf("after the hour: %s, %v; want failed", r.Final, err)
	}
	s.checkListed(c, sit.ID, scoring.Failed)
}

func TestAConfirmingStepWhoseTimeIsUpIsHandedIn(t *testing.T) {
	s := newSite(t)
	c := s.role(api.Technician)
	sit := s.open(c, api.Qualifying)
	s.missOne(c, sit)
	s.hand(c, sit.ID)
	conf, err := s.OpenConfirming(t.Context(), c, sit.ID)
	if err != nil {
		t.Fatal(err)
	}
	s.answer(c, conf.ID, s.right)
	s.wait(conf.Deadline.Sub(s.now()) + time.Second)
	if r, err := s.Result(t.Context(), c, sit.ID); err != nil || r.Final != scoring.Passed {
		t.Errorf("all right and handed in by the clock: %s, %v; want passed", r.Final, err)
	}
}
