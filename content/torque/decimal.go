package torque

import (
	"math/big"
	"strings"
)

// Decimal writes v with the given number of decimal places, rounded half away
// from zero, with a point and no sign before a zero: Decimal(−1/2, 0) is "-1".
// Fewer than 0 places count as 0, a nil v as 0.
func Decimal(v *big.Rat, places int) string {
	if v == nil {
		v = new(big.Rat)
	}
	s := v.FloatString(max(places, 0)) // rounds halves away from zero, exactly
	if strings.Trim(s, "-0.") == "" {
		return strings.TrimPrefix(s, "-")
	}
	return s
}

// exactText writes v exactly: as a decimal where it has an end, else as a fraction.
func exactText(v *big.Rat) string {
	places, ends := v.FloatPrec()
	if !ends {
		return v.RatString()
	}
	return v.FloatString(places)
}
