package itemmodel

import (
	"testing"

	"soloright/content"
	"soloright/quiz"
)

// truthOfTight reads the option by its telling word.
func truthOfTight(t failer, p *content.Procedure, it quiz.Item) truth {
	by := map[content.TightenBy]string{
		"torque": "the torque wrench shows the stated torque", "torque-and-angle": "it has had the stated torque and then the stated angle",
		"turns": "it has been turned the stated angle from snug", "gap": "the gap measures what is stated", "stop": "it is down on its stop, metal to metal",
	}
	return truthOfText(it, by[rawJoint(p, it).Tighten.By])
}

// Whatever a joint is tightened by, its target has an item.
func TestEveryTargetHasAnItem(t *testing.T) {
	by := map[content.TightenBy]bool{}
	for _, src := range sources(t) {
		for _, f := range src.Index.Of(content.KindTarget) {
			by[src.Index.Joint(f.Subject).Tighten.By] = true
			if n, why := tightEnough.Count(src, f); n < 2 {
				t.Errorf("%s: %d items: %s", f.ID, n, why)
			}
		}
	}
	if len(by) != 5 {
		t.Errorf("ways of tightening %v, want all five", by)
	}
}
