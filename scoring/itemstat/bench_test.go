package itemstat

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"
)

// simulated2PL returns people × columns right-or-wrong marks from a 2PL with
// slopes 0.6 … 1.8 and difficulties −2 … 2, and the slopes and intercepts.
func simulated2PL(t testing.TB, seed uint64, people, columns int) (m *Matrix, slope, intercept []float64) {
	t.Helper()
	rnd := rand.New(rand.NewPCG(seed, 1))
	slope, intercept = make([]float64, columns), make([]float64, columns)
	for j := range slope {
		slope[j] = 0.6 + 1.2*rnd.Float64()
		intercept[j] = -slope[j] * (4*rnd.Float64() - 2)
	}
	m = matrix(t, columns)
	m.grow(people, people*columns)
	cells := make([]Cell, columns)
	for range people {
		theta := rnd.NormFloat64()
		for j := range cells {
			cells[j] = Cell{j, indicator(rnd.Float64() < 1/(1+math.Exp(-slope[j]*theta-intercept[j])))}
		}
		if err := m.Add(1, cells...); err != nil {
			t.Fatal(err)
		}
	}
	return m, slope, intercept
}

// sizes are the columns of the larger benchmarks, of 100 000 people each.
var sizes = []int{40, 200}

// Alpha, alpha if deleted and the item-total correlations.
func BenchmarkReliability(b *testing.B) {
	for _, columns := range sizes {
		m, _, _ := simulated2PL(b, 1, 100_000, columns)
		b.Run(fmt.Sprintf("columns=%d", columns), func(b *testing.B) {
			for b.Loop() {
				Reliable(m)
				itemTotals(m)
			}
		})
	}
}

// The rest: difficulties with their intervals and the discriminations.
func BenchmarkColumns(b *testing.B) {
	for _, columns := range sizes {
		m, _, _ := simulated2PL(b, 1, 100_000, columns)
		b.Run(fmt.Sprintf("columns=%d", columns), func(b *testing.B) {
			for b.Loop() {
				Columns(m)
			}
		})
	}
}

// The Rasch model of 100 000 people, conditional and marginal; and the 2PL of 200 columns.
func BenchmarkModels(b *testing.B) {
	for _, columns := range sizes {
		m, _, _ := simulated2PL(b, 1, 100_000, columns)
		b.Run(fmt.Sprintf("conditional/columns=%d", columns), func(b *testing.B) {
			for b.Loop() {
				f, err := Conditional(m)
				if err != nil || !f.Converged {
					b.Fatal(f.Course, err)
				}
			}
		})
		for _, model := range []Model{Rasch, TwoPL} {
			b.Run(fmt.Sprintf("marginal %s/columns=%d", model, columns), func(b *testing.B) {
				var f Fit
				for b.Loop() {
					f = fit(b, m, Options{Model: model, Nodes: 41, Tolerance: 1e-6, Workers: 2})
				}
				b.ReportMetric(float64(f.Cycles), "cycles")
			})
		}
	}
}

// Generated forms: 20 000 people who met 40 columns of 400, so that every row has a design of its own.
func BenchmarkSparse(b *testing.B) {
	rnd := rand.New(rand.NewPCG(1, 2))
	m := matrix(b, 400)
	for range 20_000 {
		theta := rnd.NormFloat64()
		var cells []Cell
		for _, j := range rnd.Perm(400)[:40] {
			cells = append(cells, Cell{j, indicator(rnd.Float64() < logistic(theta-float64(j%5-2)/2))})
		}
		if err := m.Add(1, cells...); err != nil {
			b.Fatal(err)
		}
	}
	for _, model := range []Model{Rasch, TwoPL} {
		b.Run(string(model), func(b *testing.B) {
			var f Fit
			for b.Loop() {
				f = fit(b, m, Options{Model: model, Nodes: 41, Tolerance: 1e-6, Workers: 2})
			}
			b.ReportMetric(float64(f.Cycles), "cycles")
		})
	}
}

// 2PL of 100 000 people × 40 columns to a gain of 1e-6 in log-likelihood, one
// and two cores, with cycles and time per cycle.
func BenchmarkMarginal(b *testing.B) {
	m, _, _ := simulated2PL(b, 1, 100_000, 40)
	for _, workers := range []int{1, 2} {
		b.Run(fmt.Sprintf("workers=%d", workers), func(b *testing.B) {
			var f Fit
			for b.Loop() {
				f = fit(b, m, Options{Model: TwoPL, Nodes: 41, Tolerance: 1e-6, Workers: workers})
			}
			b.ReportMetric(float64(f.Cycles), "cycles")
			b.ReportMetric(float64(b.Elapsed().Milliseconds())/float64(b.N)/float64(f.Cycles), "ms/cycle")
			b.ReportMetric(f.LogLik, "logL")
		})
	}
}

// The textbook's EM on the same answers: same quadrature, no grouping, one core, until a
// cycle gains less than 1e-6. It takes some twenty seconds; at least 10 times faster is
// wanted, at the same height.
func BenchmarkMarginalAgainstTextbook(b *testing.B) {
	m, _, _ := simulated2PL(b, 1, 100_000, 40)
	began := time.Now()
	_, _, logLik, cycles := textbookEM(m, 41, 1e-6)
	textbook := time.Since(began)
	var f Fit
	for b.Loop() {
		f = fit(b, m, Options{Model: TwoPL, Nodes: 41, Tolerance: 1e-6})
	}
	if f.LogLik < logLik-1e-6 || f.LogLik > logLik+1e-3 {
		b.Errorf("log L %.7f, the textbook's %.7f", f.LogLik, logLik)
	}
	own := b.Elapsed().Seconds() / float64(b.N)
	b.ReportMetric(textbook.Seconds()/own, "times-faster")
	b.ReportMetric(float64(f.Cycles), "cycles")
	b.ReportMetric(1e3*own/float64(f.Cycles), "ms/cycle")
	b.ReportMetric(float64(cycles), "textbook-cycles")
	b.ReportMetric(1e3*textbook.Seconds()/float64(cycles), "textbook-ms/cycle")
}

// Standard errors from the observed information of the same fit.
func BenchmarkErrors(b *testing.B) {
	m, _, _ := simulated2PL(b, 1, 100_000, 40)
	for b.Loop() {
		fit(b, m, Options{Model: TwoPL, Nodes: 41, Tolerance: 1e-6, Errors: true})
	}
}

// Mean squares of 10 000 people × 40 columns.
func BenchmarkMisfits(b *testing.B) {
	m, slope, intercept := simulated2PL(b, 1, 10_000, 40)
	params := make([]Param, len(slope))
	for j, a := range slope {
		params[j] = Param{a, -intercept[j] / a}
	}
	for b.Loop() {
		if _, err := Misfits(m, params); err != nil {
			b.Fatal(err)
		}
	}
}

// Conditional Rasch of 1000 people × 100 columns, all the same columns.
func BenchmarkConditional(b *testing.B) {
	m, _, _ := simulated2PL(b, 1, 1000, 100)
	for b.Loop() {
		if _, err := Conditional(m); err != nil {
			b.Fatal(err)
		}
	}
}

// One posterior of six answers with luck: mean, interval and chance of being below.
func BenchmarkPosterior(b *testing.B) {
	for b.Loop() {
		if _, err := Posterior(JeffreysPrior, .8, Tally{4, 6, .25}); err != nil {
			b.Fatal(err)
		}
	}
}
