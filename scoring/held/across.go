package held

import (
	"math"

	"soloright/scoring/itemstat"
)

// The weak priors of the strengths: centre and SDs of their logarithm. Pairs with
// more than one answer are few, so a small crew says little of κ.
const (
	strengthCentre = 4
	factsWidth     = 1.5
	pairsWidth     = 0.75
)

func strengthPrior(strength, width float64) float64 {
	away := math.Log(strength/strengthCentre) / width
	return -away * away / 2
}

// across fits the beta that n shares come from, given the sums of what is
// expected of ln m and of ln(1 − m) over them: the top of their expected
// likelihood times the weak prior, found by steps that halve.
func across(sumLog, sumLog1 float64, n int, from itemstat.Beta) itemstat.Beta {
	value := func(x [2]float64) float64 {
		m, s := logistic(x[0]), math.Exp(x[1])
		a, b := m*s, (1-m)*s
		return a*sumLog + b*sumLog1 - float64(n)*logBeta(a, b) + math.Log(m) + math.Log1p(-m) + strengthPrior(s, factsWidth)
	}
	at := [2]float64{math.Log(from.A / from.B), math.Log(from.A + from.B)}
	best := value(at)
	for step := 0.5; step > 1e-4; {
		moved := false
		for i := range at {
			for _, d := range []float64{step, -step} {
				try := at
				try[i] += d
				if math.Abs(try[0]) > 9 || math.Abs(try[1]) > 12 {
					continue
				}
				if v := value(try); v > best {
					at, best, moved = try, v, true
				}
			}
		}
		if !moved {
			step /= 2
		}
	}
	m, s := logistic(at[0]), math.Exp(at[1])
	return itemstat.Beta{A: m * s, B: (1 - m) * s}
}

func logBeta(a, b float64) float64 {
	x, _ := math.Lgamma(a)
	y, _ := math.Lgamma(b)
	z, _ := math.Lgamma(a + b)
	return x + y - z
}

// matched is the beta with a mean and a variance.
func matched(mean, variance float64) itemstat.Beta {
	mean = min(max(mean, 1e-4), 1-1e-4)
	s := mean*(1-mean)/max(variance, 1e-9) - 1
	s = min(max(s, 0.02), 1e6)
	return itemstat.Beta{A: max(mean*s, 1e-5), B: max((1-mean)*s, 1e-5)}
}
