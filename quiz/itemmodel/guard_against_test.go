package itemmodel

import "testing"

// Each item shows one of the controls that are stated, never two.
func TestGuardAgainstShowsOneControl(t *testing.T) {
	met := map[string]bool{}
	for _, it := range written(t, guardAgainst, "hazard/jet", 40) {
		right := textsOf(it, isRight)
		if len(right) != 1 {
			t.Fatalf("right: %v", right)
		}
		met[right[0]] = true
	}
	if len(met) != 2 {
		t.Errorf("of two controls only %v were asked for", met)
	}
}
