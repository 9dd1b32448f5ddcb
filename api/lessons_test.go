package api_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"soloright/api"
	"soloright/content"
	"soloright/content/library"
	"soloright/quiz"
)

const joint = "flanged-joint"

// crew has so many technicians practise a procedure some times. Whoever badly
// holds of leaves every sheet empty that tests the fact; all else is right.
func (s *site) crew(procedure string, people, times int, badly func(person int) content.FactID) []api.Person {
	s.t.Helper()
	var out []api.Person
	for i := range people {
		p := s.add(fmt.Sprintf("%s-%02d", procedure[:4], i), api.Technician)
		out = append(out, p)
		c := s.as(p)
		for range times {
			sit, err := s.OpenSitting(s.t.Context(), c, api.OpenSitting{Procedure: procedure, Build: map[string]string{joint: "b4"}[procedure], Mode: api.Practice})
			if err != nil {
				s.t.Fatal(err)
			}
			s.answer(c, sit.ID, func(n int, it quiz.Item) quiz.Answer {
				for _, f := range it.Facts {
					if f.Fact == badly(i) {
						return quiz.Answer{}
					}
				}
				return s.right(n, it)
			})
			s.hand(c, sit.ID)
			s.wait(time.Hour)
		}
	}
	return out
}

// lessons waits until what is asked is worked out anew.
func (s *site) lessons(c api.Caller, ask api.LessonAsk) api.LessonsView {
	s.t.Helper()
	for range 200 {
		v, err := s.Lessons(s.t.Context(), c, ask)
		if err != nil {
			s.t.Fatal(err)
		}
		if v.Working == nil {
			return v
		}
		time.Sleep(20 * time.Millisecond)
	}
	s.t.Fatal("the analysis does not end")
	return api.LessonsView{}
}

// someFact is a fact of a procedure that items test often.
func (s *site) someFact(procedure string, ok func(content.Fact) bool) content.Fact {
	s.t.Helper()
	p, err := s.Procedure(s.t.Context(), api.Operator(), procedure, "")
	if err != nil {
		s.t.Fatal(err)
	}
	for _, f := range content.Facts(p) {
		if ok(f) {
			return f
		}
	}
	s.t.Fatal("no such fact")
	return content.Fact{}
}

func TestTheFirstLineIsWhatTheCrewDoesNotHold(t *testing.T) {
	s := newSite(t)
	bad := s.someFact(joint, func(f content.Fact) bool { return f.Kind == content.KindTarget })
	s.crew(joint, 6, 4, func(int) content.FactID { return bad.ID })
	v := s.lessons(s.role(api.Trainer), api.LessonAsk{})
	if v.Monday == nil || v.Monday.Fact != bad.ID || v.Lines[0].Fact != bad.ID || v.Monday.Missed == 0 {
		t.Fatalf("the first line is %+v, want %s", v.Monday, bad.ID)
	}
	t.Log(v.Monday.Why)
	if l := v.Lines[0]; l.Held.Share.Value > 0.5 || l.Held.Below < 0.95 || l.People != 6 || l.Short < 4 || !strings.Contains(l.Why, fmt.Sprintf("missed in %d of %d answers", l.Missed, l.Answers)) {
		t.Errorf("the badly held fact: %+v", l)
	}
	for _, l := range v.Lines[1:] {
		if l.Missed == 0 && l.Advice != "" || l.Held.Share.Value < v.Lines[0].Held.Share.Value {
			t.Errorf("%s: %q, held %.2f", l.Fact, l.Advice, l.Held.Share.Value)
		}
	}
	if len(v.People) != 6 || len(v.Cells) != len(v.Lines) || len(v.Cells[0]) != 6 || v.Crowd != 6 || v.Total+v.Unasked == 0 {
		t.Errorf("%d people, %d lines of cells for %d lines", len(v.People), len(v.Cells), len(v.Lines))
	}
	for i, c := range v.Cells[0] {
		if !c.Theirs || c.Right != 0 || c.Held.Share.Value > 0.6 || c.Held.Share.Conf != 0.9 {
			t.Errorf("%s on it: %+v", v.People[i].Name, c)
		}
	}
	if !slices.IsSortedFunc(v.Everyone, func(a, b api.LessonGroup) int { return int(1e6 * (a.Held.Share.Value - b.Held.Share.Value)) }) || len(v.Everyone) != 6 {
		t.Errorf("people, worst first: %+v", v.Everyone)
	}
}

