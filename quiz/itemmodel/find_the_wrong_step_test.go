package itemmodel

import (
	"testing"

	"soloright/content"
)

// An adjacent swap in a chain has two keys; where no more can be violated there
// is no item.
func TestFindTheWrongStepWantsTwoViolations(t *testing.T) {
	p := &content.Procedure{ID: "pairs", Steps: []content.Step{{ID: "a", Text: "A"}, {ID: "b", Text: "B", After: []string{"a"}}, {ID: "c", Text: "C"}, {ID: "d", Text: "D", After: []string{"c"}}}}
	if n, why := counted(t, p, findTheWrongStep, "precede/b/a"); n != 0 || why == "" {
		t.Errorf("count %d, %q", n, why)
	}
}

// The key stands in every place of the list; where it can stand follows from the
// order of work, so the law of even placing cannot hold to the point, but each
// place has between a third and five thirds of its share.
func TestFindTheWrongStepSpreadsTheKey(t *testing.T) {
	places := map[int][]int{}
	runs := 0
	for _, src := range sources(t) {
		for _, f := range leadsOf(src, findTheWrongStep) {
			for range scaled(100) {
				runs++
				it, err := findTheWrongStep.Write(src, f, random(runs))
				if err != nil {
					t.Fatal(err)
				}
				k := len(it.Key.Options)
				if places[k] == nil {
					places[k] = make([]int, k)
				}
				places[k][leastRight(it)]++
			}
		}
	}
	for k, counts := range places {
		n := 0
		for _, c := range counts {
			n += c
		}
		t.Logf("%d steps: %v", k, counts)
		for at, c := range counts {
			if n > 500 && (3*c*k < n || 3*c*k > 5*n) {
				t.Errorf("%d steps: the key stands %d of %d times in place %d", k, c, n, at)
			}
		}
	}
}
