package api_test

import (
	"slices"
	"testing"

	"soloright/api"
	"soloright/content"
	"soloright/quiz"
)

// Once it is worked out what somebody does not hold, practice brings it up: with
// fresh items, kept with the form, and the replay sets the same form again.
func TestPracticeBringsUpWhatIsWeak(t *testing.T) {
	s := newSite(t)
	bad := s.someFact(joint, func(f content.Fact) bool { return f.Kind == content.KindTarget })
	people := s.crew(joint, 3, 3, func(int) content.FactID { return bad.ID })
	own := s.as(people[0])
	practise := func() quiz.Form {
		t.Helper()
		sit, err := s.OpenSitting(t.Context(), own, api.OpenSitting{Procedure: joint, Build: "b4", Mode: api.Practice})
		if err != nil {
			t.Fatal(err)
		}
		s.answer(own, sit.ID, s.right)
		s.hand(own, sit.ID)
		return s.form(sit.ID)
	}
	if f := practise(); len(f.Weak) != 0 {
		t.Errorf("weak facts %v before anything was worked out", f.Weak)
	}
	s.lessons(s.role(api.Trainer), api.LessonAsk{})
	f := practise()
	if len(f.Weak) == 0 || len(f.Weak) > 8 || f.Weak[0] != bad.ID {
		t.Fatalf("weak facts: %v, want %s first", f.Weak, bad.ID)
	}
	for _, weak := range f.Weak {
		if !slices.ContainsFunc(f.Items, func(it quiz.Item) bool {
			return slices.ContainsFunc(it.Facts, func(t quiz.Tested) bool { return t.Fact == weak })
		}) {
			t.Errorf("the form does not bring up %s", weak)
		}
	}
	if rep := s.replay(); len(rep.Differences) != 0 || rep.Reassembled == 0 {
		t.Errorf("set again: %+v", rep)
	}
	// A qualifying form is not bent towards anybody.
	sit, err := s.OpenSitting(t.Context(), own, api.OpenSitting{Procedure: joint, Build: "b4", Mode: api.Qualifying})
	if err != nil {
		t.Fatal(err)
	}
	if f := s.form(sit.ID); len(f.Weak) != 0 {
		t.Errorf("a qualifying form has weak facts %v", f.Weak)
	}
}
