package itemmodel

import (
	"math/big"
	"math/rand/v2"
	"strconv"
	"strings"

	"soloright/content"
	"soloright/content/torque"
)

// gauge makes up readings of a value that has limits. A reading is a whole number
// of the gauge's resolution. Limits are inclusive: in the manual's own unit some
// readings lie exactly on one; in another unit none lies within its own rounding
// of one, so nobody is right or wrong by a rounding.
type gauge struct {
	unit   string
	digits int64 // the resolution is digits / 10^places
	places int
	zones  [3]zone
	on     []int64 // readings exactly on a limit
}

// zone is a range of readings, both ends included; empty where from > to.
type zone struct{ from, to int64 }

func (z zone) size() int64 { return max(0, z.to-z.from+1) }

// The zones of a gauge.
const (
	below = iota
	within
	above
)

// gaugeOf makes a gauge for the limits, of which one may be nil, that reads in the
// given unit with the given resolution. It reports false where it can make no
// reading within the limits and none outside.
func gaugeOf(l content.Limit, unit torque.Unit, resolution *big.Rat) (gauge, bool) {
	g := gauge{unit: unit.String()}
	places, exact := resolution.FloatPrec()
	if !exact || places > 9 || resolution.Sign() <= 0 {
		return g, false
	}
	g.places, g.digits = places, mul(resolution, pow10(places)).Num().Int64()
	own := true
	var in [2]*big.Rat
	for i, end := range []*torque.Quantity{l.Min, l.Max} {
		if end == nil {
			continue
		}
		v, err := end.In(unit)
		if err != nil {
			return g, false
		}
		own = own && end.Unit() == unit
		in[i] = quo(v, resolution)
	}
	g.setZones(in[0], in[1], own)
	return g, (in[0] != nil || in[1] != nil) && g.zones[within].size() > 0 && g.zones[below].size()+g.zones[above].size() > 0
}

// setZones lays out the readings round the limits, which are given in resolutions.
func (g *gauge) setZones(lo, hi *big.Rat, own bool) {
	keep := big.NewRat(1, 2)
	reach := reachOf(lo, hi)
	g.zones = [3]zone{{1, 0}, {0, 0}, {1, 0}}
	if lo != nil {
		g.zones[below], g.zones[within].from = zone{ceil(sub(lo, reach)), ceil(sub(lo, keep)) - 1}, floor(add(lo, keep))+1
		g.zones[within].to = floor(add(lo, reach))
	}
	if hi != nil {
		g.zones[above], g.zones[within].to = zone{floor(add(hi, keep)) + 1, floor(add(hi, reach))}, ceil(sub(hi, keep))-1
		if lo == nil {
			g.zones[within].from = ceil(sub(hi, reach))
		}
	}
	if own {
		g.toTheLimits(lo, hi)
	}
	for i := range g.zones {
		if (lo == nil || lo.Sign() >= 0) && (hi == nil || hi.Sign() >= 0) {
			g.zones[i].from = max(g.zones[i].from, 0) // no negative reading where no limit is
		}
	}
}

// toTheLimits widens the zones up to and on the limits.
func (g *gauge) toTheLimits(lo, hi *big.Rat) {
	if lo != nil {
		g.zones[below].to, g.zones[within].from = ceil(lo)-1, ceil(lo)
	}
	if hi != nil {
		g.zones[above].from, g.zones[within].to = floor(hi)+1, floor(hi)
	}
	for _, limit := range []*big.Rat{lo, hi} {
		if limit != nil && limit.IsInt() {
			g.on = append(g.on, limit.Num().Int64())
		}
	}
}

// reachOf is how far from the limits readings are made up: the width between two
// limits; with one limit three fifths of it, but no more than 20 resolutions, so that
// a diameter is not off by half. At least four resolutions.
func reachOf(lo, hi *big.Rat) *big.Rat {
	if lo != nil && hi != nil {
		return most(sub(hi, lo), big.NewRat(4, 1))
	}
	single := lo
	if lo == nil {
		single = hi
	}
	if single == nil {
		return big.NewRat(4, 1)
	}
	return most(least(mul(abs(single), big.NewRat(3, 5)), big.NewRat(20, 1)), big.NewRat(4, 1))
}

// count is how many distinct readings there are.
func (g gauge) count() int {
	return int(min(g.zones[below].size()+g.zones[within].size()+g.zones[above].size(), 1<<16))
}

// draw makes up a reading: in one of the zones that has any, each as likely; within
// the limits a quarter lies exactly on one, outside a quarter as near as may be.
func (g gauge) draw(rnd *rand.Rand) (k int64, in int) {
	zones := make([]int, 0, 3)
	for i, z := range g.zones {
		if z.size() > 0 {
			zones = append(zones, i)
		}
	}
	in = zones[rnd.IntN(len(zones))]
	near := rnd.IntN(4) == 0
	switch z := g.zones[in]; {
	case near && in == within && len(g.on) > 0:
		return g.on[rnd.IntN(len(g.on))], in
	case near && in == below:
		return z.to, in
	case near && in == above:
		return z.from, in
	default:
		return z.from + rnd.Int64N(z.size()), in
	}
}

// text writes reading k with its unit.
func (g gauge) text(k int64) string { return g.number(k) + " " + g.unit }

// number writes reading k with every digit that the gauge shows.
func (g gauge) number(k int64) string {
	n := k * g.digits
	sign := ""
	if n < 0 {
		sign, n = "−", -n
	}
	s := strconv.FormatInt(n, 10)
	if g.places == 0 {
		return sign + s
	}
	if len(s) <= g.places {
		s = strings.Repeat("0", g.places-len(s)+1) + s
	}
	return sign + s[:len(s)-g.places] + "." + s[len(s)-g.places:]
}

// finest returns the power of ten at most v/share, not above 1.
func finest(v *big.Rat, share int64) *big.Rat {
	r := big.NewRat(1, 1)
	for range 6 {
		if mul(r, big.NewRat(share, 1)).Cmp(abs(v)) <= 0 {
			break
		}
		r = quo(r, big.NewRat(10, 1))
	}
	return r
}

func pow10(n int) *big.Rat {
	return new(big.Rat).SetInt(new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(n)), nil))
}

func floor(v *big.Rat) int64 { return new(big.Int).Div(v.Num(), v.Denom()).Int64() }

func ceil(v *big.Rat) int64 { return -floor(new(big.Rat).Neg(v)) }
