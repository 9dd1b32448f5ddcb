package itemstat

import "math"

// Consistency is how often the same people, taking a like test again, would come
// out on the same side of the cut. These figures see only the total: they know
// nothing of critical facts, of who was asked what, or of fresh items.
type Consistency struct {
	Agreement Figure // chance of the same verdict twice, 0 to 1
	Kappa     Figure // agreement beyond that of independent tests with the same pass rate, at most 1
}

// Accuracy is how often the verdict agrees with the one that the true score
// would give. Like [Consistency] it sees only the total.
type Accuracy struct {
	Right     Figure // verdict and truth agree
	FalsePass Figure // passed, and truly below the cut
	FalseFail Figure // failed, and truly at or above it
}

// scores are the totals of a right-or-wrong test that everybody took whole.
type scores struct {
	k, n           int
	count          []int // people by total, 0 … k
	mean, variance float64
}

func totalScores(m *Matrix, cut int) (*scores, error) {
	if r := m.same(); r != "" {
		return nil, refuse(r, "decision consistency")
	}
	if !m.binary {
		return nil, refuse(NotBinary, "decision consistency")
	}
	if m.columns < 2 {
		return nil, refuse(TooFew, "decision consistency of %d columns", m.columns)
	}
	if cut < 1 || cut > m.columns {
		return nil, refuse(OutOfRange, "cut %d of %d", cut, m.columns)
	}
	s := &scores{k: m.columns, n: m.people, count: make([]int, m.columns+1)}
	sum, squares := 0.0, 0.0
	for i := range m.count {
		_, marks, count := m.row(i)
		if len(marks) == 0 {
			continue
		}
		total := 0.0
		for _, x := range marks {
			total += x
		}
		s.count[int(total)] += count
		sum += float64(count) * total
		squares += float64(count) * total * total
	}
	n := float64(s.n)
	s.mean = sum / n
	s.variance = squares/n - s.mean*s.mean
	if s.variance < same {
		return nil, refuse(Constant, "decision consistency")
	}
	return s, nil
}

// Subkoviak returns the consistency at the cut (right answers needed) from one
// test (Subkoviak 1976, Journal of Educational Measurement 13, 265–276): each
// person's proportion is drawn towards the mean by KR-20, and two tests are two
// binomials of it. Its error is a [*RefusedError]: [NotSame], [NotBinary], [Constant], a cut
// out of range, [NoReliability] where KR-20 is not above 0.
func Subkoviak(m *Matrix, cut int) (Consistency, error) {
	s, err := totalScores(m, cut)
	if err != nil {
		return Consistency{}, err
	}
	rel := Reliable(m).KR20
	if !rel.Known() || rel.Value <= 0 {
		return Consistency{}, refuse(NoReliability, "Subkoviak")
	}
	agree, pass := 0.0, 0.0
	for total, count := range s.count {
		share := float64(count) / float64(s.n)
		p := (rel.Value*float64(total) + (1-rel.Value)*s.mean) / float64(s.k)
		above := binomialTail(cut, s.k, p)
		agree += share * (above*above + (1-above)*(1-above))
		pass += share * above
	}
	return consistency(agree, pass, s.n), nil
}

// consistency adds kappa to an agreement, from the share that passes one test.
func consistency(agree, pass float64, n int) Consistency {
	chance := pass*pass + (1-pass)*(1-pass)
	c := Consistency{Agreement: number(min(1, agree), n), Kappa: none(Constant, n)}
	if chance < 1-same {
		c.Kappa = number((agree-chance)/(1-chance), n)
	}
	return c
}

// Beta is a beta distribution of proportions, both parameters above 0.
type Beta struct{ A, B float64 }

// Mean of the distribution.
func (d Beta) Mean() float64 { return d.A / (d.A + d.B) }

// Huynh returns the consistency at the cut where totals follow a beta-binomial
// whose beta fits their mean and KR-21 (Huynh 1976, Journal of Educational
// Measurement 13, 253–264), and that beta. Its error is as for [Subkoviak], with
// KR-21.
func Huynh(m *Matrix, cut int) (Consistency, Beta, error) {
	s, err := totalScores(m, cut)
	if err != nil {
		return Consistency{}, Beta{}, err
	}
	rel := kr21(float64(s.k), s.mean, s.variance)
	if rel <= 0 || rel >= 1 {
		return Consistency{}, Beta{}, refuse(NoReliability, "Huynh")
	}
	a := s.mean * (1/rel - 1)
	d := Beta{a, -a + float64(s.k)/rel - float64(s.k)}
	if d.A <= 0 || d.B <= 0 || !finite(d.A, d.B) {
		return Consistency{}, Beta{}, refuse(NoReliability, "Huynh")
	}
	both, pass := betaBinomialPair(d, s.k, cut)
	return consistency(1-2*pass+2*both, pass, s.n), d, nil
}

