package scoring

import (
	"strings"
	"testing"

	"soloright/content"
	"soloright/quiz"
)

// deltaOf is a delta form on the facts.
func deltaOf(listed string, on ...content.FactID) *quiz.Form {
	f := formOf(100, listed)
	f.Delta = &quiz.Delta{From: "A", Facts: on}
	return f
}

// All right or failed; a critical fact and any other alike.
func TestDelta(t *testing.T) {
	form := deltaOf("a! a! b b", "a", "b")
	for answers, want := range map[string]Verdict{"aaaa": Passed, "aaab": Failed, "aaad": Failed, "baaa": Failed, "aaa-": Failed, "----": Failed} {
		out, err := Delta(form, answersOf(answers))
		if err != nil || out.Verdict != want || out.Cut != 100 || out.Rules != RulesVersion {
			t.Errorf("%s: %s, %v, want %s", answers, out.Verdict, err, want)
		}
		if wrong := strings.Trim(answers, "a") != ""; wrong != (len(out.Again) > 0) {
			t.Errorf("%s: to learn again: %v", answers, out.Again)
		}
	}
	if r, err := ByRules(RulesVersion); err != nil {
		t.Error(err)
	} else if out, err := r.Delta(form, answersOf("aaaa")); err != nil || out.Verdict != Passed {
		t.Errorf("by the rules: %s, %v", out.Verdict, err)
	}
}

// A form that is not one is an error and never a pass.
func TestDeltaRefuses(t *testing.T) {
	guess := deltaOf("a a", "a")
	guess.Items[0].Chance.Mean = quiz.Frac(1, 3)
	for name, f := range map[string]*quiz.Form{
		"no delta form": formOf(100, "a a"), "on nothing": deltaOf("a a"), "one item only": deltaOf("a b b", "a", "b"), "another fact": deltaOf("a a", "c"),
		"two where three are due": guess,
	} {
		if out, err := Delta(f, answersOf("aa")); err == nil {
			t.Errorf("%s: %s", name, out.Verdict)
		}
	}
	if _, err := Delta(deltaOf("a a", "a"), answersOf("aaa")); err == nil {
		t.Error("an answer to a sheet that is not there: no error")
	}
}
