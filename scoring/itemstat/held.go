package itemstat

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mathext"
)

// Tally counts answers that share one chance of being right by luck.
type Tally struct {
	Right, Answered int
	Guess           float64 // the stored chance of full marks, 0 to under 1
}

// Held says what a person (or a crew) holds, as a share h from 0 to 1.
type Held struct {
	Share Figure  // posterior mean with the equal-tailed posterior interval; N counts answers
	Below float64 // probability that h is below the level wanted
}

// JeffreysPrior is Jeffreys's prior for a share.
var JeffreysPrior = Beta{0.5, 0.5}

// Posterior returns what the tallies say of h where a right answer has the chance
// h + (1 − h)·g, by Bayes's rule from a beta prior, exactly: with r right, the posterior is
// a mixture of betas by how many of the r were held and how many were luck. So the level wanted
// refers to h, not to right answers. Without answers it is the prior, and says so with N = 0.
//
// For one result's risk give all tries as tallies and the level of true mastery: Below is then the
// chance that a pass is undeserved. The error is a [*RefusedError]. It costs some
// twenty incomplete beta functions for each right answer whose g is above 0.
func Posterior(prior Beta, level float64, tallies ...Tally) (Held, error) {
	if !finite(prior.A, prior.B, level) {
		return Held{}, refuse(NotFinite, "prior or level")
	}
	if prior.A < 1e-6 || prior.B < 1e-6 || prior.A > 1e7 || prior.B > 1e7 || level < 0 || level > 1 {
		return Held{}, refuse(OutOfRange, "prior %v, level %v", prior, level)
	}
	e, err := gather(tallies)
	if err != nil {
		return Held{}, err
	}
	x := e.mixture(prior)
	lo, hi := x.quantile((1-Level)/2), x.quantile((1+Level)/2)
	return Held{Share: ranged(x.mean(), lo, hi, Level, e.answered), Below: x.cdf(level)}, nil
}

// evidence is the likelihood of h as Σ luck[s]·h^s·(1 − h)^wrong: luck[s] is the
// chance that s of the right answers were held.
type evidence struct {
	luck            []float64
	first           int // luck[i] belongs to first + i
	wrong, answered int
}

// mostTally keeps the mixtures, and the counts in them, within what is exact and quick.
const mostTally = 100_000

func gather(tallies []Tally) (evidence, error) {
	e := evidence{luck: []float64{1}}
	guessed := 0
	for i, t := range tallies {
		if !finite(t.Guess) {
			return e, refuse(NotFinite, "tally %d: chance mark", i)
		}
		if t.Right < 0 || t.Right > t.Answered || t.Answered > mostTally || t.Guess < 0 || t.Guess >= 1 {
			return e, refuse(OutOfRange, "tally %d: %+v", i, t)
		}
		if t.Guess > 0 {
			guessed += t.Right
		}
		if guessed > 5000 || e.answered > mostTally {
			return e, refuse(OutOfRange, "tallies: too many answers")
		}
		e.wrong += t.Answered - t.Right
		e.answered += t.Answered
		if t.Guess == 0 {
			e.first += t.Right
			continue
		}
		part := make([]float64, t.Right+1)
		for s := range part {
			part[s] = binomialPMF(s, t.Right, 1-t.Guess)
		}
		e.luck = product(e.luck, part)
	}
	return e, nil
}

// mixture is the posterior: betas A+s, B+wrong by weight.
type mixture struct {
	beta     []Beta
	weight   []float64
	evidence float64 // logarithm of the marginal likelihood, but for a constant of the data
}

func (e evidence) mixture(prior Beta) mixture {
	x := mixture{evidence: math.Inf(-1)}
	base, top := logBeta(prior.A, prior.B), math.Inf(-1)
	logs := make([]float64, len(e.luck))
	for i, l := range e.luck {
		b := Beta{prior.A + float64(e.first+i), prior.B + float64(e.wrong)}
		logs[i] = math.Log(l) + logBeta(b.A, b.B) - base
		top = max(top, logs[i])
		x.beta = append(x.beta, b)
	}
	sum := 0.0
	for i := range logs {
		logs[i] = math.Exp(logs[i] - top)
		sum += logs[i]
	}
	for i := range logs {
		logs[i] /= sum
	}
	x.weight, x.evidence = logs, top+math.Log(sum)
	return x
}

func (x mixture) mean() float64 {
	sum := 0.0
	for i, w := range x.weight {
		sum += w * x.beta[i].Mean()
	}
	return sum
}

