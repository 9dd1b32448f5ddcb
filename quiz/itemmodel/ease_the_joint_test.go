package itemmodel

import (
	"testing"

	"soloright/quiz"
	"soloright/scoring"
)

// Opening a joint the wrong way is a critical miss on isolation: there is no mercy.
func TestEaseTheJointIsOnIsolation(t *testing.T) {
	for _, it := range written(t, easeTheJoint, "opening/head", 20) {
		for _, k := range it.Key.Options {
			m, err := scoring.Mark(it, quiz.Answer{Options: []string{k.ID}})
			if err != nil || (len(m.Critical) == 0) != k.Right || !it.Facts[0].Isolation {
				t.Fatalf("option %s: %+v (%v)", k.ID, m, err)
			}
		}
	}
}
