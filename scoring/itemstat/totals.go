package itemstat

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// given holds what the people of one design do, given their totals.
type given struct {
	columns []int       // of the design
	poly    [][]float64 // by column: the weights of its categories
	gamma   []float64
	atLeast [][][]float64 // by column, step and total: the chance of having taken the step
}

// addTo takes the log γ of a design's people from the likelihood, their expected
// steps from the gradient, and adds the steps' covariances to the information where
// that is not known yet.
func (f *conditionalFit) addTo(out *point, d *design) {
	g := given{columns: d.columns, poly: make([][]float64, len(d.columns)), atLeast: make([][][]float64, len(d.columns))}
	shift := f.shift(out.x, d)
	for i, j := range d.columns {
		g.poly[i] = []float64{1}
		for _, x := range out.x[f.first[j]:][:f.p.cats[j]-1] { // about 1 a step, so that γ stays far from overflow
			g.poly[i] = append(g.poly[i], g.poly[i][len(g.poly[i])-1]*math.Exp(x-shift))
		}
	}
	var without [][]float64
	g.gamma, without = symmetricFunctions(g.poly)
	for r, n := range d.byTotal {
		if n > 0 {
			out.value -= n * (math.Log(g.gamma[r]) + float64(r)*shift)
		}
	}
	for i, j := range d.columns {
		g.atLeast[i] = g.steps(i, without[i])
		for v, chance := range g.atLeast[i] {
			for r, n := range d.byTotal {
				out.gradient[f.first[j]+v] -= n * chance[r]
			}
		}
	}
	if f.info == nil {
		f.addInformation(out, d, g)
	}
}

// shift is the mean of the design's parameters.
func (f *conditionalFit) shift(x []float64, d *design) float64 {
	sum := 0.0
	for _, j := range d.columns {
		for _, v := range x[f.first[j]:][:f.p.cats[j]-1] {
			sum += v
		}
	}
	return sum / float64(len(d.byTotal)-1)
}

// steps is the chance of having taken each step of column i, by total.
func (g given) steps(i int, without []float64) [][]float64 {
	out := make([][]float64, len(g.poly[i])-1)
	for v := len(out) - 1; v >= 0; v-- {
		out[v] = make([]float64, len(g.gamma))
		for r := range out[v] {
			if v+1 < len(out) {
				out[v][r] = out[v+1][r]
			}
			if at := r - v - 1; at >= 0 && at < len(without) {
				out[v][r] += g.poly[i][v+1] * without[at] / g.gamma[r]
			}
		}
	}
	return out
}

func (f *conditionalFit) addInformation(out *point, d *design, g given) {
	scaled := make([]float64, len(g.gamma)) // people by total over γ
	for r, n := range d.byTotal {
		scaled[r] = n / g.gamma[r]
	}
	for i, j := range g.columns {
		f.addOwn(out, d, g, i)
		var both [][]float64 // products without i and another, once they are needed
		for l := i + 1; l < len(g.columns); l++ {
			at := f.first[g.columns[l]]
			if cov, ok := g.apart(i, l, d.byTotal); ok {
				out.add(f.first[j], at, cov)
				continue
			}
			if both == nil {
				_, both = symmetricFunctions(slices.Concat(g.poly[:i], g.poly[i+1:]))
			}
			for v, row := range g.joint(i, l, both[l-1], scaled) {
				for w, sum := range row {
					for r, n := range d.byTotal {
						sum -= n * g.atLeast[i][v][r] * g.atLeast[l][w][r]
					}
					out.add(f.first[j]+v, at+w, sum)
				}
			}
		}
	}
}

// apart is the covariance of two columns of one step with different weights p and q. Given
// the total, the chance of i without l is to that of l without i as p to q, and their difference
// is that of the two columns' own chances, so no product over the other columns is needed.
// Weights nearer than a part in ten thousand are refused: their difference has too few digits.
func (g given) apart(i, l int, byTotal []float64) (cov float64, ok bool) {
	if len(g.poly[i]) != 2 || len(g.poly[l]) != 2 {
		return 0, false
	}
	p, q := g.poly[i][1], g.poly[l][1]
	if abs(p-q) < 1e-4*(p+q) {
		return 0, false
	}
	a, b := g.atLeast[i][0], g.atLeast[l][0]
	for r, n := range byTotal {
		if n > 0 {
			cov += n * (a[r] - p*(a[r]-b[r])/(p-q) - a[r]*b[r])
		}
	}
	return cov, true
}

// addOwn adds the covariances of the steps of one column.
func (f *conditionalFit) addOwn(out *point, d *design, g given, i int) {
	at := f.first[g.columns[i]]
	for v, a := range g.atLeast[i] {
		for w := v; w < len(g.atLeast[i]); w++ {
			sum := 0.0
			for r, n := range d.byTotal {
				b := g.atLeast[i][w][r]
				sum += n * (b - a[r]*b)
			}
			out.add(at+v, at+w, sum)
		}
	}
}

