package quiz_test

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"soloright/quiz"
)

// drawnAim draws a Rasch difficulty for each family of a real bank, in logits
// around −1.4 with a standard deviation of 1, for somebody at 0.
func drawnAim(bank *quiz.Bank, target int) *quiz.Aim {
	rnd := rand.New(rand.NewPCG(4, 2))
	aim := &quiz.Aim{Mark: target}
	for range bank.Families() {
		p := 1 / (1 + math.Exp(-1.4+rnd.NormFloat64()))
		aim.Marks = append(aim.Marks, int(math.Round(1000*p)))
		aim.Tells = append(aim.Tells, int(math.Round(1000*p*(1-p))))
	}
	return aim
}

// span is the least and the largest mean mark, in thousandths, that somebody at the
// cut is to expect on n forms.
func span(t testing.TB, e edition, aim *quiz.Aim, steered bool, n int) (lo, hi int) {
	t.Helper()
	lo, hi = 1000, 0
	for i := range n {
		f, err := quiz.Assemble(e.bank, e.bp, quiz.History{}, seedOf(i))
		if steered {
			f, err = quiz.AssembleTo(e.bank, e.bp, quiz.History{}, seedOf(i), aim)
		}
		if err != nil {
			t.Fatal(err)
		}
		if bad := faults(f, e.bp); len(bad) > 0 {
			t.Fatalf("%s, seed %d: %s", e.name, i, strings.Join(bad, "; "))
		}
		f.Aim = aim
		mark, _, _, _ := f.Toward(e.bank)
		lo, hi = min(lo, mark), max(hi, mark)
	}
	return lo, hi
}

// Over the shipped banks, with simulated statistics: forms that are steered are no
// more than a fifth as far apart as those that are not, and still meet their
// blueprints.
func TestSteeredFormsOfTheLibrary(t *testing.T) {
	n := 200
	if testing.Short() {
		n = 30
	}
	for _, e := range editions(t) {
		aim := drawnAim(e.bank, 800)
		lo, hi := span(t, e, aim, false, n)
		low, high := span(t, e, aim, true, n)
		t.Logf("%s, %d forms: expected mean mark from .%d to .%d; steered from .%d to .%d", e.name, n, lo, hi, low, high)
		if 5*(high-low) > hi-lo {
			t.Errorf("%s: forms are %d thousandths apart, and were %d", e.name, high-low, hi-lo)
		}
	}
}

// BenchmarkSteered sets forms of the diaphragm pump with simulated statistics, and
// reports the largest difference in the mark that somebody at the cut is to expect,
// in points of a hundred, over 1000 forms before and after.
func BenchmarkSteered(b *testing.B) {
	var e edition
	for _, x := range editions(b) {
		if strings.HasPrefix(x.name, "aodd") {
			e = x
		}
	}
	aim := drawnAim(e.bank, 800)
	lo, hi := span(b, e, aim, false, 1000)
	low, high := span(b, e, aim, true, 1000)
	i := 0
	for b.Loop() {
		if _, err := quiz.AssembleTo(e.bank, e.bp, quiz.History{}, seedOf(i), aim); err != nil {
			b.Fatal(err)
		}
		i++
	}
	b.ReportMetric(float64(hi-lo)/10, "points-apart-before")
	b.ReportMetric(float64(high-low)/10, "points-apart-after")
}
