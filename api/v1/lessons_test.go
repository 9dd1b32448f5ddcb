package v1

import (
	"net/url"
	"reflect"
	"time"

	"soloright/api"
)

// lessonSamples are requests about lessons that are right but for who sends them.
func (s *site) lessonSamples() map[string]call {
	return map[string]call{
		"lessons":      {path: "/lessons?fact=1&person=1"},
		"lessonFact":   {path: "/lessons/facts/energy-isolation?fact=isolation/shutdown"},
		"lessonPerson": {path: "/lessons/people/" + s.person[api.Trainer].ID},
		"myLessons":    {path: "/me/lessons"},
	}
}

func init() {
	mayNot["lessons"], mayNot["lessonFact"], mayNot["lessonPerson"], mayNot["myLessons"] = api.Technician, api.Technician, api.Technician, api.Administrator
}

// worked sends a request until what it asks for is worked out.
func (s *site) worked(path, as string, into any, period func() Period) {
	s.t.Helper()
	for range 300 {
		reflect.ValueOf(into).Elem().SetZero()
		s.do(call{method: "GET", path: path, as: as}, 200).into(into)
		if p := period(); p.Working == nil {
			if p.AsOf == nil {
				s.t.Errorf("%s: worked out, and no time", path)
			}
			return
		} else if p.Working.Stage == "" {
			s.t.Errorf("%s: under way, and no stage", path)
		}
		time.Sleep(20 * time.Millisecond)
	}
	s.t.Fatalf("%s is never worked out", path)
}

// teach reads what was not held in all that was sat before.
func (s *site) teach(sat Sitting) {
	trainer, own := s.token[api.Trainer], s.token[api.Technician]
	var all Lessons
	s.worked("/lessons", trainer, &all, func() Period { return all.Period })
	if all.First == nil || len(all.Lessons) == 0 || all.Answers == 0 || len(all.Pairs) != len(all.Lessons) || len(all.Topics) == 0 || len(all.Models) == 0 || len(all.Everyone) == 0 {
		s.t.Fatalf("lessons: %d of %d answers, first %+v", len(all.Lessons), all.Answers, all.First)
	}
	for i, row := range all.Pairs {
		if len(row) != len(all.People) || row[0].Theirs != (row[0].Held != nil) {
			s.t.Errorf("row %d has %d pairs for %d people", i, len(row), len(all.People))
		}
	}
	var whole Lessons
	s.worked("/lessons?whole=yes", trainer, &whole, func() Period { return whole.Period })
	if len(whole.Lessons) != whole.Facts || len(whole.Lessons) <= len(all.Lessons) && whole.Facts > api.LessonFacts {
		s.t.Errorf("the whole has %d lessons of %d facts", len(whole.Lessons), whole.Facts)
	}
	var fact FactLesson
	first := all.First
	s.worked("/lessons/facts/"+first.Procedure+"?fact="+url.QueryEscape(string(first.Fact)), trainer, &fact, func() Period { return fact.Period })
	if fact.Fact != first.Fact || fact.Lesson == nil || len(fact.People) == 0 || fact.StepText == "" {
		s.t.Errorf("one fact: %+v", fact)
	}
	s.worked("/lessons/facts/"+first.Procedure+"?among=all&fact="+url.QueryEscape(string(first.Fact)), trainer, &fact, func() Period { return fact.Period })
	if fact.Lesson == nil || fact.Lesson.Why != first.Why || fact.Lesson.Short != first.Short {
		s.t.Errorf("the list says %+v, the fact %+v", first, fact.Lesson)
	}
	var mine PersonLesson
	s.worked("/me/lessons", own, &mine, func() Period { return mine.Period })
	if mine.Whole == nil || mine.Who.Person != sat.Person || len(mine.Growth) == 0 {
		s.t.Errorf("my own: %+v", mine)
	}
	s.worked("/lessons/people/"+sat.Person, trainer, &mine, func() Period { return mine.Period })
	s.wrongLessons(trainer)
}

func (s *site) wrongLessons(trainer string) {
	for path, status := range map[string]int{
		"/lessons?from=yesterday": 422, "/lessons?whole=no": 422, "/lessons?fact=0": 422, "/lessons?person=x": 422, "/lessons?from=2026-03-02&to=2026-03-01": 422, "/lessons?procedure=none": 404,
		"/lessons/facts/none?fact=x": 404, "/lessons/facts/energy-isolation?fact=none": 404, "/lessons/facts/energy-isolation?fact=x&to=x": 422, "/lessons/facts/energy-isolation?fact=x&among=some": 422,
		"/lessons/people/nobody": 404, "/lessons/people/" + s.person[api.Trainer].ID + "?to=x": 422, "/me/lessons?procedure=none": 404, "/me/lessons?from=x": 422,
	} {
		s.do(call{method: "GET", path: path, as: trainer}, status)
	}
}
