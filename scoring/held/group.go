package held

import (
	"math"

	"soloright/scoring/itemstat"
)

// Groups says what is held of each of some groups of answers (a topic, a model, a
// person, a crew), all answers of a group alike. From [itemstat.NeedPrior] groups
// with answers on, the groups' shares come from one beta that their answers make
// most likely (beta-binomial); below that from Jeffreys's prior. The error is a
// [*itemstat.RefusedError]. The cost does not grow with the number of answers.
func Groups(groups [][]itemstat.Tally, level float64) ([]itemstat.Held, error) {
	if math.IsNaN(level) || level <= 0 || level >= 1 {
		return nil, &itemstat.RefusedError{Reason: itemstat.OutOfRange, Detail: "level"}
	}
	all := Crew{People: 1, Facts: len(groups)}
	with := 0
	for i, g := range groups {
		all.Pairs = append(all.Pairs, Pair{Fact: i, Tallies: g})
		if answered(g) > 0 {
			with++
		}
	}
	if err := all.check(); err != nil {
		return nil, err
	}
	prior := itemstat.JeffreysPrior
	if with >= itemstat.NeedPrior {
		prior = groupPrior(groups)
	}
	out := make([]itemstat.Held, len(groups))
	each(len(groups), func(i int) { out[i] = posteriorOf(prior, groups[i], level) })
	return out, nil
}

// groupPrior is the beta that the groups' shares most likely come from.
func groupPrior(groups [][]itemstat.Tally) itemstat.Beta {
	right, n := 1.0, 2.0
	var some [][]itemstat.Tally
	for _, g := range groups {
		if answered(g) > 0 {
			some = append(some, g)
		}
		for _, t := range g {
			right, n = right+float64(t.Right), n+float64(t.Answered)
		}
	}
	likely := make([][]float64, len(some))
	each(len(some), func(i int) {
		logs := make([]float64, levels)
		for j := range logs {
			logs[j] = logLikelihood(some[i], levelAt(j))
		}
		likely[i], _ = fromLogs(logs)
	})
	prior, _ := across(likely, itemstat.Beta{A: strengthCentre * right / n, B: strengthCentre * (1 - right/n)})
	return prior
}

// logLikelihood is how likely a share makes answers, as a logarithm, on the scale
// of the logit.
func logLikelihood(ts []itemstat.Tally, x float64) (v float64) {
	h, rest := logistic(x), logistic(-x) // 1 − h, exact where h is nearly 1
	for _, t := range ts {
		v += float64(t.Right)*math.Log(h+rest*t.Guess) + float64(t.Answered-t.Right)*math.Log(rest)
	}
	return v
}

func posteriorOf(prior itemstat.Beta, ts []itemstat.Tally, level float64) itemstat.Held {
	c := posteriorCurve(prior, ts)
	lo, hi := c.quantile((1-itemstat.Level)/2), c.quantile((1+itemstat.Level)/2)
	return itemstat.Held{
		Share: itemstat.Figure{Value: c.mean(logistic), N: answered(ts), Lo: logistic(lo), Hi: logistic(hi), Conf: itemstat.Level},
		Below: c.below(math.Log(level / (1 - level))),
	}
}

// posteriorCurve is the posterior of h on the scale of the logit: what
// [itemstat.Posterior] has exactly, for any number of answers.
func posteriorCurve(prior itemstat.Beta, ts []itemstat.Tally) curve {
	log := func(x float64) float64 {
		return prior.A*math.Log(logistic(x)) + prior.B*math.Log(logistic(-x)) + logLikelihood(ts, x)
	}
	lo, hi := around(log)
	const n = 1201
	c := curve{make([]float64, n), make([]float64, n), make([]float64, n)}
	for i := range n {
		c.x[i] = lo + (hi-lo)*float64(i)/float64(n-1)
		c.weight[i] = log(c.x[i])
	}
	weigh(c.weight)
	return c.summed()
}

// around finds the range that holds all but e⁻²⁰ of a density with one top, from
// the logarithm of it.
func around(log func(float64) float64) (lo, hi float64) {
	const ends, drop = 60.0, 20.0
	lo, hi = -ends, ends
	for hi-lo > 1e-6 { // the top, by thirds
		a, b := lo+(hi-lo)/3, hi-(hi-lo)/3
		if log(a) < log(b) {
			lo = a
		} else {
			hi = b
		}
	}
	at, top := (lo+hi)/2, log((lo+hi)/2)
	end := func(towards float64) float64 {
		near, far := at, towards
		for range 50 {
			if mid := (near + far) / 2; log(mid) > top-drop {
				near = mid
			} else {
				far = mid
			}
		}
		return far
	}
	return end(-ends), end(ends)
}