// joint is the number of people expected to have taken both step v of column i
// and step w of column l; rest is the product over the other columns.
func (g given) joint(i, l int, rest, scaled []float64) [][]float64 {
	p, q := g.poly[i], g.poly[l]
	out := make([][]float64, len(p)-1)
	for v := range out {
		out[v] = make([]float64, len(q)-1)
	}
	for a := len(p) - 1; a > 0; a-- {
		for b := len(q) - 1; b > 0; b-- {
			sum := 0.0
			for s, x := range rest {
				sum += x * scaled[s+a+b]
			}
			out[a-1][b-1] = sum * p[a] * q[b]
		}
	}
	for a := len(p) - 2; a >= 0; a-- { // at least, from exactly
		for b := len(q) - 2; b >= 0; b-- {
			if a+1 < len(out) {
				out[a][b] += out[a+1][b]
			}
			if b+1 < len(out[a]) {
				out[a][b] += out[a][b+1]
			}
			if a+1 < len(out) && b+1 < len(out[a]) {
				out[a][b] -= out[a+1][b+1]
			}
		}
	}
	return out
}

// unsettled is a step beyond which the data set no finite value.
const unsettled = 15

func (f *conditionalFit) course(end summit) (Course, *mat.SymDense) {
	out := Course{Model: Rasch, LogLik: end.value, People: f.people, Groups: len(f.p.weight),
		Cycles: end.cycles, Converged: end.converged, Gain: end.gain}
	if !finite(out.LogLik) {
		out.LogLik = 0
	}
	if !finite(out.Gain) {
		out.Gain = 0
	}
	var cov *mat.SymDense
	if out.Converged {
		f.info = nil // that of the top, for the one where the climb began
		cov = sumZeroCovariance(f.at(end.x).info)
	}
	return out, cov
}

// step reports the step whose easiness is parameter i of column j.
func (f *conditionalFit) step(j, i int, end summit, cov *mat.SymDense) ItemFit {
	n := f.p.met[j]
	wait := none(NotConverged, n)
	if n < NeedRasch {
		wait = notYet(n, NeedRasch)
	}
	if cov == nil || n < NeedRasch {
		return ItemFit{wait, wait, wait, wait}
	}
	se := math.Sqrt(max(0, cov.At(i, i)))
	return ItemFit{Slope: number(1, n), SlopeSE: none(Empty, n),
		Difficulty: withSE(-end.x[i], se, n), DifficultySE: number(se, n)}
}

func (f *conditionalFit) report(end summit) Fit {
	course, cov := f.course(end)
	out := Fit{Items: make([]ItemFit, f.p.columns), Course: course}
	for j := range out.Items {
		out.Items[j] = f.step(j, j, end, cov)
		if out.Converged {
			out.Params = append(out.Params, Param{1, -end.x[j]})
		}
	}
	return out
}

func (f *conditionalFit) reportGraded(end summit, items []GradedItem) GradedFit {
	for _, x := range end.x {
		end.converged = end.converged && math.Abs(x) < unsettled
	}
	course, cov := f.course(end)
	out := GradedFit{Items: items, Course: course}
	for j := range items {
		column := Graded{Slope: 1, Categories: items[j].Categories}
		for v := range len(items[j].Categories) - 1 {
			it := f.step(j, f.first[j]+v, end, cov)
			items[j].Slope, items[j].SlopeSE = it.Slope, it.SlopeSE
			items[j].Steps, items[j].StepSEs = append(items[j].Steps, it.Difficulty), append(items[j].StepSEs, it.DifficultySE)
			column.Steps = append(column.Steps, -end.x[f.first[j]+v])
		}
		items[j].Location, items[j].LocationSE = f.location(f.first[j], end.x, cov, items[j].Steps)
		if course.Converged {
			out.Columns = append(out.Columns, column)
		}
	}
	return out
}

// location reports the mean of a column's steps, the first of which is parameter d.
func (f *conditionalFit) location(d int, x []float64, cov *mat.SymDense, each []Figure) (mean, se Figure) {
	k, b, v := float64(len(each)), 0.0, 0.0
	for i, s := range each {
		if !s.Known() {
			return s, s
		}
		b -= x[d+i] / k
		for l := range each {
			v += cov.At(d+i, d+l) / (k * k)
		}
	}
	e := math.Sqrt(max(0, v))
	return withSE(b, e, each[0].N), number(e, each[0].N)
}

// sumZeroCovariance is that of parameters which add up to 0. With a
// constant c in every element of the information its inverse is that of the sum-zero parameters
// plus 1/(c·k²) in every element; c is what the whole then sums to. It is nil
// where the information is not positive definite.
func sumZeroCovariance(info *mat.SymDense) *mat.SymDense {
	var chol mat.Cholesky
	if !chol.Factorize(info) {
		return nil
	}
	var inverse mat.SymDense
	if err := chol.InverseTo(&inverse); err != nil {
		return nil
	}
	k := info.SymmetricDim()
	extra := mat.Sum(&inverse) / float64(k*k)
	for i := range k {
		for j := i; j < k; j++ {
			inverse.SetSym(i, j, inverse.At(i, j)-extra)
		}
	}
	return &inverse
}
