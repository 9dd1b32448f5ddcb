package held

import (
	"math"

	"soloright/scoring/itemstat"
)

// The weak priors of the strengths: centre and SDs of their logarithm. Pairs with
// more than one answer are few, so a small crew says little of κ.
const (
	strengthCentre = 4
	factsWidth     = 1.0
	pairsWidth     = 0.75
)

func strengthPrior(strength, width float64) float64 {
	away := math.Log(strength/strengthCentre) / width
	return -away * away / 2
}

// across fits the beta that shares come from, to how likely each level of the
// grid makes what was answered on each of them: the top of the marginal likelihood
// times the weak prior, and its logarithm there. It is looked for by steps that
// halve, from two starts: one strong, one weak.
func across(likely [][]float64, from itemstat.Beta) (itemstat.Beta, float64) {
	a, at := climbAcross(likely, from)
	weak := from.A / (from.A + from.B) * strengthCentre / 2
	if b, bt := climbAcross(likely, itemstat.Beta{A: weak, B: strengthCentre/2 - weak}); bt > at {
		return b, bt
	}
	return a, at
}

func climbAcross(likely [][]float64, from itemstat.Beta) (itemstat.Beta, float64) {
	at := [2]float64{math.Log(from.A / from.B), math.Log(from.A + from.B)}
	best := acrossValue(likely, at)
	for step := 0.5; step > 0.01; {
		moved := false
		for i := range at {
			for _, d := range []float64{step, -step} {
				try := at
				try[i] += d
				if math.Abs(try[0]) > 9 || math.Abs(try[1]) > 9 {
					continue
				}
				if v := acrossValue(likely, try); v > best {
					at, best, moved = try, v, true
				}
			}
		}
		if !moved {
			step /= 2
		}
	}
	return betaOf(at), best
}

// betaOf is the beta of the logit of its mean and the logarithm of its strength.
func betaOf(x [2]float64) itemstat.Beta {
	s := math.Exp(x[1])
	return itemstat.Beta{A: logistic(x[0]) * s, B: logistic(-x[0]) * s}
}

func acrossValue(likely [][]float64, x [2]float64) float64 {
	d := betaOf(x)
	sum := math.Log(logistic(x[0])) + math.Log(logistic(-x[0])) + strengthPrior(d.A+d.B, factsWidth)
	weights := levelWeights(d)
	for _, l := range likely {
		v := 0.0
		for j, w := range weights {
			v += w * l[j]
		}
		sum += math.Log(max(v, 1e-300))
	}
	return sum
}

// Odd is the share of facts of which nothing is known beforehand: one in thirty
// is taught badly, or stated so that nobody learns it, whatever the others are
// like. Without them a fact that everybody misses would be drawn far up to the
// others where those are all held.
const Odd = 1.0 / 30

// levelWeights is how a beta over facts, with the odd ones, weighs the levels of
// the grid.
func levelWeights(d itemstat.Beta) []float64 {
	w := make([]float64, levels)
	for j := range w {
		w[j] = d.A*levelLogs[j][0] + d.B*levelLogs[j][1] // with the Jacobian of the logit
	}
	weigh(w)
	for j, u := range evenWeights {
		w[j] = (1-Odd)*w[j] + Odd*u
	}
	return w
}

// evenWeights are those of a level that may be anything.
var evenWeights = func() []float64 {
	w := make([]float64, levels)
	for j := range w {
		w[j] = levelLogs[j][0] + levelLogs[j][1]
	}
	weigh(w)
	return w
}()

// levelLogs are ln m and ln(1 − m) at each level.
var levelLogs = func() (l [levels][2]float64) {
	for j := range l {
		l[j] = [2]float64{math.Log(logistic(levelAt(j))), math.Log(logistic(-levelAt(j)))}
	}
	return l
}()

// matched is the beta with a mean and a variance.
func matched(mean, variance float64) itemstat.Beta {
	mean = min(max(mean, 1e-4), 1-1e-4)
	s := mean*(1-mean)/max(variance, 1e-9) - 1
	s = min(max(s, 0.02), 1e6)
	return itemstat.Beta{A: max(mean*s, 1e-5), B: max((1-mean)*s, 1e-5)}
}
