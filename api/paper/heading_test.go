package paper

import (
	"slices"
	"strings"
	"testing"
)

// Wherever the heading of the rebuilds falls on a sheet, the head of the first one
// stands under it.
func TestRebuildsBeginUnderTheirHeading(t *testing.T) {
	e := sample(t)
	e.Sittings, e.Facts, e.Read = nil, nil, nil // nothing in between that keeps together
	for n := range 50 {
		e.Standing.Next = slices.Repeat([]string{"a line that moves the rest down"}, n)
		found := false
		for _, p := range pages(t, print(t, e, A4)) {
			all := texts(t, p)
			i := slices.Index(all, "Observed rebuilds")
			if i < 0 {
				continue
			}
			found = true
			if i+1 == len(all) || !strings.Contains(all[i+1], "Rebuild of ") {
				t.Errorf("%d lines further down, the heading stands alone", n)
			}
		}
		if !found {
			t.Fatal("the print has no such heading")
		}
	}
}
