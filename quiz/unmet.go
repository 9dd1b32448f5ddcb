package quiz

import (
	"fmt"

	"soloright/content"
)

// Unmet reports that a blueprint cannot be met, or that facts cannot be given
// the items they need: which constraint fails, and by how much.
//
// Where it follows from the numbers alone (fewer facts than items, minima above
// the total) it is certain. Where items give each other away, Have is the best
// of several tries and no proof that there is nothing better.
type Unmet struct {
	Constraint string // "items", "time", "topic tightening", "max_critical", "always target/cap", "fact target/cap"
	Need       int    // for time in whole minutes, rounded up
	Have       int
	Why        string // the rest of the sentence
}

func (u *Unmet) Error() string { return u.Constraint + ": " + u.Why }

func unmetTopic(t content.Topic, need, have, leads int) *Unmet {
	u := &Unmet{Constraint: "topic " + string(t), Need: need, Have: have}
	if leads < need {
		u.Have = leads
		u.Why = fmt.Sprintf("%d wanted, the bank can write on %d facts of it", need, leads)
		return u
	}
	u.Why = fmt.Sprintf("%d wanted, the bank can write %d that do not give each other away", need, have)
	return u
}

func unmetItems(need, have, leads int) *Unmet {
	u := &Unmet{Constraint: "items", Need: need, Have: have}
	if leads < need {
		u.Have = leads
		u.Why = fmt.Sprintf("%d wanted, the bank can write on %d facts", need, leads)
		return u
	}
	u.Why = fmt.Sprintf("%d wanted, the bank can write %d within the topics' bounds that do not give each other away", need, have)
	return u
}

func unmetAlways(f content.FactID, why string) *Unmet {
	return &Unmet{Constraint: "always " + string(f), Need: 1, Why: why}
}

func unmetTime(seconds, minutes int) *Unmet {
	need := (seconds + 59) / 60
	return &Unmet{Constraint: "time", Need: need, Have: minutes, Why: fmt.Sprintf("the shortest form found takes %d min, %d min are allowed", need, minutes)}
}
