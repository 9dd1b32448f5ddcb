package itemmodel

import (
	"strings"
	"testing"

	"soloright/content"
	"soloright/quiz"
)

// Layers that look alike are shown all or not at all, and may be exchanged; the
// two layers of the lead are always shown.
func TestBuildTheStackShowsIdenticalLayersTogether(t *testing.T) {
	for _, it := range written(t, buildTheStack, "layer/gland/c1/b1", 200) {
		n := map[string]int{}
		for _, o := range it.Interaction.Options {
			n[o.Text]++
		}
		if n["cup seal"] != 1 || n["bush"] != 2 || n["O-ring"] == 1 {
			t.Fatalf("shown: %v", n)
		}
		for _, set := range it.Key.Alike {
			if len(set) != 2 {
				t.Fatalf("identical: %v", it.Key.Alike)
			}
		}
		if alike := strings.Contains(it.Stem, "Identical parts"); !alike || len(it.Key.Alike) == 0 {
			t.Fatalf("stem %q with %v", it.Stem, it.Key.Alike)
		}
		if some := len(it.Interaction.Options) < 7; some != strings.Contains(it.Stem, "Not every layer") {
			t.Fatalf("%d layers: %q", len(it.Interaction.Options), it.Stem)
		}
	}
}

// An order item has six comparable pairs: three layers in a row have three.
func TestBuildTheStackWantsSixPairs(t *testing.T) {
	p := bench()
	p.Stacks = []content.Stack{{ID: "short", Title: "short bore", In: "bore", From: "front", Far: "back", Step: "fit-seals", Layers: []content.Layer{
		{ID: "a", Part: "ring"}, {ID: "b", Part: "bush", On: []string{"a"}}, {ID: "c", Part: "cup", On: []string{"b"}}, {ID: "d", Part: "gasket"}}}}
	if n, why := counted(t, p, buildTheStack, "layer/short/b/a"); n != 0 || why == "" {
		t.Errorf("count %d, %q", n, why)
	}
	p.Stacks[0].Layers[3].On = []string{"c"}
	if n, _ := counted(t, p, buildTheStack, "layer/short/b/a"); n != 1 {
		t.Errorf("four in a row have six pairs: count %d", n)
	}
}

// A derived pair belongs to the last edge into the later layer on the shortest
// path, of several the least by ids.
func TestDerivedPairBelongsToTheLeastShortestPath(t *testing.T) {
	p := bench()
	p.Stacks = []content.Stack{{ID: "s", Title: "bore", In: "bore", From: "front", Far: "back", Step: "fit-seals", Layers: []content.Layer{
		{ID: "a", Part: "ring"}, {ID: "m", Part: "bush", On: []string{"a"}}, {ID: "n", Part: "cup", On: []string{"a"}}, {ID: "k", Part: "gasket", On: []string{"n"}},
		{ID: "z", Part: "retainer", On: []string{"n", "m", "k"}}}}}
	src := quiz.NewSource(p, "")
	o := stackOf(src, "s").order
	if got := o.facts[o.at("a")][o.at("z")]; got != "layer/s/z/m" {
		t.Errorf("a before z belongs to %s: a-m-z and a-n-z are shortest, the first is least", got)
	}
}
