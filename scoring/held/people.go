package held

import (
	"math"

	"soloright/scoring/itemstat"
)

// People says what each person holds of the facts that concern him or her, all
// together: what is to be expected of one of them, by where the person stands;
// N counts answers. The level wanted may differ from person to person. A person
// whom nothing concerns has the zero Held, with N 0 and no interval.
func (m *Model) People(concerns func(person, fact int) bool, level func(person int) float64) []itemstat.Held {
	n := make([]int, m.crew.People)
	for _, p := range m.crew.Pairs {
		n[p.Person] += answered(p.Tallies)
	}
	of, spread := m.byStanding()
	out := make([]itemstat.Held, m.crew.People)
	each(len(out), func(p int) {
		var mean, variance standing
		facts := 0.0
		for fact := range of {
			if concerns(p, fact) {
				facts++
				for k, v := range of[fact] {
					mean[k] += v
					variance[k] += spread[fact][k]
				}
			}
		}
		if facts == 0 {
			return
		}
		for k := range mean {
			mean[k] /= facts
			variance[k] /= facts * facts
		}
		c := finer(m.stands[p], standingAt(0), standingAt(1)-standingAt(0)).widened(mean, variance)
		lo, hi := c.quantile((1-itemstat.Level)/2), c.quantile((1+itemstat.Level)/2)
		out[p] = itemstat.Held{
			Share: itemstat.Figure{Value: c.mean(mean.between), N: n[p], Lo: mean.between(lo), Hi: mean.between(hi), Conf: itemstat.Level},
			Below: c.below(mean.standingOf(level(p))),
		}
	})
	return out
}

// byStanding is what is to be expected of each fact by standing, and its variance
// because the fact's level is not known exactly.
func (m *Model) byStanding() (mean, variance []standing) {
	mean, variance = make([]standing, m.crew.Facts), make([]standing, m.crew.Facts)
	each(len(mean), func(fact int) {
		for k := range mean[fact] {
			square := 0.0
			for j, w := range m.level[fact] {
				v := wideShare[j+perShift*k]
				mean[fact][k] += w * v
				square += w * v * v
			}
			variance[fact][k] = max(0, square-mean[fact][k]*mean[fact][k])
		}
	})
	return mean, variance
}

// widened draws a curve over standings out by as much as the levels' variance adds
// to that of the share.
func (c curve) widened(mean, variance standing) curve {
	centre, share, square := 0.0, 0.0, 0.0
	for i, w := range c.weight {
		v := mean.between(c.x[i])
		centre, share, square = centre+w*c.x[i], share+w*v, square+w*v*v
	}
	own := square - share*share
	if own < 1e-12 {
		return c
	}
	by := math.Sqrt(1 + max(0, variance.between(centre))/own)
	for i := range c.x {
		c.x[i] = centre + by*(c.x[i]-centre)
	}
	return c
}

// between is what is to be expected at a standing between the points.
func (s standing) between(x float64) float64 {
	at := min(max((x-standingAt(0))/(standingAt(1)-standingAt(0)), 0), standings-1)
	k := min(int(at), standings-2)
	return cubic(s[:], k, at-float64(k))
}

// standingOf is the standing at which a share is to be expected.
func (s standing) standingOf(share float64) float64 {
	lo, hi := standingAt(0), standingAt(standings-1)
	for range 50 {
		if mid := (lo + hi) / 2; s.between(mid) < share {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}
