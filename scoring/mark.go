// Package scoring marks answers and sittings. It is a pure function of items
// and answers: the laws are written at each function, and their version is kept
// with every sitting, so a sitting can be marked again by the rules it was
// marked with.
package scoring

import (
	"fmt"

	"soloright/content"
	"soloright/quiz"
)

// RulesVersion is the version of the marking rules that [Mark] follows.
const RulesVersion = 1

// State says how a fact was answered.
type State string

// The states of a fact in a marked item.
const (
	Right State = "right"
	Wrong State = "wrong"
	Blank State = "blank" // wrong, and reported as blank
)

// Marked is one item marked.
type Marked struct {
	Item     string           `json:"item"` // Item.ID
	Mark     quiz.Fraction    `json:"mark"` // 0 to 1, exact
	Blank    bool             `json:"blank,omitempty"`
	Facts    []FactMark       `json:"facts"`
	Critical []content.FactID `json:"critical,omitempty"` // critical facts missed
	Feedback []string         `json:"feedback,omitempty"` // the mistakes that the answer shows, in plain sentences
	Left     bool             `json:"left,omitempty"`     // the sheet is left out: its item was withdrawn, see Sitting
}

// FactMark is the state of one listed fact.
type FactMark struct {
	Fact  content.FactID `json:"fact"`
	State State          `json:"state"`
}

// Mark marks one answer. Its error is a [*quiz.AnswerError] where the answer
// cannot be read, else a defect of the item's key.
//
// The mark, by interaction:
//
//   - choice, hotspot: 1 or 0;
//   - multiple choice: max(0, (right ticks − wrong ticks) / right options);
//   - match, m rows, k bins: max(0, (r/m − 1/k) / (1 − 1/k)) with r rows right;
//   - order: max(0, 1 − 2v/V) with v of V pairs violated, a pair of which a thing
//     is not placed among them; 0 where a critical pair is violated. Identical
//     things are read for one another in the way that violates fewest pairs;
//   - order that must be all right (isolation): all placed and no pair violated
//     1, else 0;
//   - sequence: 1 where every fastener is placed and the rule is kept, else 0;
//   - numeric: 1 for a number within an accepted interval, both ends included,
//     in the unit printed or in none, or for the option that is the key; else 0.
//
// The state of a listed fact: wrong where a part of the answer that belongs to it
// is wrong, else blank where such a part was not given, else right. The parts are
// the options (chosen or not), the rows, the pairs. A fact without a part of its
// own follows the whole: right for full marks, blank where nothing was given or,
// in a sequence, where what was given breaks no rule; else wrong.
//
// A critical fact is missed
//
//   - by a blank answer, whatever the interaction;
//   - in a choice, hotspot or multiple choice by choosing an option that belongs
//     to it and is marked as dangerous, in a multiple choice also by not ticking
//     a right option that belongs to it;
//   - in a match by a row that belongs to it and is empty, or put in a bin that is
//     marked as dangerous for it;
//   - in an order by a violated pair that belongs to it; where all must be right,
//     anything else misses at least the lead fact;
//   - in a sequence and a numeric item by anything but full marks.
//
// Feedback holds the feedback of what was chosen wrongly, each sentence once.
func Mark(it quiz.Item, a quiz.Answer) (Marked, error) { return mark(&it, a) }

func mark(it *quiz.Item, a quiz.Answer) (Marked, error) {
	if err := quiz.CheckAnswer(it.Interaction, a); err != nil {
		return Marked{}, err
	}
	t := newTally(it, a)
	var err error
	switch it.Interaction.Kind {
	case quiz.Choice, quiz.Hotspot:
		err = t.choice(a)
	case quiz.Multiple:
		err = t.multiple(a)
	case quiz.Match:
		err = t.match(a)
	case quiz.Order:
		err = t.order(a)
	case quiz.Sequence:
		err = t.sequence(a)
	case quiz.Numeric:
		err = t.numeric(a)
	}
	if err != nil {
		return Marked{}, fmt.Errorf("mark item %s (%s on %s): %w", it.ID, it.Model, it.Lead, err)
	}
	return t.marked(), nil
}
