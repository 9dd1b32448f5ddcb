package api_test

import (
	"testing"

	"soloright/api"
	"soloright/quiz"
	"soloright/scoring/itemstat"
)

// With the cut at 80 % the check tells .60 from .85 at .025 each. Wald's boundaries
// for it are published in the check values: at 20 answers 18 right make a master, 12
// and fewer a non-master.
func TestMasteryOfPractice(t *testing.T) {
	s := newSite(t)
	c := s.role(api.Technician)
	sit := s.open(c, api.Practice)
	m, err := s.Mastery(t.Context(), c, sit.ID)
	if err != nil || m.Of != 0 || m.Verdict != itemstat.GoOn || m.Low != .6 || m.High != .85 {
		t.Fatalf("before anything was explained: %+v, %v", m, err)
	}
	s.answer(c, sit.ID, s.right)
	if m, err = s.Mastery(t.Context(), c, sit.ID); err != nil || m.Of != 0 {
		t.Errorf("answers that are not explained count: %+v, %v", m, err)
	}
	clear := 0
	for n := range s.form(sit.ID).Items {
		if _, err := s.Explain(t.Context(), c, sit.ID, n+1); err != nil {
			t.Fatal(err)
		}
		if m, err = s.Mastery(t.Context(), c, sit.ID); err != nil || m.Right != m.Of || m.Missed != 0 {
			t.Fatalf("after %d sheets, all right: %+v, %v", n+1, m, err)
		}
		// All right: ln(.85/.60) each, 3.663562 in all, is crossed with the eleventh.
		if want := m.Of >= 11; (m.Verdict == itemstat.Master) != want {
			t.Errorf("%d of %d right: %s", m.Right, m.Of, m.Verdict)
		}
		if m.Verdict == itemstat.Master {
			clear++
		}
	}
	if clear == 0 {
		t.Error("all right, and mastery never became clear")
	}
	if _, err := s.Mastery(t.Context(), s.role(api.Trainer), sit.ID); api.KindOf(err) != api.NotFound && api.KindOf(err) != api.Forbidden {
		t.Errorf("somebody else's practice: %v", err)
	}
}

// A critical fact that is missed is counted apart, and its sheet stands outside the
// check.
func TestMasteryLeavesCriticalFactsOut(t *testing.T) {
	s := newSite(t)
	c := s.role(api.Technician)
	sit := s.open(c, api.Practice)
	items := s.form(sit.ID).Items
	s.answer(c, sit.ID, func(int, quiz.Item) quiz.Answer { return quiz.Answer{} })
	plain, critical := 0, 0
	for n, it := range items {
		if _, err := s.Explain(t.Context(), c, sit.ID, n+1); err != nil {
			t.Fatal(err)
		}
		has := 0
		for _, f := range it.Facts {
			if f.Critical {
				has++
			}
		}
		critical += has
		if has == 0 {
			plain++
		}
	}
	m, err := s.Mastery(t.Context(), c, sit.ID)
	if err != nil || m.Of != plain || m.Right != 0 || m.Missed != critical || m.Verdict != itemstat.NonMaster {
		t.Errorf("all blank: %+v, %v; want %d sheets without and %d critical facts missed", m, err, plain, critical)
	}
}
