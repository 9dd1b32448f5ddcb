package itemmodel

import (
	"math/big"
	"strings"

	"soloright/content/torque"
)

// Short forms of exact arithmetic; each returns a new number.

func sub(a, b *big.Rat) *big.Rat { return new(big.Rat).Sub(a, b) }
func add(a, b *big.Rat) *big.Rat { return new(big.Rat).Add(a, b) }
func mul(a, b *big.Rat) *big.Rat { return new(big.Rat).Mul(a, b) }
func quo(a, b *big.Rat) *big.Rat { return new(big.Rat).Quo(a, b) }
func abs(a *big.Rat) *big.Rat    { return new(big.Rat).Abs(a) }

// plain writes an exact decimal with the digits it needs, and at most six.
func plain(v *big.Rat) string {
	n, exact := v.FloatPrec()
	if !exact || n > 6 {
		n = 6
	}
	return minus(torque.Decimal(v, n))
}

// about writes a value to five figures, without the zeros at its end.
func about(v *big.Rat) string {
	places := 4
	for limit := big.NewRat(10, 1); places > 0 && abs(v).Cmp(limit) >= 0; places-- {
		limit = mul(limit, big.NewRat(10, 1))
	}
	for limit := big.NewRat(1, 1); places < 8 && v.Sign() != 0 && abs(v).Cmp(limit) < 0; places++ {
		limit = quo(limit, big.NewRat(10, 1))
	}
	s := torque.Decimal(v, places)
	if strings.Contains(s, ".") {
		s = strings.TrimSuffix(strings.TrimRight(s, "0"), ".")
	}
	return minus(s)
}

// minus sets the sign in print.
func minus(s string) string { return strings.Replace(s, "-", "−", 1) }

// factorWords says how two units stand to each other, the larger one first:
// "1 lbf·ft is 1.3558 N·m".
func factorWords(a, b torque.Unit) string {
	f, err := torque.Of(big.NewRat(1, 1), a).In(b)
	if err != nil {
		return ""
	}
	if f.Cmp(big.NewRat(1, 1)) < 0 {
		return factorWords(b, a)
	}
	return "1 " + a.String() + " is " + about(f) + " " + b.String()
}

func least(a, b *big.Rat) *big.Rat {
	if b.Cmp(a) < 0 {
		return b
	}
	return a
}

func most(a, b *big.Rat) *big.Rat {
	if b.Cmp(a) > 0 {
		return b
	}
	return a
}
