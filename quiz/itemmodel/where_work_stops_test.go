package itemmodel

import (
	"slices"
	"testing"
)

// A hold point at which the assessor looks at the same is never an option.
func TestWhereWorkStopsLeavesOutTheSameLook(t *testing.T) {
	for _, it := range written(t, whereWorkStops, "hold/look-rod", 50) {
		if all := textsOf(it, isWrong); slices.Contains(all, "Draw the rod") {
			t.Fatalf("options %v", all)
		}
	}
}
