package itemmodel

import (
	"testing"

	"soloright/quiz"
)

// The words name the feature; where there is none to name there is no item.
func TestSayTheFacing(t *testing.T) {
	it := written(t, sayTheFacing, "facing/cup", 1)[0]
	if got := textsOf(it, isRight); got[0] != "open side toward the air chamber" {
		t.Errorf("right: %q", got)
	}
	src := quiz.NewSource(bench(), "")
	ring, _ := src.Index.Fact("facing/ring")
	if n, why := sayTheFacing.Count(src, ring); n != 0 || why == "" {
		t.Errorf("a ring whose two sides look alike has %d items in words (%q)", n, why)
	}
}
