package itemmodel

import "testing"

// The words name the feature, or a painted face where none is stated.
func TestSayTheFacing(t *testing.T) {
	it := written(t, sayTheFacing, "facing/cup", 1)[0]
	if got := textsOf(it, isRight); got[0] != "open side toward the air chamber" {
		t.Errorf("right: %q", got)
	}
	it = written(t, sayTheFacing, "facing/ring", 1)[0]
	if got := textsOf(it, isWrong); got[1] != "the painted face toward the air chamber" || got[2] != "the painted face toward the centre" {
		t.Errorf("wrong: %q", got)
	}
}
