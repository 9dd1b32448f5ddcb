package itemmodel

import (
	"strings"
	"testing"

	"soloright/content"
)

// Stem and options have the same form for each kind of facing, so they say
// nothing of it; only the whole figure is mirrored.
func TestPickTheFacingGivesNothingAway(t *testing.T) {
	for _, lead := range []content.FactID{"facing/cup", "facing/ring", "facing/bush", "facing/head"} { // directional or not, looking alike or not
		places := map[string]int{}
		for _, it := range written(t, pickTheFacing, lead, 200) {
			opts := it.Interaction.Options
			if len(opts) != 4 || it.Interaction.Fixed != 2 || !strings.Contains(it.Stem, ": which way round does it go in?") {
				t.Fatalf("%s: %q %v", lead, it.Stem, opts)
			}
			if !opts[0].Drawn.Mark || !strings.HasSuffix(it.Stem, "One face carries a dab of marking paint.") {
				t.Fatalf("%s: paint %v, stem %q", lead, opts[0].Drawn.Mark, it.Stem)
			}
			places[it.Figure.Facing.Left+" left, "+opts[0].Drawn.Toward+" first"]++
		}
		if len(places) != 4 {
			t.Errorf("%s: figure and drawings are not turned independently: %v", lead, places)
		}
	}
}

// The right drawing turns with the figure.
func TestPickTheFacingTurnsWithTheFigure(t *testing.T) {
	for _, it := range written(t, pickTheFacing, "facing/cup", 100) {
		toward := "right"
		if it.Figure.Facing.Left == "air chamber" {
			toward = "left"
		}
		for i, k := range it.Key.Options {
			if d := it.Interaction.Options[i].Drawn; k.Right != (d != nil && d.Toward == toward) || k.Dangerous == k.Right {
				t.Fatalf("air chamber at the %s, option %+v key %+v", toward, d, k)
			}
		}
	}
}

func TestPickTheFacingRefusesEndsThatReadAlike(t *testing.T) {
	p := bench()
	p.Parts[0].Facing.Away = "Air chamber"
	if n, why := counted(t, p, pickTheFacing, "facing/cup"); n != 0 || why == "" {
		t.Errorf("count %d, %q", n, why)
	}
}
