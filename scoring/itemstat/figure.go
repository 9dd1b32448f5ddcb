// Package itemstat turns marks into measurement: item statistics, reliability,
// measurement models, the consistency of a pass and what a person holds. It
// takes plain numbers and gives plain numbers, knows nothing of procedures, and
// draws nothing at random.
//
// A [Matrix] holds marks, people by columns; a column is a family of items. Of it
// [Columns] and [Reliable] give the classical figures, [PhiLambda] those of generated
// forms; [Conditional] and [Marginal] fit the models of right and wrong,
// [ConditionalGraded] and [PartialCredit] those of part marks. With their parameters
// [Estimate] and [EstimateGraded] place a person, [Misfits] and [GradedMisfits] judge the columns,
// [ModelReliable], [AtCut] and [FormsAtCut] say how surely forms measure, and [FamilySpread]
// how far the items of a family differ.
//
// It is honest about small numbers. Every figure carries the n that it stands
// on, and below the n that is stated at its function it holds a reason and no
// number. What cannot be computed (a constant column, a design that falls apart,
// a number that is not finite) is a [Reason] too, never a wrong number.
package itemstat

import (
	"encoding/json"
	"fmt"
)

// Level is the level of every interval that a [Figure] carries unless its
// function says otherwise.
const Level = 0.90

// Reason says why there is no number.
type Reason string

// The reasons for having no number.
const (
	TooFew        Reason = "too few answers"
	Constant      Reason = "everybody has the same mark"
	NotSame       Reason = "not everybody met the same columns"
	NotBinary     Reason = "there are part marks, and this figure is for right and wrong"
	NotFinite     Reason = "a number is not finite"
	OutOfRange    Reason = "a number is out of its range"
	Empty         Reason = "there is nothing to work on"
	Disconnected  Reason = "the design falls apart: no answers link some columns to the others"
	Unbounded     Reason = "the data set no finite value"
	AllRight      Reason = "all right: no finite estimate"
	AllWrong      Reason = "all wrong: no finite estimate"
	NotConverged  Reason = "the estimate did not settle"
	Unreached     Reason = "nobody reached this mark"
	NoReliability Reason = "the scores show no reliability to build on"
)

// Figure is one number with what it stands on. The zero Figure is not one.
type Figure struct {
	Value  float64 `json:"value"`
	N      int     `json:"n"`     // people (or answers) behind it
	Lo     float64 `json:"lo"`    // the interval, where Conf is not 0
	Hi     float64 `json:"hi"`    //
	Conf   float64 `json:"level"` // the interval's level; 0 where no interval is given
	NotYet Reason  `json:"not_yet,omitempty"`
	Need   int     `json:"need,omitempty"` // with NotYet [TooFew]: the n from which there is a number
}

// Known reports whether f holds a number.
func (f Figure) Known() bool { return f.NotYet == "" }

// MarshalJSON leaves out the number where there is none, so that nobody reads the
// 0 of a figure that is not known; its n and the reason stand. It reads back as it
// was.
func (f Figure) MarshalJSON() ([]byte, error) {
	if !f.Known() {
		return json.Marshal(struct {
			N      int    `json:"n"`
			NotYet Reason `json:"not_yet"`
			Need   int    `json:"need,omitempty"`
		}{f.N, f.NotYet, f.Need})
	}
	type plain Figure
	return json.Marshal(plain(f))
}

// number is a figure without an interval; a value that is not finite becomes
// the reason for having none.
func number(v float64, n int) Figure {
	if !finite(v) {
		return Figure{N: n, NotYet: NotFinite}
	}
	return Figure{Value: v, N: n}
}

// ranged is a figure with an interval of the given level.
func ranged(v, lo, hi, level float64, n int) Figure {
	if !finite(v, lo, hi) {
		return Figure{N: n, NotYet: NotFinite}
	}
	return Figure{Value: v, N: n, Lo: lo, Hi: hi, Conf: level}
}

// none is a figure without a number.
func none(r Reason, n int) Figure { return Figure{N: n, NotYet: r} }

// notYet is a figure that waits for more answers.
func notYet(n, need int) Figure { return Figure{N: n, NotYet: TooFew, Need: need} }

// from returns f, or "not yet" where n is below need.
func from(need, n int, f func() Figure) Figure {
	if n < need {
		return notYet(n, need)
	}
	return f()
}

// RefusedError says why something could not be computed at all.
type RefusedError struct {
	Reason Reason
	Detail string // which row, column or argument; empty where the reason says it all
}

func (e *RefusedError) Error() string {
	if e.Detail == "" {
		return string(e.Reason)
	}
	return fmt.Sprintf("%s: %s", e.Detail, e.Reason)
}

func refuse(r Reason, format string, args ...any) error {
	return &RefusedError{Reason: r, Detail: fmt.Sprintf(format, args...)}
}
