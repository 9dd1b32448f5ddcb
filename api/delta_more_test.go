package api_test

import (
	"strings"
	"testing"
	"time"

	"soloright/api"
	"soloright/content"
	"soloright/content/library"
	"soloright/quiz"
	"soloright/scoring"
	"soloright/scoring/clearance"
)

// A delta sitting that was failed by an item that is withdrawn is passed when it is
// marked again without it, and who was held stands on the new revision from then on.
func TestADeltaSittingIsMarkedAgain(t *testing.T) {
	s := newSite(t)
	tech, _ := held(s, twoFacts)
	c := s.as(tech)
	sit, err := s.openDelta(c)
	s.do(err)
	var bad quiz.Item
	s.answer(c, sit.ID, func(n int, it quiz.Item) quiz.Answer {
		if n == 1 {
			bad = it
			return quiz.Answer{}
		}
		return s.right(n, it)
	})
	if r := s.hand(c, sit.ID); r.Final != scoring.Failed {
		t.Fatalf("one blank: %s", r.Final)
	}
	s.wait(time.Hour)
	sub := subjectOf(bad)
	sub.Item = bad.ID // the fact's other item by this model stays
	s.withdraw(sub)
	at := s.last()
	s.remark(s.preview(sub))
	s.wantKinds(at, "sitting re-marked")
	if got := s.standing(tech, content.Date{}); got.State != clearance.Cleared || got.Revision != "M" {
		t.Errorf("marked again: %s", got.Reason)
	}
	if rep := s.replay(); len(rep.Differences) > 0 {
		t.Errorf("it does not replay: %v", rep.Differences)
	}
	s.sound()
}

// A fact that changed for another build than the one sat on is read, not asked, and
// reading is enough where nothing else changed.
func TestAFactOfAnotherBuildIsRead(t *testing.T) {
	s := newSite(t)
	const flange = "flanged-joint"
	tech := s.people[api.Technician]
	c := s.as(tech)
	sit, err := s.OpenSitting(t.Context(), c, api.OpenSitting{Procedure: flange, Build: "b4", Mode: api.Qualifying})
	s.do(err)
	s.answer(c, sit.ID, s.right)
	s.hand(c, sit.ID)
	src, err := library.Source(flange)
	s.do(err)
	for _, r := range []struct{ revision, was, is string }{
		{"X1", "torque: 320 N·m, tolerance: ±10 %", "torque: 330 N·m, tolerance: ±10 %"}, // of twelve studs
		{"X2", "torque: 80 N·m, tolerance: ±10 %", "torque: 85 N·m, tolerance: ±10 %"},   // of four
	} {
		text := strings.Replace(strings.Replace(string(src), "revision: \"D\"", "revision: "+r.revision, 1), r.was, r.is, 1)
		s.wait(time.Minute)
		_, err = s.ImportProcedure(t.Context(), api.Operator(), api.Import{Name: "next", Source: []byte(text), Blueprint: library.BlueprintSource(flange), Adopt: true})
		s.do(err)
		todo, err := s.CatchUp(t.Context(), c, flange)
		s.do(err)
		if todo.Build != "b4" {
			t.Fatalf("for build %q", todo.Build)
		}
		if r.revision == "X1" {
			if len(todo.Asked) != 0 || len(todo.Read) != 1 || !strings.Contains(todo.Read[0].Why, "another build") {
				t.Fatalf("of another build: %+v", todo)
			}
			s.do(s.SignReading(t.Context(), c, api.SignReading{Procedure: flange, Digest: todo.Digest, Facts: factsOf(todo.Read), Password: password}))
			if todo, err = s.CatchUp(t.Context(), c, flange); err != nil || todo.Some() {
				t.Errorf("after reading: %+v, %v", todo, err)
			}
			continue
		}
		// X2 is made from the first text: what X1 changed is as it was, and read again.
		if len(todo.Asked) != 1 || len(todo.Read) != 1 {
			t.Errorf("of the build sat on: asked %v, read %v", todo.Asked, todo.Read)
		}
	}
	s.sound()
}

// A new revision that no longer has the build that was sat on: the one that states
// most of what changed is asked.
func TestABuildThatIsGone(t *testing.T) {
	p, err := library.Procedure("flanged-joint")
	if err != nil {
		t.Fatal(err)
	}
	only := func(build string) content.FactID {
		for _, f := range content.Facts(content.ForBuild(p, build)) {
			if f.Kind == content.KindTarget && strings.Contains(string(f.ID), build) {
				return f.ID
			}
		}
		t.Fatalf("no torque of build %s alone", build)
		return ""
	}
	if got := api.BuildFor(p, "b99", []content.FactID{only("b12")}); got != "b12" {
		t.Errorf("asked on build %s, want b12", got)
	}
	if got := api.BuildFor(p, "b8", []content.FactID{only("b12")}); got != "b8" {
		t.Errorf("asked on build %s, want the one sat on", got)
	}
}

// A critical fact that changed and that no model can ask is read, and its hold point
// is observed again besides; one that can be asked is not observed for that.
func TestACriticalFactThatCannotBeAskedIsObservedAgain(t *testing.T) {
	s := newSite(t)
	foot := func(rule string) func(string) string {
		return func(text string) string {
			return strings.Replace(text, "thread: oiled\n    sequence: {rule: {kind: cross}}", "thread: oiled\n    sequence: "+rule, 1)
		}
	}
	s.lone("L", false, foot("{rule: {kind: pinned, pinned: [1, 2, 3, 4], means: order-of-places}, critical: true}"))
	s.lone("M", true, func(text string) string { return twoFacts(foot("{rule: {kind: cross}, critical: true}")(text)) })
	pre, err := s.PreviewAdoption(t.Context(), s.role(api.SafetyOfficer), pump, "M")
	s.do(err)
	if len(pre.Changed()) != 3 || len(pre.Observe) != 1 || pre.Observe[0].Fact != "sequence/foot" || pre.Observe[0].Hold == "" {
		t.Errorf("changed %+v, observed again %+v", pre.Changed(), pre.Observe)
	}
}
