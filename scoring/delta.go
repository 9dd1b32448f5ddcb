package scoring

import (
	"errors"
	"fmt"
	"slices"

	"soloright/quiz"
)

// Delta marks a delta sitting: it is passed when every item is all right, and
// failed otherwise; there is no cut and nothing to confirm. The form must say what
// it was set for and hold, of the items that test each of those facts, two or
// more, three where the chance mark of one exceeds ¼; anything else is an error.
//
// Sheets may be left out as in [Sitting]. What remains must be all right, and a fact
// of which no item remains was not shown: then it is failed.
func Delta(form *quiz.Form, answers map[int]quiz.Answer, left ...int) (Outcome, error) {
	if form.Delta == nil || len(form.Delta.Facts) == 0 {
		return Outcome{}, errors.New("delta: the form does not say on which facts it was set")
	}
	shown := true
	for _, f := range form.Delta.Facts {
		var on, led []quiz.Item
		remain := 0
		for i, it := range form.Items {
			for _, t := range it.Facts {
				if t.Fact == f {
					on = append(on, it)
					if !slices.Contains(left, i+1) {
						remain++
					}
				}
			}
			if it.Lead == f {
				led = append(led, it)
			}
		}
		if need := quiz.TwoOrThree(led); len(on) < need {
			return Outcome{}, fmt.Errorf("delta: the form has %d of the %d items on %s", len(on), need, f)
		}
		shown = shown && remain > 0
	}
	out, err := allRight(form, answers, left)
	if err != nil {
		return Outcome{}, fmt.Errorf("delta: %w", err)
	}
	if !shown {
		out.Verdict = Failed
	}
	return out, nil
}
