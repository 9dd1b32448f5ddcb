package itemmodel

import (
	"slices"
	"strings"
	"testing"

	"soloright/content"
	"soloright/quiz"
)

// truthOfNext judges the beginning with each option after it.
func truthOfNext(t failer, p *content.Procedure, it quiz.Item) truth {
	j := rawJoint(p, it)
	f := it.Figure.Joint
	c := crossing{j.Pattern, j.Sequence.Rule}
	if !c.right(f.Tight) {
		t.Fatalf("what is tight breaks the rule: %v", f.Tight)
	}
	at := -1
	for _, place := range f.Tight { // the stem lists the same ones in the same order
		next := strings.Index(it.Stem, f.Labels[place-1]+" ")
		if comma := strings.Index(it.Stem, f.Labels[place-1]+","); next < 0 || comma >= 0 && comma < next {
			next = comma
		}
		if next <= at {
			t.Fatalf("the stem does not list %v: %s", f.Tight, it.Stem)
		}
		at = next
	}
	tr := truth{right: map[string]bool{}}
	for _, o := range it.Interaction.Options {
		place := slices.Index(f.Labels, o.Text) + 1
		if place == 0 || slices.Contains(f.Tight, place) {
			t.Fatalf("%q is no free fastener", o.Text)
		}
		tr.right[o.ID] = c.right(append(slices.Clone(f.Tight), place))
	}
	return tr
}

// There is always a fresh item on a sequence, and no two say the same after turning or
// mirroring the joint.
func TestBeginningsDiffer(t *testing.T) {
	for _, src := range sources(t) {
		for _, f := range src.Index.Of(content.KindSequence) {
			n, _ := whichFastenerNext.Count(src, f)
			if n == 0 {
				continue
			}
			j := src.Index.Joint(f.Subject)
			if n < 4 && j.Pattern.Count > 5 {
				t.Errorf("%s: only %d items", f.ID, n)
			}
			if j.Pattern.Count > 8 {
				continue // too many to compare each with each
			}
			c := crossing{p: j.Pattern}
			c.p.StartAt = 0
			seen := map[string][]int{}
			for seed := range scaled(200) {
				it, err := whichFastenerNext.Write(src, f, random(seed))
				if err != nil {
					t.Fatal(err)
				}
				tight := it.Figure.Joint.Tight
				key := strings.Split(it.Signature, "|")[0]
				seen[key] = append(slices.Clone(tight), slices.Index(it.Figure.Joint.Labels, rightOption(t, it))+1)
			}
			for a, x := range seen {
				for b, y := range seen {
					if a < b && len(x) == len(y) && j.Pattern.StartAt == 0 && c.alike(x, y) {
						t.Errorf("%s: %s and %s are the same after turning or mirroring", f.ID, a, b)
					}
				}
			}
		}
	}
}

// alike reports whether an isometry of the whole joint carries one list of places to another.
func (c crossing) alike(a, b []int) bool {
	for n := 1; n < len(a); n++ {
		if !c.sameDistances(a[:n], b[:n]) {
			return false
		}
	}
	return c.extend(slices.Clone(a), slices.Clone(b))
}

func (c crossing) extend(a, b []int) bool {
	if !c.sameDistances(a, b) {
		return false
	}
	if len(a) == c.p.Count {
		return c.carries(a, b)
	}
	from := 1
	for slices.Contains(a, from) {
		from++
	}
	for to := 1; to <= c.p.Count; to++ {
		if !slices.Contains(b, to) && c.extend(append(slices.Clip(a), from), append(slices.Clip(b), to)) {
			return true
		}
	}
	return false
}