// negligible is the weight below which a part of a mixture changes no digit that is shown.
const negligible = 1e-14

func (x mixture) cdf(h float64) float64 {
	sum := 0.0
	for i, w := range x.weight {
		if w > negligible {
			sum += w * betaCDF(h, x.beta[i].A, x.beta[i].B)
		}
	}
	return min(1, sum)
}

func (x mixture) density(h float64) float64 {
	sum := 0.0
	for i, w := range x.weight {
		if w > negligible {
			b := x.beta[i]
			sum += w * math.Exp((b.A-1)*math.Log(h)+(b.B-1)*math.Log1p(-h)-logBeta(b.A, b.B))
		}
	}
	return sum
}

// quantile takes Newton steps inside a bracket that only shrinks, and halves it
// where a step would leave it.
func (x mixture) quantile(p float64) float64 {
	lo, hi, h := 0.0, 1.0, x.mean()
	for range 200 {
		off := x.cdf(h) - p
		if off < 0 {
			lo = h
		} else {
			hi = h
		}
		next := h - off/x.density(h)
		if !(next > lo && next < hi) {
			next = lo + (hi-lo)/2
		}
		if math.Abs(next-h) < 1e-12 || hi-lo < 1e-15 {
			return next
		}
		h = next
	}
	return h
}

// NeedPrior is the number of people from which a crew makes a prior.
const NeedPrior = 30

// CrewPrior fits the beta that the shares of a crew come from, each element
// being one person's tallies (or one fact's, to shrink across facts); for the
// risk of one result leave that person out. It is the top of the marginal
// (beta-binomial) likelihood times a weak prior that keeps it finite where all
// are alike: the mean uniform, ln(α + β) normal about ln 4 with SD 1.5.
//
// The error is a [*RefusedError]; [TooFew] below [NeedPrior] elements with an answer
// (then [JeffreysPrior] alone is to be used).
func CrewPrior(crew [][]Tally) (Beta, error) {
	s := &priorSurface{}
	for i, tallies := range crew {
		e, err := gather(tallies)
		if err != nil {
			return Beta{}, fmt.Errorf("element %d: %w", i, err)
		}
		if e.answered > 0 {
			s.all = append(s.all, e)
		}
	}
	if len(s.all) < NeedPrior {
		return Beta{}, refuse(TooFew, "prior from %d, not %d", len(s.all), NeedPrior)
	}
	end := climb(s, []float64{0, math.Log(priorStrength)}, 1e-9, 500)
	d := betaOf(end.x)
	if !end.converged || !finite(d.A, d.B) {
		return Beta{}, refuse(NotConverged, "prior")
	}
	return d, nil
}

// priorStrength and priorWidth are centre and SD of ln(α + β) before the data.
const (
	priorStrength = 4
	priorWidth    = 1.5
)

// betaOf turns the logit of the mean and the logarithm of α + β into a beta.
func betaOf(x []float64) Beta {
	m, s := logistic(x[0]), math.Exp(x[1])
	return Beta{m * s, (1 - m) * s}
}

type priorSurface struct{ all []evidence }

func (s *priorSurface) at(x []float64) point {
	d := betaOf(x)
	m, sum := logistic(x[0]), d.A+d.B
	out := newPoint(x)
	away := (x[1] - math.Log(priorStrength)) / priorWidth
	out.value = math.Log(m) + math.Log1p(-m) - away*away/2
	out.gradient[0], out.gradient[1] = 1-2*m, -away/priorWidth
	i00, i01, i11 := 2*m*(1-m), 0.0, 1/(priorWidth*priorWidth)
	for _, e := range s.all {
		mix := e.mixture(d)
		out.value += mix.evidence
		ga := mathext.Digamma(sum) - mathext.Digamma(d.A)
		gb := mathext.Digamma(sum) - mathext.Digamma(d.B) + mathext.Digamma(d.B+float64(e.wrong))
		for i, w := range mix.weight {
			if w > negligible {
				all := mathext.Digamma(mix.beta[i].A + mix.beta[i].B)
				ga += w * (mathext.Digamma(mix.beta[i].A) - all)
				gb -= w * all
			}
		}
		g0, g1 := (ga-gb)*sum*m*(1-m), ga*d.A+gb*d.B
		out.gradient[0] += g0
		out.gradient[1] += g1
		i00, i01, i11 = i00+g0*g0, i01+g0*g1, i11+g1*g1
	}
	out.info.SetSym(0, 0, i00)
	out.info.SetSym(0, 1, i01)
	out.info.SetSym(1, 1, i11)
	return out
}