// Struck out, it counts no more; outside the period it does not count; of another
// crew it does not count; and each is worked out on its own.
func TestLessonsCountWhatIsAskedAbout(t *testing.T) {
	s := newSite(t)
	bad := s.someFact(joint, func(f content.Fact) bool { return f.Kind == content.KindTarget })
	people := s.crew(joint, 2, 4, func(int) content.FactID { return bad.ID })
	trainer := s.role(api.Trainer)
	all := s.lessons(trainer, api.LessonAsk{})
	if all.Answers == 0 || all.Lines[0].Fact != bad.ID {
		t.Fatalf("%d answers, first %+v", all.Answers, all.Monday)
	}
	sits, err := s.Sittings(t.Context(), trainer, api.SittingFilter{Person: people[0].ID})
	if err != nil {
		t.Fatal(err)
	}
	for _, sit := range sits {
		if err := s.VoidSitting(t.Context(), s.role(api.SafetyOfficer), api.VoidCommand{Sitting: sit.ID, Reason: "sat with the manual open"}); err != nil {
			t.Fatal(err)
		}
	}
	if v := s.lessons(trainer, api.LessonAsk{}); v.Answers >= all.Answers || v.Crowd != 1 {
		t.Errorf("after one person’s sittings were struck out: %d answers of %d people, before %d", v.Answers, v.Crowd, all.Answers)
	}
	year := content.DateOf(s.now().AddDate(-2, 0, 0))
	if v := s.lessons(trainer, api.LessonAsk{From: year, To: content.DateOf(s.now().AddDate(-1, 0, 0))}); v.Answers != 0 || v.Monday != nil || len(v.Lines) != 0 {
		t.Errorf("a year ago: %d answers, %d lines", v.Answers, len(v.Lines))
	}
	if v := s.lessons(trainer, api.LessonAsk{Crew: "nobody's"}); v.Crowd != 0 || len(v.Lines) != 0 {
		t.Errorf("an unknown crew: %d people", v.Crowd)
	}
	if v := s.lessons(trainer, api.LessonAsk{Procedure: "energy-isolation"}); v.Answers != 0 {
		t.Errorf("another procedure: %d answers", v.Answers)
	}
	_, err = s.Lessons(t.Context(), trainer, api.LessonAsk{Procedure: "none"})
	wantKind(t, err, api.NotFound)
	_, err = s.Lessons(t.Context(), trainer, api.LessonAsk{From: content.DateOf(s.now()), To: year})
	wantKind(t, err, api.Invalid)
}

func TestOneFact(t *testing.T) {
	s := newSite(t)
	bad := s.someFact(joint, func(f content.Fact) bool { return f.Kind == content.KindTarget })
	s.crew(joint, 7, 5, func(p int) content.FactID {
		if p == 0 {
			return ""
		}
		return bad.ID
	})
	s.lessons(s.role(api.Trainer), api.LessonAsk{Procedure: joint})
	v, err := s.LessonFact(t.Context(), s.role(api.Trainer), api.LessonAsk{Procedure: joint}, bad.ID)
	if err != nil || v.Working != nil {
		t.Fatalf("%v, working %v", err, v.Working)
	}
	if v.Fact.ID != bad.ID || v.StepText == "" || !v.Asked || v.Line.Rank != 1 || len(v.People) != 7 {
		t.Errorf("the fact: %+v", v)
	}
	if last := v.People[6]; !strings.HasSuffix(last.Name, "-00") || last.Right != last.Answers || last.Last.IsZero() {
		t.Errorf("who holds it best is %+v", last)
	}
	if v.Learning.First.N != 7 || v.Learning.First.N+v.Learning.Repeats.N != v.Line.Answers {
		t.Errorf("%d first meetings and %d repeats of %d answers", v.Learning.First.N, v.Learning.Repeats.N, v.Line.Answers)
	}
	if (v.Line.Answers < 20) != (v.NotYet == 20) || v.NotYet > 0 && len(v.Instead) > 0 {
		t.Errorf("%d answers, choices told from %d on: %+v", v.Line.Answers, v.NotYet, v.Instead)
	}
	_, err = s.LessonFact(t.Context(), s.role(api.Trainer), api.LessonAsk{Procedure: joint}, "no/such")
	wantKind(t, err, api.NotFound)
	_, err = s.LessonFact(t.Context(), s.role(api.Trainer), api.LessonAsk{}, bad.ID)
	wantKind(t, err, api.Invalid)
}

