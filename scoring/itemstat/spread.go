package itemstat

import "math"

// place is the height of the likelihood at one spread, the family's place
// integrated out by Laplace's method about the best for it (a restricted likelihood: spreads
// by the plain one come out too small where items are few).
type place struct{ spread, shift, curve, log float64 }

// leastSpread stands for no spread at all: the likelihood moves with the square of it.
const leastSpread = shiftWidth

// best finds the family's place for a spread by Newton's steps from a near one.
func (f *familyFit) best(spread, shift float64) place {
	slope, curve := f.slope(spread, shift)
	for range 50 {
		step := max(-.5, min(.5, slope/curve))
		next := max(-MaxSpread, min(MaxSpread, shift+step))
		if abs(next-shift) < 1e-7 {
			break
		}
		shift = next
		slope, curve = f.slope(spread, shift)
	}
	out := place{spread, shift, curve, -math.Log(curve) / 2}
	f.moments(spread, shift, func(_ int, log, _, _ float64) { out.log += log })
	return out
}

// slope and curve are those of the likelihood by the family's place, the curve
// bent downwards where rounding or a far place has it flat.
func (f *familyFit) slope(spread, shift float64) (slope, curve float64) {
	v := spread * spread
	f.moments(spread, shift, func(_ int, _, mean, variance float64) {
		slope += mean / v
		curve += 1/v - variance/(v*v)
	})
	return slope, max(curve, 1e-3)
}

// moments calls do with each item's log-likelihood, and the mean and variance of its effect.
func (f *familyFit) moments(spread, shift float64, do func(item int, log, mean, variance float64)) {
	prior := make([]float64, shifts)
	for s := range prior {
		z := (shiftAt(s) - shift) / spread
		prior[s] = math.Exp(-z*z/2) * shiftWidth / (spread * math.Sqrt(2*math.Pi))
	}
	for i, it := range f.items {
		var w, first, second float64
		for s, l := range it.like {
			p, e := l*prior[s], shiftAt(s)-shift
			w += p
			first += p * e
			second += p * e * e
		}
		w = max(w, 1e-300)
		first /= w
		do(i, math.Log(w), first, max(0, second/w-first*first))
	}
}

// profile is the likelihood by spread, every tenth of a logit.
func (f *familyFit) profile() []place {
	out := []place{f.best(leastSpread, 0)}
	for i := 1; float64(i)/10 <= MaxSpread+same; i++ {
		out = append(out, f.best(float64(i)/10, out[len(out)-1].shift))
	}
	return out
}

// halfChi is half the 90 % point of chi-square with one degree of freedom.
const halfChi = z90 * z90 / 2

func (f *familyFit) report(repeated int) Family {
	profile := f.profile()
	top := 0
	for i, p := range profile {
		if p.log > profile[top].log {
			top = i
		}
	}
	peak := f.peak(profile, top)
	out := Family{SD: f.interval(profile, peak, repeated)}
	mean, second := make([]float64, len(f.items)), make([]float64, len(f.items))
	all := 0.0
	for _, p := range profile {
		w := math.Exp(p.log - peak.log)
		all += w
		f.moments(p.spread, p.shift, func(i int, _, m, v float64) {
			mean[i] += w * m
			pull := 1 - v/(p.spread*p.spread) // of the family's place on the effect
			second[i] += w * (v + pull*pull/p.curve + m*m)
		})
	}
	for i, it := range f.items {
		m := mean[i] / all
		out.Items = append(out.Items, ItemEffect{it.number, withSE(m, math.Sqrt(max(0, second[i]/all-m*m)), it.answers)})
	}
	return out
}

// peak refines the top of the profile by golden sections between its neighbours.
func (f *familyFit) peak(profile []place, top int) place {
	if top == 0 && profile[1].log <= profile[0].log {
		return profile[0]
	}
	lo, hi := profile[max(0, top-1)], profile[min(len(profile)-1, top+1)]
	const golden = 0.6180339887498949
	a, b := hi.spread-golden*(hi.spread-lo.spread), lo.spread+golden*(hi.spread-lo.spread)
	pa, pb := f.best(a, lo.shift), f.best(b, lo.shift)
	for hi.spread-lo.spread > 1e-4 {
		if pa.log >= pb.log {
			hi, pb = pb, pa
			pa = f.best(hi.spread-golden*(hi.spread-lo.spread), pa.shift)
		} else {
			lo, pa = pa, pb
			pb = f.best(lo.spread+golden*(hi.spread-lo.spread), pb.shift)
		}
	}
	if pa.log >= pb.log {
		return pa
	}
	return pb
}

// interval ends where the profile has fallen by halfChi.
func (f *familyFit) interval(profile []place, peak place, repeated int) Figure {
	fall := func(spread float64) float64 { return peak.log - f.best(spread, peak.shift).log - halfChi }
	last := profile[len(profile)-1]
	if peak.log-last.log < halfChi {
		return none(Unbounded, repeated)
	}
	value, lo := peak.spread, 0.0
	if value <= leastSpread {
		value = 0
	}
	if peak.log-profile[0].log > halfChi {
		lo = crossing(leastSpread, peak.spread, func(x float64) float64 { return -fall(x) })
	}
	return ranged(value, lo, crossing(peak.spread, last.spread, fall), Level, repeated)
}

// crossing is [bisect] to a thousandth of a logit, for functions that cost.
func crossing(lo, hi float64, f func(float64) float64) float64 {
	for hi-lo > 1e-3 {
		mid := (lo + hi) / 2
		if f(mid) < 0 {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}