// betaBinomialPair returns the chance that two binomials of k, of one proportion
// drawn from d, both reach the cut, and that one does. It costs k² steps.
func betaBinomialPair(d Beta, k, cut int) (both, pass float64) {
	base := logBeta(d.A, d.B)
	for x := cut; x <= k; x++ {
		pass += math.Exp(logChoose(k, x) + logBeta(d.A+float64(x), d.B+float64(k-x)) - base)
		for y := cut; y <= k; y++ {
			both += math.Exp(logChoose(k, x) + logChoose(k, y) + logBeta(d.A+float64(x+y), d.B+float64(2*k-x-y)) - base)
		}
	}
	return both, pass
}

// LivingstonLewis returns consistency and accuracy at a cut on a scale of scores
// from lowest to highest, for any scores of the given reliability, part marks
// too (Livingston and Lewis 1995, Journal of Educational Measurement 32,
// 179–197): the test is replaced by one of right-or-wrong items of the effective
// length ñ = ((μ−lo)(hi−μ) − rσ²)/(σ²(1−r)), rounded, on a beta of true scores.
// The beta has two parameters, the scale's ends being its ends; its mean and the
// variance rσ² are those of the true scores. Its error is a [*RefusedError].
func LivingstonLewis(totals []float64, reliability, lowest, highest, cut float64) (Consistency, Accuracy, error) {
	refused := func(err error) (Consistency, Accuracy, error) { return Consistency{}, Accuracy{}, err }
	if !finite(reliability, lowest, highest, cut) || !finite(totals...) {
		return refused(refuse(NotFinite, "Livingston–Lewis"))
	}
	if len(totals) == 0 {
		return refused(refuse(Empty, "Livingston–Lewis"))
	}
	if lowest >= highest || cut <= lowest || cut > highest {
		return refused(refuse(OutOfRange, "cut %v on a scale from %v to %v", cut, lowest, highest))
	}
	if reliability <= 0 || reliability >= 1 {
		return refused(refuse(NoReliability, "Livingston–Lewis"))
	}
	mean, variance, err := proportions(totals, lowest, highest)
	if err != nil {
		return refused(err)
	}
	length := (mean*(1-mean) - reliability*variance) / (variance * (1 - reliability))
	if !finite(length) || length < 1 || length > 2000 {
		return refused(refuse(OutOfRange, "effective length %.1f", length))
	}
	sum := mean*(1-mean)/(reliability*variance) - 1
	d := Beta{mean * sum, (1 - mean) * sum}
	if d.A <= 0 || d.B <= 0 {
		return refused(refuse(NoReliability, "Livingston–Lewis"))
	}
	c, a := d.classify(int(math.Round(length)), (cut-lowest)/(highest-lowest), len(totals))
	return c, a, nil
}

// proportions returns mean and population variance of the totals as parts of the scale.
func proportions(totals []float64, lowest, highest float64) (mean, variance float64, err error) {
	n := float64(len(totals))
	for i, x := range totals {
		if x < lowest || x > highest {
			return 0, 0, refuse(OutOfRange, "total %d: %v", i, x)
		}
		mean += (x - lowest) / (highest - lowest) / n
	}
	for _, x := range totals {
		d := (x-lowest)/(highest-lowest) - mean
		variance += d * d / n
	}
	if variance < same {
		return 0, 0, refuse(Constant, "totals")
	}
	return mean, variance, nil
}

// classify compares a binomial test of that length, passed from the cut on (a
// proportion, carried up to a whole number of items), with another one and with the truth.
func (d Beta) classify(length int, cut float64, n int) (Consistency, Accuracy) {
	c := int(math.Ceil(cut*float64(length) - same))
	both, pass := betaBinomialPair(d, length, c)
	truly := 1 - betaCDF(cut, d.A, d.B)
	hit := 0.0 // passed, and truly at or above the cut
	for x := c; x <= length; x++ {
		a, b := d.A+float64(x), d.B+float64(length-x)
		hit += math.Exp(logChoose(length, x)+logBeta(a, b)-logBeta(d.A, d.B)) * (1 - betaCDF(cut, a, b))
	}
	return consistency(1-2*pass+2*both, pass, n), Accuracy{
		Right:     number(1-pass-truly+2*hit, n),
		FalsePass: number(max(0, pass-hit), n),
		FalseFail: number(max(0, truly-hit), n),
	}
}
