package itemstat

import (
	"math"
	"testing"
)

// The gradient that a fit climbs by is that of its height, priors included.
func TestMarginalGradient(t *testing.T) {
	_, m := responses(t)
	p, err := group(m)
	if err != nil {
		t.Fatal(err)
	}
	for _, model := range []Model{Rasch, CommonSlope, TwoPL} {
		f := newMarginalFit(p, Options{Model: model, Nodes: 41, Prior: Prior{SlopeMean: .8, SlopeSD: .3, InterceptSD: 2}})
		x := f.start()
		for i := range x {
			x[i] += .1 * float64(i%3)
		}
		here := f.at(x)
		for i := range x {
			up, down := append([]float64{}, x...), append([]float64{}, x...)
			up[i] += 1e-4
			down[i] -= 1e-4
			near(t, string(model), here.gradient[i], (f.at(up).value-f.at(down).value)/2e-4, 1e-4)
		}
	}
}

// A prior as narrow as a hair holds the slopes, a wide one lets them go.
func TestPriorHolds(t *testing.T) {
	_, m := responses(t)
	free := fit(t, m, Options{Model: TwoPL})
	wide := fit(t, m, Options{Model: TwoPL, Prior: Prior{SlopeMean: 1, SlopeSD: 100}})
	tight := fit(t, m, Options{Model: TwoPL, Prior: Prior{SlopeMean: 1, SlopeSD: 1e-4}})
	rasch := fit(t, m, Options{Model: Rasch})
	near(t, "log L without the prior's part", tight.LogLik, rasch.LogLik, 1e-3)
	for j := range free.Params {
		near(t, "wide", wide.Params[j].Slope, free.Params[j].Slope, 1e-3)
		near(t, "tight slope", tight.Params[j].Slope, 1, 1e-3)
		near(t, "tight difficulty", tight.Params[j].Difficulty, rasch.Params[j].Difficulty, 1e-3)
	}
}

// A million times the same answers: the same estimates, errors a thousandth.
func TestExtremeCounts(t *testing.T) {
	_, m := responses(t)
	many := matrix(t, 5)
	for i := range m.count {
		cols, marks, count := m.row(i)
		var cells []Cell
		for c := range cols {
			cells = append(cells, Cell{int(cols[c]), marks[c]})
		}
		if err := many.Add(count*1_000_000, cells...); err != nil {
			t.Fatal(err)
		}
	}
	one, all := fit(t, m, Options{Model: TwoPL, Errors: true}), fit(t, many, Options{Model: TwoPL, Errors: true, Tolerance: 1e-3})
	oneC, err := Conditional(m)
	if err != nil {
		t.Fatal(err)
	}
	allC, err := Conditional(many)
	if err != nil {
		t.Fatal(err)
	}
	if !oneC.Converged || !allC.Converged {
		t.Fatalf("conditional: %+v, %+v", oneC, allC)
	}
	for j := range one.Params {
		near(t, "a", all.Params[j].Slope, one.Params[j].Slope, 1e-4)
		near(t, "SE of a", 1000*all.Items[j].SlopeSE.Value/one.Items[j].SlopeSE.Value, 1, 1e-2)
		near(t, "conditional b", allC.Params[j].Difficulty, oneC.Params[j].Difficulty, 1e-5)
	}
	known(t, "KR-20", Reliable(many).KR20, 0.294997, 5e-7)
	if math.Abs(all.LogLik/one.LogLik/1e6-1) > 1e-9 {
		t.Errorf("log L %v and %v", all.LogLik, one.LogLik)
	}
	refused(t, "one more", many.Add(1, Cell{0, 1}), OutOfRange)
}
