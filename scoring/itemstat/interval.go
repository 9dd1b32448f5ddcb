package itemstat

import (
	"math"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/distuv"
)

// Interval is a range for a proportion, 0 to 1.
type Interval struct{ Lo, Hi float64 }

// ClopperPearson returns the exact interval of x right of n, the level between 0
// and 1: it never covers less often than the level (Clopper and Pearson 1934).
func ClopperPearson(x, n int, level float64) (Interval, error) {
	if err := checkProportion(float64(x), n, level); err != nil {
		return Interval{}, err
	}
	tail := (1 - level) / 2
	in := Interval{0, 1}
	if x > 0 {
		in.Lo = betaQuantile(tail, float64(x), float64(n-x+1))
	}
	if x < n {
		in.Hi = betaQuantile(1-tail, float64(x+1), float64(n-x))
	}
	return in, nil
}

// Wilson returns the score interval of a sum of marks x over n answers (Wilson
// 1927). For part marks it is wide enough: they vary less than right-or-wrong
// marks of the same mean.
func Wilson(x float64, n int, level float64) (Interval, error) {
	if err := checkProportion(x, n, level); err != nil {
		return Interval{}, err
	}
	z := distuv.UnitNormal.Quantile(1 - (1-level)/2)
	nf := float64(n)
	p := x / nf
	mid := (p + z*z/(2*nf)) / (1 + z*z/nf)
	half := z / (1 + z*z/nf) * math.Sqrt(p*(1-p)/nf+z*z/(4*nf*nf))
	in := Interval{max(0, mid-half), min(1, mid+half)}
	// The ends are exact here, and rounding would leave them a hair inside.
	if x == 0 {
		in.Lo = 0
	}
	if x == nf {
		in.Hi = 1
	}
	return in, nil
}

// Jeffreys returns the equal-tailed interval of the Beta(x+½, n−x+½) posterior,
// its lower end 0 where nothing is right and its upper end 1 where all is
// (Brown, Cai and DasGupta 2001).
func Jeffreys(x float64, n int, level float64) (Interval, error) {
	if err := checkProportion(x, n, level); err != nil {
		return Interval{}, err
	}
	tail := (1 - level) / 2
	a, b := x+0.5, float64(n)-x+0.5
	in := Interval{0, 1}
	if x > 0 {
		in.Lo = betaQuantile(tail, a, b)
	}
	if x < float64(n) {
		in.Hi = betaQuantile(1-tail, a, b)
	}
	return in, nil
}

func checkProportion(x float64, n int, level float64) error {
	switch {
	case !finite(x, level):
		return refuse(NotFinite, "proportion %v of %d at level %v", x, n, level)
	case n < 1:
		return refuse(Empty, "proportion of %d answers", n)
	case x < 0 || x > float64(n) || n > MaxCount:
		return refuse(OutOfRange, "proportion %v of %d", x, n)
	case level <= 0 || level >= 1:
		return refuse(OutOfRange, "level %v", level)
	}
	return nil
}

// betaCDF is the probability that a Beta(a, b) lies below x.
func betaCDF(x, a, b float64) float64 {
	switch {
	case x <= 0:
		return 0
	case x >= 1:
		return 1
	}
	return mathext.RegIncBeta(a, b, x)
}

// betaQuantile inverts betaCDF by bisection, to the last bit or two: slower than
// a Newton iteration and never wrong at an extreme a or b.
func betaQuantile(p, a, b float64) float64 {
	return bisect(0, 1, func(x float64) float64 { return betaCDF(x, a, b) - p })
}

// bisect returns where the rising function f passes 0 between lo and hi.
func bisect(lo, hi float64, f func(float64) float64) float64 {
	for range 200 {
		mid := lo + (hi-lo)/2
		if mid == lo || mid == hi {
			break
		}
		if f(mid) < 0 {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo + (hi-lo)/2
}

// root is [bisect] by the Illinois method once the place is known to half a unit:
// some ten steps to a part in 10¹² where bisecting takes fifty. Where f does not pass 0 it
// returns the nearer end.
func root(lo, hi float64, f func(float64) float64) float64 {
	low, high := f(lo), f(hi)
	for hi-lo > 0.5 {
		mid := lo + (hi-lo)/2
		if v := f(mid); v < 0 {
			lo, low = mid, v
		} else {
			hi, high = mid, v
		}
	}
	if !(low < 0 && high > 0) {
		return bisect(lo, hi, f)
	}
	side := 0
	for range 30 {
		x := hi - high*(hi-lo)/(high-low)
		v := f(x)
		if v == 0 || hi-lo < 1e-12*(1+abs(x)) {
			return x
		}
		if v < 0 {
			lo, low = x, v
			if side < 0 { // an end that stays twice counts for half, lest the other creep
				high /= 2
			}
			side = -1
		} else {
			hi, high = x, v
			if side > 0 {
				low /= 2
			}
			side = 1
		}
	}
	return bisect(lo, hi, f)
}
