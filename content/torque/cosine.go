package torque

import "math/big"

// CosineDigits is the number of decimal places to which Cosine is right.
const CosineDigits = 40

// Cosine returns the cosine of an angle in degrees. It is exact where the cosine
// is rational (the whole multiples of 60° and of 90°); elsewhere it is the true
// value rounded to CosineDigits places, worked out in integers.
func Cosine(degrees *big.Rat) *big.Rat {
	d, sign := firstQuadrant(degrees)
	var c *big.Rat
	switch {
	case d.Sign() == 0:
		c = big.NewRat(1, 1)
	case d.Cmp(big.NewRat(60, 1)) == 0:
		c = big.NewRat(1, 2)
	case d.Cmp(big.NewRat(90, 1)) == 0:
		c = new(big.Rat)
	default:
		c = series(d)
	}
	if sign < 0 {
		c.Neg(c)
	}
	return c
}

// firstQuadrant brings an angle to 0..90° and returns the sign its cosine has.
func firstQuadrant(degrees *big.Rat) (*big.Rat, int) {
	full := big.NewRat(360, 1)
	turns := new(big.Rat).Quo(degrees, full)
	whole := new(big.Int).Div(turns.Num(), turns.Denom())
	d := new(big.Rat).Sub(degrees, new(big.Rat).Mul(full, new(big.Rat).SetInt(whole)))
	half := big.NewRat(180, 1)
	if d.Cmp(half) > 0 { // cos(360° − a) = cos a
		d.Sub(full, d)
	}
	if d.Cmp(big.NewRat(90, 1)) > 0 { // cos(180° − a) = −cos a
		return d.Sub(half, d), -1
	}
	return d, 1
}

// π to 59 decimal places, cut off. The error of an angle up to 90° is below 1E−58.
const piDigits = "3.14159265358979323846264338327950288419716939937510582097494"

// series sums 1 − x²/2! + x⁴/4! − … in fixed point with 56 places. Fifty terms at
// most, each cut off once, leave an error below 1E−54, so that rounding to 40
// places is right unless the true value lies within 1E−54 of a tie.
func series(degrees *big.Rat) *big.Rat {
	one := new(big.Int).Exp(big.NewInt(10), big.NewInt(56), nil)
	x := product(piDigits, "1/180")
	x.Mul(x, degrees)
	square := new(big.Rat).Mul(x, x)
	x2 := new(big.Int).Quo(new(big.Int).Mul(square.Num(), one), square.Denom())
	sum, term := new(big.Int).Set(one), new(big.Int).Set(one)
	for k := int64(1); term.Sign() != 0; k++ {
		term.Mul(term, x2)
		term.Quo(term, one)
		term.Quo(term, big.NewInt((2*k-1)*2*k))
		if k%2 == 1 {
			sum.Sub(sum, term)
		} else {
			sum.Add(sum, term)
		}
	}
	c, _ := new(big.Rat).SetString(new(big.Rat).SetFrac(sum, one).FloatString(CosineDigits))
	return c
}
