package itemstat

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// extreme is the slope beyond which a column does not settle but runs away.
const extreme = 30

func (f *marginalFit) report(end summit) Fit {
	course, cov := f.course(end)
	out := Fit{Items: make([]ItemFit, f.p.columns), Course: course}
	slope, intercept := f.split(end.x)
	for j := range out.Items {
		out.Items[j] = f.item(j, f.slopes+j, end.x, cov, out.Converged)
		if out.Converged {
			out.Params = append(out.Params, Param{slope[j], -intercept[j] / slope[j]})
		}
	}
	return out
}

// course says how the climb went, and gives the parameters' covariances where
// they are wanted and can be had.
func (f *marginalFit) course(end summit) (Course, *mat.SymDense) {
	out := Course{Model: f.o.Model, LogLik: end.value - end.prior, People: f.p.people, Groups: len(f.p.weight),
		Cycles: end.cycles, Converged: end.converged, Gain: end.gain}
	for i, v := range end.x {
		if i < f.slopes && math.Abs(v) > extreme || math.Abs(v) > extreme*extreme {
			out.Converged = false
		}
	}
	if !finite(out.LogLik) {
		out.LogLik = 0
	}
	if !finite(out.Gain) { // nothing was ever expected of a step
		out.Gain = 0
	}
	if out.Converged && f.o.Errors {
		return out, f.covariance(end.x)
	}
	return out, nil
}

// item reports column j's slope, and the step whose intercept is parameter d.
func (f *marginalFit) item(j, d int, x []float64, cov *mat.SymDense, converged bool) ItemFit {
	n, need := f.p.met[j], NeedRasch
	if f.o.Model == TwoPL {
		need = NeedColumn2PL
	}
	wait := none(NotConverged, n)
	if n < need {
		wait = notYet(n, need)
	}
	if !converged || n < need {
		return ItemFit{wait, wait, wait, wait}
	}
	at := f.slopeAt(j)
	a := 1.0
	if at >= 0 {
		a = x[at]
	}
	b := -x[d] / a
	it := ItemFit{Slope: number(a, n), Difficulty: number(b, n), SlopeSE: none(Empty, n), DifficultySE: none(Empty, n)}
	if math.Abs(a) < 1e-6 {
		it.Difficulty = none(Unbounded, n)
	}
	if cov == nil {
		return it
	}
	// b = −d/a, so its variance is (var d + b² var a + 2b cov(a, d))/a² (delta method).
	v := cov.At(d, d)
	if at >= 0 {
		v += b*b*cov.At(at, at) + 2*b*cov.At(at, d)
		se := math.Sqrt(cov.At(at, at))
		it.SlopeSE = number(se, n)
		it.Slope = withSE(a, se, n)
	}
	if it.Difficulty.Known() {
		se := math.Sqrt(v) / math.Abs(a)
		it.DifficultySE = number(se, n)
		it.Difficulty = withSE(b, se, n)
	}
	return it
}

// withSE is a figure with the normal interval of its standard error.
func withSE(v, se float64, n int) Figure {
	return ranged(v, v-z90*se, v+z90*se, Level, n)
}

// z90 is the normal quantile of a two-sided 90 % interval.
const z90 = 1.6448536269514722

// covariance inverts the observed information, taken by central differences
// of the gradient; nil where it is not positive definite.
func (f *marginalFit) covariance(x []float64) *mat.SymDense {
	n := len(x)
	rows := make([][]float64, n)
	for i := range rows {
		h := 1e-4 * max(1, math.Abs(x[i]))
		shifted := func(by float64) []float64 {
			y := append([]float64(nil), x...)
			y[i] += by
			return f.at(y).gradient
		}
		up, down := shifted(h), shifted(-h)
		rows[i] = make([]float64, n)
		for j := range rows[i] {
			rows[i][j] = (down[j] - up[j]) / (2 * h)
		}
	}
	info := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			info.SetSym(i, j, (rows[i][j]+rows[j][i])/2)
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(info) {
		return nil
	}
	var inverse mat.SymDense
	if err := chol.InverseTo(&inverse); err != nil {
		return nil
	}
	return &inverse
}
