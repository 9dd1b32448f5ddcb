package itemmodel

import (
	"slices"
	"testing"
)

// A step that the procedure leaves free is never an option, and the last step has
// no item: nothing is stated to come after it.
func TestWhatMustBeDoneFirstLeavesFreeStepsOut(t *testing.T) {
	for _, it := range written(t, whatMustBeDoneFirst, "precede/fit-seals/clean", 60) {
		all := append(textsOf(it, isRight), textsOf(it, isWrong)...)
		if slices.Contains(all, "Draw the rod") || slices.Contains(all, "Look the rod over") {
			t.Fatalf("options %v", all)
		}
		if !slices.Contains(textsOf(it, isRight), "Clean the gland") {
			t.Fatalf("the lead's step is missing: %v", all)
		}
	}
	if n, why := counted(t, bench(), whatMustBeDoneFirst, "precede/test/tighten"); n != 0 || why == "" {
		t.Errorf("count %d, %q", n, why)
	}
}
