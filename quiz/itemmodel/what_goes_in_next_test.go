package itemmodel

import (
	"slices"
	"testing"

	"soloright/quiz"
)

// With one of two identical rings in and nothing on it, what the other carries could be next too:
// neither of the two layers on the rings is ever an option then.
func TestWhatGoesInNextKnowsThatIdenticalLayersCannotBeToldApart(t *testing.T) {
	met := false
	for _, it := range written(t, whatGoesInNext, "layer/twin/z/k", 300) {
		in := func(text string) int {
			return count(it.Figure.Stack.Placed, func(o quiz.Option) bool { return o.Text == text })
		}
		wrong := textsOf(it, isWrong)
		if in("O-ring") == 1 && in("bush")+in("cup seal") == 0 {
			met = true
			if slices.Contains(wrong, "bush") || slices.Contains(wrong, "cup seal") || slices.Contains(wrong, "O-ring") {
				t.Fatalf("one bare ring in, wrong: %v", wrong)
			}
		}
	}
	if !met {
		t.Error("no item with one bare ring in")
	}
}

// What is drawn in place gives away the precedences of those layers.
func TestWhatGoesInNextShowsWhatIsInPlace(t *testing.T) {
	for _, it := range written(t, whatGoesInNext, "layer/gland/x/b2", 20) {
		if !slices.Contains(it.Shows, "layer/gland/b1/r1") || slices.Contains(it.Shows, it.Lead) {
			t.Fatalf("shows %v", it.Shows)
		}
	}
}
