package held

import (
	"math"

	"soloright/scoring/itemstat"
)

// Prior is what a pair borrows from all others: what is to be expected of its h
// before its own answers.
func (m *Model) Prior(person, fact int) []itemstat.Part {
	if i, ok := m.at[[2]int{person, fact}]; ok && m.prior[i] != nil {
		return m.prior[i]
	}
	return borrowed(m.level[fact], m.stands[person], m.Strength)
}

// tallies are a pair's own answers.
func (m *Model) tallies(person, fact int) []itemstat.Tally {
	if i, ok := m.at[[2]int{person, fact}]; ok {
		return m.crew.Pairs[i].Tallies
	}
	return nil
}

// Pair says what a person holds of a fact: with no answers what the crew makes
// likely, N 0. It costs some twenty incomplete beta functions for each answer.
func (m *Model) Pair(person, fact int, level float64) (itemstat.Held, error) {
	return itemstat.PosteriorOver(m.Prior(person, fact), level, m.tallies(person, fact)...)
}

// Chance is Pair without its interval: the posterior mean, and the probability
// that h is below the level. It costs an incomplete beta function for each answer.
func (m *Model) Chance(person, fact int, level float64) (mean, below float64, err error) {
	return itemstat.ChanceOver(m.Prior(person, fact), level, m.tallies(person, fact)...)
}

// Facts says what the crew, as it is, holds of each fact: what is to be expected
// of one of its people, whose standings are what they are; N counts answers. The
// level wanted may differ from fact to fact.
func (m *Model) Facts(level func(fact int) float64) []itemstat.Held {
	n := make([]int, m.crew.Facts)
	for _, p := range m.crew.Pairs {
		n[p.Fact] += answered(p.Tallies)
	}
	crew := m.average()
	out := make([]itemstat.Held, m.crew.Facts)
	each(len(out), func(fact int) {
		c := finer(m.level[fact], levelAt(0), spacing)
		lo, hi := c.quantile((1-itemstat.Level)/2), c.quantile((1+itemstat.Level)/2)
		out[fact] = itemstat.Held{
			Share: itemstat.Figure{Value: c.mean(crew.share), N: n[fact], Lo: crew.share(lo), Hi: crew.share(hi), Conf: itemstat.Level},
			Below: c.below(crew.logit(level(fact))),
		}
	})
	return out
}

// standing is how the people of a crew stand, all together.
type standing [standings]float64

func (m *Model) average() (s standing) {
	for _, w := range m.stands {
		for k, v := range w {
			s[k] += v
		}
	}
	if len(m.stands) == 0 {
		s[(standings-1)/2] = 1
	}
	normalise(s[:])
	return s
}

// share is what the crew holds of a fact of the level x.
func (s standing) share(x float64) (h float64) {
	for k, w := range s {
		h += w * logistic(x+standingAt(k))
	}
	return h
}

// logit is the level of a fact of which the crew holds a share.
func (s standing) logit(share float64) float64 {
	lo, hi := -40.0, 40.0
	for range 60 {
		if mid := (lo + hi) / 2; s.share(mid) < share {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}

// curve is a density over the logit, as its sums up to the end of each step.
type curve struct{ x, weight, sum []float64 }

// finer draws a curve through the points of a grid: the logarithm of a density is
// smooth, so cubics through four points follow it where the answers of a large
// crew leave only one or two points any weight.
func finer(grid []float64, from, spacing float64) curve {
	const parts = 16
	logs := make([]float64, len(grid))
	for j, w := range grid {
		logs[j] = math.Log(max(w, 1e-300))
	}
	n := (len(grid)-1)*parts + 1
	c := curve{make([]float64, n), make([]float64, n), make([]float64, n)}
	for i := range n {
		j, t := i/parts, float64(i%parts)/parts
		c.x[i] = from + float64(i)*spacing/parts
		c.weight[i] = math.Exp(cubic(logs, j, t))
	}
	return c.summed()
}

func (c curve) summed() curve {
	normalise(c.weight)
	total := 0.0
	for i, w := range c.weight {
		total += w
		c.sum[i] = total
	}
	return c
}

// cubic is the curve through y[j−1..j+2] at j + t (Lagrange), with straight lines
// where there are no four points.
func cubic(y []float64, j int, t float64) float64 {
	if j+1 >= len(y) {
		return y[j]
	}
	if j == 0 || j+2 >= len(y) {
		return y[j] + t*(y[j+1]-y[j])
	}
	return -t*(t-1)*(t-2)/6*y[j-1] + (t+1)*(t-1)*(t-2)/2*y[j] - (t+1)*t*(t-2)/2*y[j+1] + (t+1)*t*(t-1)/6*y[j+2]
}

func (c curve) mean(of func(x float64) float64) float64 {
	sum := 0.0
	for i, w := range c.weight {
		if w > negligible {
			sum += w * of(c.x[i])
		}
	}
	return sum
}

// quantile is where p of the curve lies below. A point's weight lies
// half a step before and half a step behind it.
func (c curve) quantile(p float64) float64 {
	step := c.x[1] - c.x[0]
	for i, s := range c.sum {
		if s >= p && c.weight[i] > 0 {
			return c.x[i] + step/2 - step*(s-p)/c.weight[i]
		}
	}
	return c.x[len(c.x)-1]
}

// below is how much of the curve lies below x.
func (c curve) below(x float64) float64 {
	half := (c.x[1] - c.x[0]) / 2
	for i := range c.x {
		if end := c.x[i] + half; end >= x {
			return min(1, max(0, c.sum[i]-c.weight[i]*(end-x)/(2*half)))
		}
	}
	return 1
}
