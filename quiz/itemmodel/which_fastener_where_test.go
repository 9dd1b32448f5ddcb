package itemmodel

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"testing"

	"soloright/content"
	"soloright/quiz"
)

// truthOfLengths finds for each place the length that lists it.
func truthOfLengths(t failer, p *content.Procedure, it quiz.Item) truth {
	j := rawJoint(p, it)
	tr := truth{bins: map[string][]string{}}
	for _, row := range it.Interaction.Rows {
		var place int
		if _, err := fmt.Sscanf(row.Text, "place %d", &place); err != nil {
			t.Fatalf("which place is %q?", row.Text)
		}
		for _, l := range j.Lengths {
			if !slices.Contains(l.At, place) {
				continue
			}
			for _, b := range it.Interaction.Bins {
				if b.Text == l.Length.Text() {
					tr.bins[row.ID] = append(tr.bins[row.ID], b.ID)
				}
			}
		}
	}
	return tr
}

func TestWhichFastenerWhere(t *testing.T) {
	for _, src := range sources(t) {
		for _, f := range src.Index.Of(content.KindLength) {
			ids := map[string]bool{}
			n, why := whichFastenerWhere.Count(src, f)
			if n < 2 {
				t.Errorf("%s: %d items: %s", f.ID, n, why)
			}
			for seed := range 400 {
				it, err := whichFastenerWhere.Write(src, f, random(seed))
				if err != nil {
					t.Fatal(err)
				}
				ids[it.ID] = true
				facts := map[content.FactID]bool{}
				for _, r := range it.Key.Rows {
					facts[r.Fact] = true
				}
				if !facts[f.ID] || len(facts) < 2 {
					t.Errorf("%s: rows of %v only", f.ID, facts)
				}
				if fig := it.Figure.Joint; fig.Mirror || fig.Rotation != 0 || len(fig.Labels) != fig.Pattern.Count || fig.Labels[2] != "3" {
					t.Errorf("the drawing is turned, or its places are not numbered: %+v", fig)
				}
				if !slices.IsSortedFunc(it.Interaction.Rows, func(a, b quiz.Option) int {
					return cmp.Or(cmp.Compare(len(a.Text), len(b.Text)), strings.Compare(a.Text, b.Text)) // "place 9" before "place 10"
				}) {
					t.Errorf("the places do not rise: %v", it.Interaction.Rows)
				}
			}
			if n <= 20 && len(ids) != n {
				t.Errorf("%s: count %d, but 400 seeds gave %d items", f.ID, n, len(ids))
			}
		}
	}
}