// What they choose instead is counted under the same words, however the sheets
// were arranged.
func TestWhatTheyChooseInstead(t *testing.T) {
	s := newSite(t)
	wrongly := map[string]int{}
	for i := range 7 {
		c := s.as(s.add(fmt.Sprintf("wrong-%d", i), api.Technician))
		for range 9 {
			sit, err := s.OpenSitting(t.Context(), c, api.OpenSitting{Procedure: joint, Build: "b4", Mode: api.Practice})
			if err != nil {
				t.Fatal(err)
			}
			s.answer(c, sit.ID, func(n int, it quiz.Item) quiz.Answer {
				for _, k := range it.Key.Options {
					if it.Interaction.Kind == quiz.Choice && !k.Right {
						wrongly[string(it.Lead)]++
						return quiz.Answer{Options: []string{k.ID}}
					}
				}
				return s.right(n, it)
			})
			s.hand(c, sit.ID)
			s.wait(time.Hour)
		}
	}
	trainer := s.role(api.Trainer)
	all := s.lessons(trainer, api.LessonAsk{Procedure: joint})
	seen := 0
	for _, l := range all.Lines {
		if l.Missed < 3 || l.Answers < 20 || wrongly[string(l.Fact)] == 0 {
			continue
		}
		v, err := s.LessonFact(t.Context(), trainer, api.LessonAsk{Procedure: joint}, l.Fact)
		if err != nil {
			t.Fatal(err)
		}
		sum := 0
		for _, in := range v.Instead {
			if in.Text == "" {
				t.Errorf("%s: something without words is chosen instead: %+v", l.Fact, v.Instead)
			}
			sum += in.Count
		}
		if v.Looked == 0 || sum < v.Looked {
			t.Errorf("%s: %d wrong answers looked at, %d choices: %+v", l.Fact, v.Looked, sum, v.Instead)
		}
		seen++
	}
	if seen == 0 {
		t.Error("no fact was missed often enough to look at")
	}
}

func TestOnePerson(t *testing.T) {
	s := newSite(t)
	bad := s.someFact(joint, func(f content.Fact) bool { return f.Kind == content.KindTarget })
	people := s.crew(joint, 3, 3, func(p int) content.FactID {
		if p == 1 {
			return bad.ID
		}
		return ""
	})
	own := s.as(people[1])
	s.lessons(s.role(api.Trainer), api.LessonAsk{})
	v, err := s.LessonPerson(t.Context(), own, api.LessonAsk{}, "")
	if err != nil || v.Working != nil {
		t.Fatalf("%v, working %v", err, v.Working)
	}
	if !v.Own || !v.Sat || v.Who.ID != people[1].ID || len(v.Practise) == 0 || v.Practise[0].Fact != bad.ID || v.Practise[0].Right != 0 || v.Practise[0].Why == "" {
		t.Errorf("what to practise next: %+v", v)
	}
	if len(v.Growth) != 1 || v.Growth[0].Right.N != v.Whole.Right.N || v.Growth[0].First.N+v.Growth[0].Repeats.N != v.Growth[0].Right.N {
		t.Errorf("growth: %+v, of %d answers", v.Growth, v.Whole.Right.N)
	}
	// Others' are a trainer's to read.
	_, err = s.LessonPerson(t.Context(), own, api.LessonAsk{}, people[0].ID)
	wantKind(t, err, api.Forbidden)
	if v, err := s.LessonPerson(t.Context(), s.role(api.Trainer), api.LessonAsk{}, people[0].ID); err != nil || v.Own || v.Who.Name != people[0].Name {
		t.Errorf("a trainer reads %+v (%v)", v.Who, err)
	}
	_, err = s.LessonPerson(t.Context(), s.role(api.Trainer), api.LessonAsk{}, "nobody")
	wantKind(t, err, api.NotFound)
	// The book is closed while a qualifying sitting is open.
	if _, err := s.OpenSitting(t.Context(), own, api.OpenSitting{Procedure: joint, Build: "b4", Mode: api.Qualifying}); err != nil {
		t.Fatal(err)
	}
	v, err = s.LessonPerson(t.Context(), own, api.LessonAsk{}, "")
	if err != nil || len(v.Closed) != 1 || len(v.Practise) != 0 {
		t.Errorf("with a qualifying sitting open: closed %v, %d facts named (%v)", v.Closed, len(v.Practise), err)
	}
	// Whoever has sat nothing has nothing to read.
	if v, err := s.LessonPerson(t.Context(), s.role(api.SafetyOfficer), api.LessonAsk{}, ""); err != nil || v.Sat || len(v.Practise) != 0 {
		t.Errorf("who sat nothing: %+v (%v)", v, err)
	}
}

