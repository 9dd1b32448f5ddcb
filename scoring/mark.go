// Package scoring marks answers and sittings. It is a pure function of items
// and answers: the laws are written at each function, and their version is kept
// with every sitting, so a sitting can be marked again by the rules it was
// marked with.
package scoring

import (
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
}

// FactMark is the state of one listed fact.
type FactMark struct {
	Fact  content.FactID `json:"fact"`
	State State          `json:"state"`
}

// Verdict is the outcome of a sitting.
type Verdict string

// The outcomes.
const (
	Passed    Verdict = "passed"
	Failed    Verdict = "failed"
	ToConfirm Verdict = "to confirm" // at or above the cut, at most two critical facts missed, none on isolation
)

// Outcome is a sitting marked.
type Outcome struct {
	Rules    int           `json:"rules"` // RulesVersion
	Items    []Marked      `json:"items"`
	Total    quiz.Fraction `json:"total"`
	Of       int           `json:"of"`
	Cut      content.Cut   `json:"cut"`
	Percent  int           `json:"percent"` // shown, rounded down; never used to decide
	Verdict  Verdict       `json:"verdict"`
	Critical []Miss        `json:"critical,omitempty"` // critical facts missed
	Again    []Miss        `json:"again,omitempty"`    // every fact missed, with the step to learn again
}

// Miss is a fact missed, with the step that states it.
type Miss struct {
	Fact      content.FactID `json:"fact"`
	Text      string         `json:"text"`
	Step      string         `json:"step"`
	Isolation bool           `json:"isolation,omitempty"`
	Blank     bool           `json:"blank,omitempty"`
}
