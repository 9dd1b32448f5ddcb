package itemmodel

import (
	"slices"
	"testing"

	"soloright/content"
)

// A part supplied lubricated is never an option, nor a lubricated surface of
// which no step says when it gets its lubricant.
func TestWhichDoYouGreaseNowLeavesOutWhatIsNotStated(t *testing.T) {
	p := bench()
	p.Parts[7].Surfaces = []content.Surface{{ID: "edge", Name: "edge", Treatment: content.Lubricate, Product: "silicone grease"}} // greased at no step
	for _, it := range written(t, whichDoYouGreaseNow, "grease/cup/lip", 50) {
		for _, o := range it.Interaction.Options {
			if o.Text == "bush, bore" || o.Text == "retaining ring, edge" {
				t.Fatalf("option %q", o.Text)
			}
		}
		if right := textsOf(it, isRight); !slices.Contains(right, "cup seal, outer lip") {
			t.Fatalf("right: %v", right)
		}
	}
}
