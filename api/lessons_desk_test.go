package api_test

import (
	"testing"
	"time"

	"soloright/api"
	"soloright/content"
	"soloright/scoring/clearance"
)

// What was worked out stands until something changes that it stands on: a new
// sitting, a crew, a policy.
func TestLessonsStandUntilSomethingChanges(t *testing.T) {
	s := newSite(t)
	people := s.crew(joint, 2, 1, func(int) content.FactID { return "" })
	trainer := s.role(api.Trainer)
	was := s.lessons(trainer, api.LessonAsk{}).AsOf
	still := func(what string, want bool) {
		t.Helper()
		s.wait(time.Minute)
		is := s.lessons(trainer, api.LessonAsk{}).AsOf
		if is.Equal(was) != want {
			t.Errorf("%s: worked out as of %v, before as of %v", what, is, was)
		}
		was = is
	}
	still("asked again", true)
	s.crew("aodd-air-side", 1, 1, func(int) content.FactID { return "" })
	still("after a sitting", false)
	still("asked again", true)
	name := "Another name"
	if _, err := s.ChangeAccount(t.Context(), api.Operator(), api.ChangeAccount{Person: people[0].ID, Name: &name}); err != nil {
		t.Fatal(err)
	}
	still("after a name changed", false)
	p := clearance.DefaultPolicy()
	p.Wanted = 75
	if _, err := s.SetPolicy(t.Context(), s.role(api.SafetyOfficer), api.SetPolicy{Procedure: joint, Policy: p}); err != nil {
		t.Fatal(err)
	}
	still("after the level wanted changed", false)
	still("asked again", true)
}