func TestLessonsAreForWhoReadsResults(t *testing.T) {
	s := newSite(t)
	for role, ok := range map[api.Role]bool{api.Technician: false, api.Trainer: true, api.SafetyOfficer: true, api.Administrator: false} {
		_, err := s.Lessons(t.Context(), s.role(role), api.LessonAsk{})
		if ok && err != nil || !ok && api.KindOf(err) != api.Forbidden {
			t.Errorf("%s: %v", role, err)
		}
		_, err = s.LessonFact(t.Context(), s.role(role), api.LessonAsk{Procedure: joint}, "x")
		if !ok && api.KindOf(err) != api.Forbidden {
			t.Errorf("%s reads a fact: %v", role, err)
		}
	}
	_, err := s.LessonPerson(t.Context(), s.role(api.Administrator), api.LessonAsk{}, "")
	wantKind(t, err, api.Forbidden)
}

// A fact whose value a revision changed is judged by what was answered since.
func TestLessonsForgetTheOldValue(t *testing.T) {
	s := newSite(t)
	bad := s.someFact(joint, func(f content.Fact) bool { return f.Kind == content.KindTarget })
	s.crew(joint, 3, 3, func(int) content.FactID { return bad.ID })
	trainer := s.role(api.Trainer)
	before := s.lessons(trainer, api.LessonAsk{Procedure: joint})
	s.reviseJoint("E", "torque: 80 N·m", "torque: 85 N·m")
	after := s.lessons(trainer, api.LessonAsk{Procedure: joint})
	if after.Answers >= before.Answers || slices.ContainsFunc(after.Lines, func(l api.LessonLine) bool { return l.Fact == bad.ID }) {
		t.Errorf("after the value of %s changed %d answers count, before %d", bad.ID, after.Answers, before.Answers)
	}
	if len(after.Lines) < len(before.Lines)/2 {
		t.Errorf("%d facts are left of %d, although one changed", len(after.Lines), len(before.Lines))
	}
}

// reviseJoint imports and adopts the next revision of the flanged joint.
func (s *site) reviseJoint(revision, old, new string) {
	s.t.Helper()
	src, err := library.Source(joint)
	if err != nil {
		s.t.Fatal(err)
	}
	text := strings.Replace(strings.Replace(string(src), `revision: "D"`, `revision: "`+revision+`"`, 1), old, new, 1)
	if _, err := s.ImportProcedure(s.t.Context(), api.Operator(), api.Import{Name: joint, Source: []byte(text), Blueprint: library.BlueprintSource(joint)}); err != nil {
		s.t.Fatal(err)
	}
	if _, err := s.AdoptRevision(s.t.Context(), s.role(api.SafetyOfficer), api.AdoptRevision{Procedure: joint, Revision: revision}); err != nil {
		s.t.Fatal(err)
	}
}
