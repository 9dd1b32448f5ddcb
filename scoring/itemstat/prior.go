package itemstat

import "math"

// Part is one beta of a prior that is a mixture of them.
type Part struct {
	Beta
	Weight float64 // relative, above 0
}

// PosteriorOver is [Posterior] from a prior that is a mixture of betas: where a
// level is itself uncertain, one beta does not have its shape.
func PosteriorOver(prior []Part, level float64, tallies ...Tally) (Held, error) {
	x, n, err := overParts(prior, level, tallies)
	if err != nil {
		return Held{}, err
	}
	lo, hi := x.quantile((1-Level)/2), x.quantile((1+Level)/2)
	return Held{Share: ranged(x.mean(), lo, hi, Level, n), Below: x.cdf(level)}, nil
}

// ChanceOver is PosteriorOver without the interval, for where there are many: the
// posterior mean of h and the probability that it is below the level wanted. It
// costs one incomplete beta function for each part and each right answer whose g
// is above 0.
func ChanceOver(prior []Part, level float64, tallies ...Tally) (mean, below float64, err error) {
	x, _, err := overParts(prior, level, tallies)
	if err != nil {
		return 0, 0, err
	}
	return x.mean(), x.cdf(level), nil
}

// overParts joins the posteriors of the parts, each weighted by how likely it
// makes the answers.
func overParts(prior []Part, level float64, tallies []Tally) (mixture, int, error) {
	if len(prior) == 0 {
		return mixture{}, 0, refuse(Empty, "prior")
	}
	e, err := gather(tallies)
	if err != nil {
		return mixture{}, 0, err
	}
	all, tops := mixture{evidence: math.Inf(-1)}, make([]float64, len(prior))
	var parts []mixture
	for i, p := range prior {
		if !finite(p.A, p.B, p.Weight, level) {
			return mixture{}, 0, refuse(NotFinite, "part %d of a prior, or level", i)
		}
		if p.A < 1e-6 || p.B < 1e-6 || p.A > 1e7 || p.B > 1e7 || p.Weight <= 0 || level < 0 || level > 1 {
			return mixture{}, 0, refuse(OutOfRange, "part %d of a prior %+v, level %v", i, p, level)
		}
		parts = append(parts, e.mixture(p.Beta))
		tops[i] = math.Log(p.Weight) + parts[i].evidence
		all.evidence = max(all.evidence, tops[i])
	}
	sum := 0.0
	for i := range tops {
		tops[i] = math.Exp(tops[i] - all.evidence)
		sum += tops[i]
	}
	for i, x := range parts {
		for j, w := range x.weight {
			all.beta = append(all.beta, x.beta[j])
			all.weight = append(all.weight, w*tops[i]/sum)
		}
	}
	all.evidence += math.Log(sum)
	return all, e.answered, nil
}
