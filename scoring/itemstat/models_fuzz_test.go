package itemstat

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
)

// Whatever right-or-wrong answers and counts there are, the models and the
// consistency figures give finite numbers or a stated reason.
func FuzzModels(f *testing.F) {
	f.Add(uint8(3), uint8(0), []byte("0123456789abcdefghijklmnop"))
	f.Add(uint8(2), uint8(1), []byte("\x01\x02\x03\x04\x10\x20\x30\x40"))
	f.Add(uint8(4), uint8(2), []byte("aBcDeFgHiJkLmNoPqRsTuVwXyZ0123456789"))
	f.Fuzz(func(t *testing.T, columns, model uint8, raw []byte) {
		k := int(columns%5) + 2
		m := matrix(t, k)
		for i := 0; i+3 <= len(raw) && i < 120; i += 3 {
			var cells []Cell
			met := uint(raw[i]) | 1<<(raw[i]%uint8(k))
			for j := range k {
				if met>>j&1 == 1 {
					cells = append(cells, Cell{j, float64(raw[i+1] >> j & 1)})
				}
			}
			count := 1 << (raw[i+2] % 25) // from 1 to 16 million
			if err := m.Add(count, cells...); err != nil {
				reasoned(t, err)
			}
		}
		fits(t, m, []Model{Rasch, CommonSlope, TwoPL}[model%3])
		c, err := Subkoviak(m, 1+int(model)%k)
		soundOrRefused(t, err, c.Agreement, c.Kappa)
		c, _, err = Huynh(m, 1+int(model)%k)
		soundOrRefused(t, err, c.Agreement, c.Kappa)
		d, err := PhiLambda(m, float64(model)/255)
		soundOrRefused(t, err, d.Phi, d.SEM)
	})
}

func fits(t *testing.T, m *Matrix, model Model) {
	t.Helper()
	one, err := Marginal(m, Options{Model: model, Nodes: 21, MaxCycles: 60, Errors: true})
	soundFit(t, one, err)
	two, err := Conditional(m)
	soundFit(t, two, err)
	if err == nil && two.Converged {
		miss, err := Misfits(m, two.Params)
		for _, f := range miss {
			soundOrRefused(t, err, f.Infit, f.Outfit)
		}
	}
}

func soundFit(t *testing.T, f Fit, err error) {
	t.Helper()
	if err == nil && !finite(f.LogLik, f.Gain) {
		t.Errorf("log L %v, gain %v", f.LogLik, f.Gain)
	}
	for _, it := range f.Items {
		soundOrRefused(t, err, it.Slope, it.Difficulty, it.SlopeSE, it.DifficultySE)
		if it.Slope.Known() && !f.Converged {
			t.Error("a number from a fit that did not converge")
		}
	}
}

// A thousand million people on two hundred columns: sums keep their digits.
func TestExtremeSize(t *testing.T) {
	rnd := rand.New(rand.NewPCG(71, 72))
	one, many := matrix(t, 200), matrix(t, 200)
	for range 100 {
		theta, cells := rnd.NormFloat64(), []Cell(nil)
		for j := range 200 {
			cells = append(cells, Cell{j, indicator(rnd.Float64() < logistic(theta-float64(j%7-3)/2))})
		}
		if err := errors.Join(one.Add(1, cells...), many.Add(MaxCount/100, cells...)); err != nil {
			t.Fatal(err)
		}
	}
	a, b := Reliable(one), Reliable(many)
	known(t, "alpha", b.Alpha, a.Alpha.Value, 1e-9)
	known(t, "split-half", b.SplitHalf, a.SplitHalf.Value, 1e-9)
	ca, cb := Columns(one), Columns(many)
	for j := range ca {
		known(t, "item-total", cb[j].ItemTotal, ca[j].ItemTotal.Value, 1e-9)
		known(t, "discrimination", cb[j].Discrimination, ca[j].Discrimination.Value, 1e-9)
		known(t, "alpha if deleted", b.IfDeleted[j], a.IfDeleted[j].Value, 1e-9)
	}
	fa, fb := fit(t, one, Options{Model: Rasch}), fit(t, many, Options{Model: Rasch, Tolerance: 1e-2})
	ga, err := Conditional(one)
	if err != nil {
		t.Fatal(err)
	}
	gb, err := Conditional(many)
	if err != nil || !gb.Converged {
		t.Fatal(gb.Course, err)
	}
	for j := range fa.Params {
		near(t, "marginal b", fb.Params[j].Difficulty, fa.Params[j].Difficulty, 1e-4)
		near(t, "conditional b", gb.Params[j].Difficulty, ga.Params[j].Difficulty, 1e-5)
		near(t, "its error", gb.Items[j].DifficultySE.Value*math.Sqrt(MaxCount/100), ga.Items[j].DifficultySE.Value, 1e-6)
	}
}

