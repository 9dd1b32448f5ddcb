package itemmodel

import (
	"strings"
	"testing"
)

// The stem says how the energy comes back, never what is done about it.
func TestPressureThatReturns(t *testing.T) {
	for _, it := range written(t, pressureThatReturns, "return/air", 20) {
		if it.Stem != "Compressed air. It can build up again: the valve can leak by. What do you do about it?" {
			t.Fatalf("stem %q", it.Stem)
		}
		if right := textsOf(it, isRight); len(right) != 1 || strings.Contains(it.Stem, right[0]) || right[0] != "Leave the bleed open all through the work" {
			t.Fatalf("right %q", right)
		}
	}
}
