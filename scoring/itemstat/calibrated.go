package itemstat

import "math"

// Calibrated is the reliability that a fitted model gives for people who may have
// met different columns: generated forms.
type Calibrated struct {
	// EAP is the part of the abilities' variance that the estimates carry:
	// var(EAP) / (var(EAP) + mean posterior variance) (Adams 2005, Studies in
	// Educational Evaluation 31, 162–172). 0 to 1, from [NeedRasch] people.
	EAP Figure
	// Marginal is 1 − mean posterior variance over the prior's variance (Green,
	// Bock, Humphreys, Linn and Reckase 1984, Journal of Educational Measurement 21, 347–360).
	// Far from EAP, it says that the people are not spread as the model takes them to be.
	Marginal Figure
	SEM      Figure // root of the mean posterior variance, in logits
}

// ModelReliable returns the reliability of m's people under those columns'
// parameters and a standard normal ability, as [Marginal] and [PartialCredit] take it. Its error is a
// [*RefusedError]: nobody, parameters that cannot be used or of another number of columns.
func ModelReliable(m *Matrix, columns []Graded) (Calibrated, error) {
	p, err := placed(m, columns)
	if err != nil {
		return Calibrated{}, err
	}
	if p.people < NeedRasch {
		wait := notYet(p.people, NeedRasch)
		return Calibrated{wait, wait, wait}, nil
	}
	var n, sum, squares, within float64
	p.posteriors(columns, func(_ int, weight, mean, variance float64) {
		n += weight
		sum += weight * mean
		squares += weight * mean * mean
		within += weight * variance
	})
	between := max(0, squares/n-sum/n*(sum/n))
	within /= n
	return Calibrated{EAP: number(between/(between+within), p.people), Marginal: number(1-within, p.people),
		SEM: number(math.Sqrt(within), p.people)}, nil
}

// posteriors calls f with the mean and variance of each pattern's ability, given
// its answers and a standard normal prior.
func (p *patterns) posteriors(columns []Graded, f func(pattern int, weight, mean, variance float64)) {
	e := newEStep(p, newQuadrature(121), 1)
	slope, step := intercepts(columns, p.cats)
	e.prepare(slope, step)
	w := e.parts[0]
	for i, weight := range p.weight {
		sum := w.posterior(i)
		var first, second float64
		for q, theta := range e.q.node {
			first += theta * w.like[q] / sum
			second += theta * theta * w.like[q] / sum
		}
		f(i, weight, first, max(0, second-first*first))
	}
}

// intercepts returns columns of known parameters as [eStep.run] takes them. A
// column that nobody met may hold anything; it has cats' number of steps.
func intercepts(columns []Graded, cats []int) (slope, step []float64) {
	for j, g := range columns {
		slope = append(slope, g.Slope)
		for v := range cats[j] - 1 {
			if v < len(g.Steps) {
				step = append(step, -g.Slope*g.Steps[v])
			} else {
				step = append(step, 0)
			}
		}
	}
	return slope, step
}

// Cut is where a cut score lies for one form.
type Cut struct {
	Ability     float64 // θ whose expected mean mark on the form is the cut
	Information float64 // the form's, there
	SEM         float64 // of an ability estimate there, in logits: 1/√information
	MarkSEM     float64 // of the mean mark of somebody there, 0 to 1
}

// AtCut returns where the cut (a mean mark, 0 to 1) lies on the scale of ability
// for a form of those columns, each weighing the same, and how surely the form measures there. The
// error is a [*RefusedError]: no columns, parameters that cannot be used, a slope
// below 0 (the mean mark need not rise then), [Unbounded] where no ability
// within 50 logits has that mean mark.
func AtCut(form []Graded, cut float64) (Cut, error) {
	if !finite(cut) {
		return Cut{}, refuse(NotFinite, "cut")
	}
	if len(form) == 0 {
		return Cut{}, refuse(Empty, "form")
	}
	for i, g := range form {
		if err := g.check("column", i); err != nil {
			return Cut{}, err
		}
		if g.Slope < 0 {
			return Cut{}, refuse(OutOfRange, "column %d: slope %v", i, g.Slope)
		}
	}
	const far = 50.0
	low, _ := ExpectedMark(form, -far)
	high, _ := ExpectedMark(form, far)
	if cut <= low || cut >= high {
		return Cut{}, refuse(Unbounded, "cut %v of mean marks from %.4f to %.4f", cut, low, high)
	}
	theta := bisect(-far, far, func(x float64) float64 {
		mark, _ := ExpectedMark(form, x)
		return mark - cut
	})
	return at(form, theta), nil
}

// at describes a form at θ.
func at(form []Graded, theta float64) Cut {
	out := Cut{Ability: theta}
	for _, g := range form {
		out.Information += g.Information(theta)
	}
	_, out.MarkSEM = ExpectedMark(form, theta)
	out.SEM = 1 / math.Sqrt(out.Information)
	return out
}

// ExpectedMark returns the expected mean mark of somebody of ability θ on a form
// whose columns weigh the same, and its standard error; 0 and 0 for a form without columns.
func ExpectedMark(form []Graded, theta float64) (mark, sem float64) {
	variance := 0.0
	for _, g := range form {
		e, v := g.Expected(theta)
		mark += e
		variance += v
	}
	n := float64(max(1, len(form)))
	return mark / n, math.Sqrt(variance) / n
}

// Span is the least, the middle and the largest of some numbers.
type Span struct{ Least, Median, Most float64 }

// Forms says how alike generated forms measure at a cut.
type Forms struct {
	People      int
	Whole       Cut  // the cut on the form of all columns together
	Mark        Span // expected mean mark of somebody of that ability, form by form
	Information Span // and the information of the form there
	SEM         Span // and 1/√information, in logits
}

// FormsAtCut compares the forms that m's people met, at the ability for which the
// form of all columns expects the cut. Two people with the same columns are two
// forms. Its error is that of [AtCut] and of [ModelReliable].
func FormsAtCut(m *Matrix, columns []Graded, cut float64) (Forms, error) {
	if len(columns) != m.columns {
		return Forms{}, refuse(OutOfRange, "%d parameters for %d columns", len(columns), m.columns)
	}
	if m.people == 0 {
		return Forms{}, refuse(Empty, "forms")
	}
	whole, err := AtCut(columns, cut)
	if err != nil {
		return Forms{}, err
	}
	expected, information := make([]float64, m.columns), make([]float64, m.columns)
	for j, g := range columns {
		expected[j], _ = g.Expected(whole.Ability)
		information[j] = g.Information(whole.Ability)
	}
	var mark, info, sem weighted
	for i := range m.count {
		cols, _, count := m.row(i)
		if len(cols) == 0 {
			continue
		}
		sumMark, sumInfo := 0.0, 0.0
		for _, j := range cols {
			sumMark += expected[j]
			sumInfo += information[j]
		}
		mark.add(sumMark/float64(len(cols)), count)
		info.add(sumInfo, count)
		sem.add(1/math.Sqrt(sumInfo), count)
	}
	out := Forms{People: m.people, Whole: whole, Mark: mark.span(), Information: info.span(), SEM: sem.span()}
	if !finite(out.SEM.Most, out.Whole.SEM) {
		return Forms{}, refuse(NotFinite, "information at the cut")
	}
	return out, nil
}
