package itemstat

import (
	"math"
	"testing"
)

// Whatever part marks and counts there are, a fit gives finite numbers or a
// stated reason, and what is built on its numbers does too.
func FuzzGraded(f *testing.F) {
	f.Add(uint8(2), uint8(0), uint8(1), []byte("0123456789abcdefghijklmnop"))
	f.Add(uint8(3), uint8(1), uint8(10), []byte("aBcDeFgHiJkLmNoPqRsTuVwXyZ0123456789"))
	f.Add(uint8(2), uint8(2), uint8(3), []byte("\x01\x02\x03\x04\x10\x20\x30\x40\xff\xee\xdd\xcc"))
	f.Fuzz(func(t *testing.T, columns, model, least uint8, raw []byte) {
		k := int(columns%4) + 2
		m := matrix(t, k)
		for i := 0; i+4 <= len(raw) && i < 160; i += 4 {
			var cells []Cell
			for j := range k {
				if raw[i]>>j&1 == 1 || j == int(raw[i])%k {
					cells = append(cells, Cell{j, float64(raw[i+1+j%2]>>(j/2)%4) / 3})
				}
			}
			if err := m.Add(1<<(raw[i+3]%25), cells...); err != nil {
				reasoned(t, err)
			}
		}
		o := GradedOptions{Options: Options{Model: []Model{Rasch, CommonSlope, TwoPL}[model%3], Nodes: 21, MaxCycles: 60, Errors: true}, Least: int(least % 20)}
		g, err := PartialCredit(m, o)
		if err != nil {
			reasoned(t, err)
			return
		}
		if !finite(g.LogLik, g.Gain) {
			t.Errorf("log L %v, gain %v", g.LogLik, g.Gain)
		}
		for _, it := range g.Items {
			soundOrRefused(t, nil, append(append([]Figure{it.Slope, it.SlopeSE, it.Location, it.LocationSE}, it.Steps...), it.StepSEs...)...)
			if it.Slope.Known() && !g.Converged {
				t.Error("a number from a fit that did not converge")
			}
		}
		if g.Converged {
			soundOn(t, m, g.Columns)
		}
	})
}

// soundOn checks all that takes a matrix and columns of known parameters.
func soundOn(t *testing.T, m *Matrix, columns []Graded) {
	t.Helper()
	fits, err := GradedMisfits(m, columns)
	for _, f := range fits {
		soundOrRefused(t, err, f.Infit, f.Outfit)
	}
	if err != nil {
		reasoned(t, err)
	}
	r, err := ModelReliable(m, columns)
	soundOrRefused(t, err, r.EAP, r.Marginal, r.SEM)
	if forms, err := FormsAtCut(m, columns, .7); err != nil {
		reasoned(t, err)
	} else if !finite(forms.Mark.Most, forms.Information.Most, forms.SEM.Most, forms.Whole.MarkSEM) {
		t.Errorf("forms %+v", forms)
	}
	item := make([]int, len(m.count))
	for i := range item {
		item[i] = i % 7
	}
	family, err := FamilySpread(m, columns, len(columns)-1, item)
	soundOrRefused(t, err, family.SD)
	for _, it := range family.Items {
		soundOrRefused(t, nil, it.Harder)
	}
	var answers []GradedAnswer
	for i, g := range columns {
		answers = append(answers, GradedAnswer{g, i % (len(g.Steps) + 1)})
		for _, theta := range []float64{-1000, 0, 1000} {
			mark, v := g.Expected(theta)
			if !finite(mark, v, g.Information(theta)) || mark < -same || mark > 1+same {
				t.Errorf("column %d at %v: expected %v, variance %v, information %v", i, theta, mark, v, g.Information(theta))
			}
		}
	}
	e, err := EstimateGraded(answers, 0, 1)
	soundOrRefused(t, err, e.ML, e.MLSE, e.WLE, e.WLESE, e.EAP, e.EAPSE)
}

// Numbers of every kind as a column's parameters.
func FuzzColumns(f *testing.F) {
	f.Add(1.0, -1.0, 2.0, 0.3, 0.7)
	f.Add(math.NaN(), math.Inf(1), 0.0, -1.0, 5.0)
	f.Add(29.0, -99.0, 99.0, 0.0, 1.0)
	f.Add(-1e-6, 100.0, -100.0, 0.5, 0.5)
	f.Fuzz(func(t *testing.T, slope, one, two, low, high float64) {
		column := Graded{slope, []float64{one, two}, []Category{{low, []float64{low}, 1}, {high, []float64{high}, 1}, {1, []float64{1}, 1}}}
		m := matrix(t, 2)
		for i, row := range [][]float64{{0, 1}, {1, 0}, {.5, 1}, {.7, 0}} {
			if err := m.Add(i+1, Cell{0, row[0]}, Cell{1, row[1]}); err != nil {
				t.Fatal(err)
			}
		}
		columns := []Graded{column, Param{slope, two}.Graded()}
		if _, err := placed(m, columns); err != nil {
			reasoned(t, err)
			return
		}
		soundOn(t, m, columns)
	})
}
