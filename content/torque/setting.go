package torque

import (
	"errors"
	"fmt"
	"math/big"
)

// Reason is why a wrench cannot be set for a joint.
type Reason string

// The reasons. Unfit is a mistake of whoever asked (Err says which), never the
// key of an item; the other two are "not this wrench".
const (
	Settable   Reason = ""
	OutOfRange Reason = "out of range" // the target is outside the range of the wrench
	TooCoarse  Reason = "too coarse"   // one graduation is wider than the joint's tolerance band
	Unfit      Reason = "unfit"        // the wrench is impossible, or a quantity is missing or no torque
)

// Interval is the closed interval from Lo to Hi; a single value where they are equal.
type Interval struct{ Lo, Hi *big.Rat }

// Setting is what a wrench is set to for a target. Numbers are in Unit, the
// wrench's.
type Setting struct {
	Reason      Reason
	Unit        Unit
	Exact       *big.Rat   // the target before rounding; nil where Unfit
	Accept      []Interval // every right setting; empty unless Settable
	OutsideBand bool       // a right setting lies outside the joint's tolerance band
	Err         error      // why Unfit
}

// Settable reports whether the wrench can be set for the target.
func (s Setting) Settable() bool { return s.Reason == Settable }

// Accepts reports whether v, in the wrench's unit, is a right setting.
func (s Setting) Accepts(v *big.Rat) bool {
	for _, in := range s.Accept {
		if v.Cmp(in.Lo) >= 0 && v.Cmp(in.Hi) <= 0 {
			return true
		}
	}
	return false
}

// Set says how to set the wrench for the target. Right is the mark nearest to the
// exact value, both where two are equally near; on a digital display everything
// within half a step of the last digit, ends included. A target outside the range
// (ends included in it) or a graduation wider than the band is not for this
// wrench; band is the lowest and highest value the joint allows, nil where it
// states none.
//
// The nearest mark may lie outside a lopsided band; OutsideBand says so, and
// whoever writes an item had better choose another wrench.
func (w Wrench) Set(target Quantity, band *[2]Quantity) Setting {
	s := Setting{Unit: w.Unit}
	exact, lo, hi, err := w.convert(target, band)
	if err != nil {
		s.Reason, s.Err = Unfit, fmt.Errorf("set a wrench for %s: %w", target.text, err)
		return s
	}
	s.Exact = exact
	switch {
	case exact.Cmp(w.Min) < 0 || exact.Cmp(w.Max) > 0:
		s.Reason = OutOfRange
	case lo != nil && w.Graduation.Cmp(new(big.Rat).Sub(hi, lo)) > 0:
		s.Reason = TooCoarse
	default:
		s.Accept = w.accept(exact)
		s.OutsideBand = lo != nil && outside(s.Accept, lo, hi)
	}
	return s
}

// convert checks the wrench and brings target and band to its unit.
func (w Wrench) convert(target Quantity, band *[2]Quantity) (exact, lo, hi *big.Rat, err error) {
	if err = w.Check(); err != nil {
		return nil, nil, nil, err
	}
	if exact, err = target.In(w.Unit); err != nil || band == nil {
		return exact, nil, nil, err
	}
	if lo, err = band[0].In(w.Unit); err != nil {
		return nil, nil, nil, err
	}
	if hi, err = band[1].In(w.Unit); err != nil {
		return nil, nil, nil, err
	}
	if lo.Cmp(hi) > 0 {
		return nil, nil, nil, errors.New("the tolerance band ends below its beginning")
	}
	return exact, lo, hi, nil
}

func (w Wrench) accept(exact *big.Rat) []Interval {
	if w.Display == Digital {
		half := new(big.Rat).Mul(w.Graduation, big.NewRat(1, 2))
		return []Interval{{new(big.Rat).Sub(exact, half), new(big.Rat).Add(exact, half)}}
	}
	below, above := w.marks(exact)
	down, up := new(big.Rat).Sub(exact, below), new(big.Rat).Sub(above, exact)
	switch c := down.Cmp(up); {
	case below.Cmp(above) == 0 || c < 0:
		return []Interval{{below, below}}
	case c > 0:
		return []Interval{{above, above}}
	}
	return []Interval{{below, below}, {above, above}}
}

// marks returns the marks on both sides of v, twice the same where v is on one.
func (w Wrench) marks(v *big.Rat) (below, above *big.Rat) {
	n := new(big.Rat).Quo(v, w.Graduation)
	floor := new(big.Int).Div(n.Num(), n.Denom()) // Euclidean: rounds down, as denominators are positive
	below = new(big.Rat).SetInt(floor)
	below.Mul(below, w.Graduation)
	if n.IsInt() {
		return below, below
	}
	return below, new(big.Rat).Add(below, w.Graduation)
}

func outside(accept []Interval, lo, hi *big.Rat) bool {
	for _, in := range accept {
		if in.Lo.Cmp(lo) < 0 || in.Hi.Cmp(hi) > 0 {
			return true
		}
	}
	return false
}
