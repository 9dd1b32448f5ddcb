package itemmodel

import (
	"slices"
	"strings"
	"testing"

	"soloright/content/library"
	"soloright/quiz"
	"soloright/scoring"
)

// The order of 29 CFR 1910.147(d): 1 prepare, 2 shut down, 3 isolate, 4 apply
// locks or tags, 5 relieve stored energy, 6 verify; nothing is opened before. A
// strict order by these numbers is right in every item of the library, and so is
// one source after the other; to open before the last proof is a critical miss.
func TestIsolationKeepsTheOrderOf1910_147(t *testing.T) {
	p, err := library.Procedure("energy-isolation")
	if err != nil {
		t.Fatal(err)
	}
	src := quiz.NewSource(p, "")
	acts := rawActs(p)
	for _, f := range src.Index.Facts() {
		if !strings.HasPrefix(string(f.ID), "isolation/") {
			continue
		}
		for _, it := range writtenFrom(t, src, isolateBeforeOpening, f.ID, 40) {
			act := func(o quiz.Option) act { return acts[strings.ToLower(o.Text)][0] }
			opts := slices.Clone(it.Interaction.Options)
			slices.SortFunc(opts, func(a, b quiz.Option) int {
				return slices.Compare([]int{act(a).stage, act(a).nth}, []int{act(b).stage, act(b).nth})
			})
			var byStage []string
			for _, o := range opts {
				byStage = append(byStage, o.ID)
			}
			if m, err := scoring.Mark(it, quiz.Answer{Options: byStage}); err != nil || m.Mark.String() != "1" {
				t.Fatalf("%s: the order of the regulation is marked %+v (%v)", f.ID, m, err)
			}
			n := len(byStage)
			byStage[n-1], byStage[n-2] = byStage[n-2], byStage[n-1] // open before the last proof
			m, err := scoring.Mark(it, quiz.Answer{Options: byStage})
			if err != nil || m.Mark.Rat.Sign() != 0 || !slices.Contains(m.Critical, "isolation/opening") {
				t.Fatalf("%s: opened before the last proof: %+v (%v)", f.ID, m, err)
			}
		}
	}
}

// Sources may interleave: with two of them C(8,4) orders of their acts are right.
func TestIsolationChanceCountsTheInterleavings(t *testing.T) {
	met := false
	for _, it := range written(t, isolateBeforeOpening, "isolation/air", 60) {
		if len(it.Interaction.Options) != 11 {
			continue
		}
		met = true
		if got, want := it.Chance.Full, quiz.Frac(70, 39916800); got.Rat.Cmp(want.Rat) != 0 { // 11! orders
			t.Fatalf("chance %v, want 70/11!", got)
		}
	}
	if !met {
		t.Error("no item with two sources")
	}
}

// Acts that read alike for two sources name their source; else no source is named.
func TestIsolationNamesTheSourceWhereActsReadAlike(t *testing.T) {
	for _, it := range written(t, isolateBeforeOpening, "isolation/air", 20) {
		if !slices.ContainsFunc(it.Interaction.Options, func(o quiz.Option) bool { return o.Text == "Compressed air: hang your own lock" }) {
			t.Fatalf("options %v", it.Interaction.Options)
		}
	}
}

// The return to service is all or nothing too, and shows the lead's act with the
// one before it.
func TestReturnToService(t *testing.T) {
	for _, it := range written(t, isolateBeforeOpening, "restore/unlock", 30) {
		var texts []string
		for _, o := range it.Interaction.Options {
			texts = append(texts, o.Text)
		}
		if !slices.Contains(texts, "Take off your own lock") || !slices.Contains(texts, "Send everybody clear") || !it.Key.AllRight {
			t.Fatalf("%v all right %v", texts, it.Key.AllRight)
		}
	}
}
