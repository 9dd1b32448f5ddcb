package itemstat

import "math"

// Reliability holds the figures of a test that everybody took whole. Variances
// are those of the population (divided by n): mixing the n − 1 variance of the
// totals with the p·q of the columns gives a KR-20 that is too high.
type Reliability struct {
	Mean     Figure // of the total, in marks
	Variance Figure // of the total, population
	KR20     Figure // only where no mark is a part mark
	KR21     Figure // likewise; takes every column as equally hard
	Alpha    Figure // Cronbach; equals KR-20 for right-or-wrong marks
	// SplitHalf is the correlation of the odd columns with the even ones, stepped
	// up to the whole length by the Spearman–Brown formula.
	SplitHalf Figure
	SEM       Figure   // standard error of measurement in marks: σ·√(1 − alpha)
	IfDeleted []Figure // alpha without each column
}

// Reliable returns the reliability figures of m, in one pass over the cells.
// They need two columns, two people and the same columns for all of them, and
// carry a reason otherwise. None of them has bounds: alpha may be negative.
func Reliable(m *Matrix) Reliability {
	if r := m.same(); r != "" {
		return unreliable(m, r)
	}
	if m.people < 2 || m.columns < 2 {
		return unreliable(m, TooFew)
	}
	s := sumTotals(m)
	k := float64(m.columns)
	out := Reliability{Mean: number(s.mean(), s.n), Variance: number(s.variance(), s.n)}
	if s.maxT-s.minT < same {
		held := unreliable(m, Constant)
		held.Mean, held.Variance = out.Mean, number(0, s.n)
		held.IfDeleted = s.ifDeleted(k) // the rest may differ where the totals do not
		return held
	}
	alpha := coefficientAlpha(k, s.columnVariances(), s.variance())
	out.Alpha = number(alpha, s.n)
	out.KR20, out.KR21 = none(NotBinary, s.n), none(NotBinary, s.n)
	if m.binary {
		out.KR20 = number(alpha, s.n)
		out.KR21 = number(kr21(k, s.mean(), s.variance()), s.n)
	}
	out.SEM = number(math.Sqrt(s.variance()*(1-alpha)), s.n)
	out.SplitHalf = s.splitHalf()
	out.IfDeleted = s.ifDeleted(k)
	return out
}

func unreliable(m *Matrix, r Reason) Reliability {
	f := none(r, m.people)
	if r == TooFew {
		f.Need = 2
	}
	out := Reliability{Mean: f, Variance: f, KR20: f, KR21: f, Alpha: f, SplitHalf: f, SEM: f,
		IfDeleted: make([]Figure, m.columns)}
	for j := range out.IfDeleted {
		out.IfDeleted[j] = f
	}
	return out
}

// coefficientAlpha is k/(k−1)·(1 − Σσ²(column)/σ²(total)) (Cronbach 1951).
func coefficientAlpha(k, columns, total float64) float64 {
	return k / (k - 1) * (1 - columns/total)
}

// kr21 is k/(k−1)·(1 − μ(k−μ)/(kσ²)) (Kuder and Richardson 1937, formula 21).
func kr21(k, mean, variance float64) float64 {
	return k / (k - 1) * (1 - mean*(k-mean)/(k*variance))
}

// totals are the sums behind the reliability figures. Everything is a deviation
// from the first row, so that equal marks give exactly no variance.
type totals struct {
	n          int
	base       []float64 // the first row
	baseT      float64
	t, tt      float64   // of the total
	x, xx, xt  []float64 // of each column, and with the total
	o, oo, ot  float64   // of the odd half, and with the total
	minT, maxT float64
}

func sumTotals(m *Matrix) *totals {
	k := m.columns
	s := &totals{n: m.people, base: make([]float64, k), x: make([]float64, k), xx: make([]float64, k), xt: make([]float64, k)}
	first := true
	for i := range m.count {
		_, marks, count := m.row(i)
		if len(marks) == 0 {
			continue
		}
		if first {
			copy(s.base, marks)
			first = false
		}
		s.add(marks, float64(count))
	}
	for _, b := range s.base {
		s.baseT += b
	}
	return s
}

func (s *totals) add(marks []float64, w float64) {
	t, odd := 0.0, 0.0
	base := s.base[:len(marks)]
	for j, x := range marks {
		d := x - base[j]
		t += d
		if j&1 == 0 {
			odd += d
		}
	}
	xs, xxs, xts := s.x[:len(marks)], s.xx[:len(marks)], s.xt[:len(marks)]
	for j, x := range marks {
		d := x - base[j]
		wd := w * d
		xs[j] += wd
		xxs[j] += wd * d
		xts[j] += wd * t
	}
	s.t += w * t
	s.tt += w * t * t
	s.o += w * odd
	s.oo += w * odd * odd
	s.ot += w * odd * t
	s.minT, s.maxT = min(s.minT, t), max(s.maxT, t)
}

func (s *totals) mean() float64     { return s.baseT + s.t/float64(s.n) }
func (s *totals) variance() float64 { return s.cov(s.tt, s.t, s.t) }

// cov is a population covariance from the sum of products and the two sums.
func (s *totals) cov(ab, a, b float64) float64 {
	n := float64(s.n)
	return ab/n - a/n*(b/n)
}

func (s *totals) columnVariances() float64 {
	sum := 0.0
	for j := range s.x {
		sum += s.cov(s.xx[j], s.x[j], s.x[j])
	}
	return sum
}

// splitHalf uses cov(odd, even) = cov(odd, total) − var(odd), and the like for the even half.
func (s *totals) splitHalf() Figure {
	odd := s.cov(s.oo, s.o, s.o)
	both := s.cov(s.ot, s.o, s.t) - odd
	even := s.variance() - odd - 2*both
	if odd < same || even < same {
		return none(Constant, s.n)
	}
	r := both / math.Sqrt(odd*even)
	if r < -1+same { // the step-up has no value there
		return none(NoReliability, s.n)
	}
	return number(2*r/(1+r), s.n)
}

func (s *totals) ifDeleted(k float64) []Figure {
	all := s.columnVariances()
	out := make([]Figure, len(s.x))
	for j := range out {
		v := s.cov(s.xx[j], s.x[j], s.x[j])
		rest := s.variance() - 2*s.cov(s.xt[j], s.x[j], s.t) + v
		switch {
		case k < 3:
			out[j] = none(TooFew, s.n)
		case rest < same:
			out[j] = none(Constant, s.n)
		default:
			out[j] = number(coefficientAlpha(k-1, all-v, rest), s.n)
		}
	}
	return out
}
