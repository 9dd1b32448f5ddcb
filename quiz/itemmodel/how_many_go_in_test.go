package itemmodel

import (
	"strings"
	"testing"

	"soloright/quiz"
	"soloright/scoring"
)

// The number of another part is a known mistake with its own feedback.
func TestHowManyGoInKnowsTheOtherParts(t *testing.T) {
	it := written(t, howManyGoIn, "quantity/cup", 1)[0]
	for typed, want := range map[string]string{"2": "", "8": "head bolt", "4": "O-ring"} {
		m, err := scoring.Mark(it, quiz.Answer{Number: typed})
		if err != nil || (m.Mark.String() == "1") != (want == "") || want != "" && !strings.Contains(strings.Join(m.Feedback, " "), want) {
			t.Errorf("%s: %+v (%v)", typed, m, err)
		}
	}
}
