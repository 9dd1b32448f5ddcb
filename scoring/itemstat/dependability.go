package itemstat

import "math"

// Dependability is what generated forms allow, where each person meets items of
// his own: the items-within-persons design.
type Dependability struct {
	// Phi is Brennan and Kane's Φ(λ): the share, in the squared distances of the
	// observed proportions from the cut λ, that is not error. At most 1; it may be negative.
	Phi Figure
	// SEM is the absolute standard error of a proportion: the root of the mean
	// of the persons' squared errors.
	SEM Figure
}

// PhiLambda returns Φ(λ) at the cut (a proportion, 0 to 1) of all people with
// two answers or more:
//
//	Φ(λ) = 1 − mean(SEM²) / mean((x̄ − λ)²)
//
// x̄ a person's mean mark and SEM² the variance of that mean over his own items,
// [AbsoluteSEM] squared. For forms of one length this is Brennan's formula with
// σ²(Δ) from the items within persons (Brennan and Kane 1977, Journal of Educational
// Measurement 14, 277–289; Brennan 2001, Generalizability Theory); at λ = the mean, right-or-wrong
// marks give KR-21. It needs two people.
func PhiLambda(m *Matrix, cut float64) (Dependability, error) {
	if !finite(cut) {
		return Dependability{}, refuse(NotFinite, "cut")
	}
	if cut < 0 || cut > 1 {
		return Dependability{}, refuse(OutOfRange, "cut %v", cut)
	}
	n, errors, distances := 0, 0.0, 0.0
	for i := range m.count {
		_, marks, count := m.row(i)
		mean, sem := ownError(marks)
		if len(marks) < 2 {
			continue
		}
		n += count
		errors += float64(count) * sem * sem
		distances += float64(count) * (mean - cut) * (mean - cut)
	}
	if n < 2 {
		f := notYet(n, 2)
		return Dependability{f, f}, nil
	}
	d := Dependability{Phi: none(Constant, n), SEM: number(math.Sqrt(errors/float64(n)), n)}
	if distances/float64(n) > same {
		d.Phi = number(1-errors/distances, n)
	}
	return d, nil
}

// AbsoluteSEM is the standard error of one person's mean mark over the domain
// that his items were drawn from: √(s²/n) with the n − 1 variance s² of his
// marks, which for right-or-wrong marks is √(p(1−p)/(n−1)). From two answers;
// its N is the number of answers. All right or all wrong gives 0, which says
// only that these marks do not vary.
func AbsoluteSEM(marks []float64) Figure {
	for _, x := range marks {
		if !finite(x) {
			return none(NotFinite, len(marks))
		}
		if x < 0 || x > 1 {
			return none(OutOfRange, len(marks))
		}
	}
	return from(2, len(marks), func() Figure {
		_, sem := ownError(marks)
		return number(sem, len(marks))
	})
}

func ownError(marks []float64) (mean, sem float64) {
	n := float64(len(marks))
	if n < 2 {
		return 0, 0
	}
	for _, x := range marks {
		mean += x / n
	}
	squares := 0.0
	for _, x := range marks {
		squares += (x - mean) * (x - mean)
	}
	return mean, math.Sqrt(squares / (n - 1) / n)
}