// soundOrRefused fails unless err is a refusal, or nil and every figure is a
// finite number or a reason.
func soundOrRefused(t *testing.T, err error, figures ...Figure) {
	t.Helper()
	if err != nil {
		reasoned(t, err)
		return
	}
	for _, f := range figures {
		if !finite(f.Value, f.Lo, f.Hi) || f.Conf > 0 && f.Lo > f.Hi || !f.Known() && f.Value != 0 {
			t.Errorf("figure %+v", f)
		}
	}
}

func reasoned(t *testing.T, err error) {
	t.Helper()
	var r *RefusedError
	if !errors.As(err, &r) || r.Reason == "" {
		t.Errorf("error without a reason: %v", err)
	}
}

// Numbers of every kind into everything that takes plain numbers.
func FuzzNumbers(f *testing.F) {
	f.Add(0.5, 1.0, 0.9, 3, 10)
	f.Add(math.NaN(), math.Inf(1), -1.0, -5, math.MaxInt)
	f.Add(1e-300, 1e300, 1.0, math.MaxInt, 0)
	f.Add(0.999999, 1e6, 1e-9, 100, 100)
	f.Fuzz(func(t *testing.T, a, b, level float64, x, n int) {
		for _, g := range []func() (Interval, error){
			func() (Interval, error) { return ClopperPearson(x, n, level) },
			func() (Interval, error) { return Wilson(a, n, level) },
			func() (Interval, error) { return Jeffreys(b, n, level) },
		} {
			in, err := g()
			if err != nil {
				reasoned(t, err)
			} else if !finite(in.Lo, in.Hi) || in.Lo < 0 || in.Hi > 1 || in.Lo > in.Hi {
				t.Errorf("interval %+v", in)
			}
		}
		h, err := Posterior(Beta{a, b}, level, Tally{x, n, a}, Tally{1, 2, b})
		soundOrRefused(t, err, h.Share)
		if err == nil && !(h.Below >= 0 && h.Below <= 1) {
			t.Errorf("below %v", h.Below)
		}
		e, err := Estimate([]Answer{{Param{a, b}, true}, {Param{b, level}, false}, {Param{1, 0}, x > n}}, a, b)
		soundOrRefused(t, err, e.ML, e.MLSE, e.WLE, e.WLESE, e.EAP, e.EAPSE)
		c, acc, err := LivingstonLewis([]float64{a, b, 1, 2, 3}, level, 0, 10, a)
		soundOrRefused(t, err, c.Agreement, c.Kappa, acc.Right, acc.FalsePass, acc.FalseFail)
		s, err := NewSequential(a, b, level, level)
		if err != nil {
			reasoned(t, err)
		} else if _, ratio := s.Judge(x%1000, 1000); !finite(ratio) {
			t.Errorf("ratio %v", ratio)
		}
		if p, err := PlanLength(Goal{Weak: a, FalsePass: level, Strong: b, FalseFail: level, Tries: x % 101}); err != nil {
			reasoned(t, err)
		} else if !(p.FalsePass < level && p.FalseFail < level) {
			t.Errorf("plan %+v", p)
		}
		d, err := Compare([]Matched{{true, a, true}, {false, b, false}, {false, level, x > n}, {true, a, x < n}})
		soundOrRefused(t, err, d.Odds, d.Shrunken, d.ChiSquare, d.P, d.Delta)
	})
}
