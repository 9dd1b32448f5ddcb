package content

import (
	"math/big"

	"soloright/content/torque"
)

// compare is Cmp for values that are known to measure the same; 0 where they do not.
func compare(a, b torque.Quantity) int {
	n, err := a.Cmp(b)
	if err != nil {
		return 0
	}
	return n
}

// inUnit is the number of units that the quantity is; 0 where it measures something else.
func inUnit(q torque.Quantity, u torque.Unit) *big.Rat {
	v, err := q.In(u)
	if err != nil {
		return new(big.Rat)
	}
	return v
}

// width is the distance from lo to hi in the unit of hi; nil where they measure
// different things.
func width(lo, hi torque.Quantity) *big.Rat {
	from, err := lo.In(hi.Unit())
	if err != nil {
		return nil
	}
	return from.Sub(hi.Value(), from)
}

// aroundCircle is the angle in degrees, from 0 to below 360; nil where it is no angle.
func aroundCircle(q torque.Quantity) *big.Rat {
	v, err := q.In(torque.Degree)
	if err != nil {
		return nil
	}
	full := big.NewRat(360, 1)
	turns := new(big.Rat).Quo(v, full)
	whole := new(big.Int).Div(turns.Num(), turns.Denom()) // floor: Denom is above 0
	return v.Sub(v, full.Mul(full, new(big.Rat).SetInt(whole)))
}
