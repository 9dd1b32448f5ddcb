package api_test

import (
	"testing"

	"soloright/api"
	"soloright/content"
)

// A fact stands on its own page with the figures of the list that led there: of
// its procedure's facts, or of all, which pull at it otherwise.
func TestOneFactHasTheFiguresOfItsList(t *testing.T) {
	s := newSite(t)
	bad := s.someFact(joint, func(f content.Fact) bool { return f.Kind == content.KindTarget })
	s.crew(joint, 4, 3, func(int) content.FactID { return bad.ID })
	s.crew("energy-isolation", 3, 3, func(int) content.FactID { return "" })
	trainer := s.role(api.Trainer)
	var got [2]api.LessonLine
	for i, ask := range []api.LessonAsk{{}, {Procedure: joint}} {
		list := s.lessons(trainer, ask).Lines[0]
		v, err := s.LessonFact(t.Context(), trainer, api.LessonAsk{Procedure: joint, Among: ask.Procedure == ""}, bad.ID)
		if err != nil || v.Working != nil || v.Ask.Procedure != joint {
			t.Fatalf("%+v: %v, working %v", v.Ask, err, v.Working)
		}
		if list.Fact != bad.ID || v.Line.Held != list.Held || v.Line.Short != list.Short {
			t.Errorf("asked %+v: the list says %+v, the page %+v", ask, list, v.Line)
		}
		got[i] = v.Line
	}
	if got[0].Held == got[1].Held {
		t.Error("the other procedure's facts change nothing: the test cannot fail")
	}
}
