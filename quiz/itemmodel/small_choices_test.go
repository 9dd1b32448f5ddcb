package itemmodel

import (
	"slices"
	"testing"

	"soloright/content"
	"soloright/quiz"
)

// Where too few answers are stated wrong there is no item, and the reason says how many.
func TestSmallChoicesWantTwoStatedWrong(t *testing.T) {
	if n, why := counted(t, bench(), proveZero, "proof/power"); n != 0 || why != "the procedure states 1 wrong answers to it, at least 2 are needed" {
		t.Errorf("count %d, %q", n, why)
	}
	p := bench()
	p.Energies[1].NoProof = append(p.Energies[1].NoProof, content.Wrong{Text: "try to move the load by hand", Because: "x"}, content.Wrong{Text: "The sling looks slack", Because: "y"})
	if n, _ := counted(t, p, proveZero, "proof/load"); n != 1 {
		t.Errorf("count %d: a wrong text that reads like the right one or like another wrong one is no option", n)
	}
}

// With three stated wrong, three or two are shown: one and three items.
func TestSmallChoicesCount(t *testing.T) {
	ids := map[string]bool{}
	for _, it := range written(t, proveZero, "proof/air", 200) {
		ids[it.ID] = true
	}
	if n, _ := counted(t, bench(), proveZero, "proof/air"); n != 4 || len(ids) != 4 {
		t.Errorf("count %d, written %d, want 4", n, len(ids))
	}
}

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

// A hold point at which the assessor looks at the same is never an option.
func TestWhereWorkStopsLeavesOutTheSameLook(t *testing.T) {
	for _, it := range written(t, whereWorkStops, "hold/look-rod", 50) {
		if all := textsOf(it, isWrong); slices.Contains(all, "Draw the rod") {
			t.Fatalf("options %v", all)
		}
	}
}
