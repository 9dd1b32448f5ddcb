package itemmodel

import (
	"testing"

	"soloright/content"
)

// Where too few answers are stated wrong there is no item, and the reason says how many.
func TestProveZeroWantsTwoStatedWrong(t *testing.T) {
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
func TestProveZeroCounts(t *testing.T) {
	ids := map[string]bool{}
	for _, it := range written(t, proveZero, "proof/air", 200) {
		ids[it.ID] = true
	}
	if n, _ := counted(t, bench(), proveZero, "proof/air"); n != 4 || len(ids) != 4 {
		t.Errorf("count %d, written %d, want 4", n, len(ids))
	}
}
