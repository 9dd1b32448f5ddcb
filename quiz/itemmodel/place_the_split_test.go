package itemmodel

import (
	"slices"
	"testing"

	"soloright/quiz"
)

// Angles rise, whatever the order in which the file states them.
func TestPlaceTheSplitRises(t *testing.T) {
	for _, it := range written(t, placeTheSplit, "split/gland/r1", 50) {
		if !it.Interaction.Ordered || !slices.IsSortedFunc(it.Interaction.Options, func(a, b quiz.Option) int {
			return int(leadingNumber(a.Text) - leadingNumber(b.Text))
		}) {
			t.Fatalf("options %v", it.Interaction.Options)
		}
	}
}
