package itemstat

import (
	"encoding/binary"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/mat"
)

// MaxConditional is the most columns that [Conditional] takes.
const MaxConditional = 200

// Conditional fits the Rasch model by conditional maximum likelihood: given each
// person's total on the columns met, the abilities drop out (Andersen 1972,
// Journal of the Royal Statistical Society B 34, 42–54). The difficulties add up to 0. People with all
// right or all wrong say nothing of it; Fit.People counts the others, and LogLik
// is the conditional one. Standard errors come with it, from the conditional information.
//
// The steps are quasi-Newton ones that begin from the full information; one costs, for each different set of k columns met,
// k³ log k.
//
// A figure needs [NeedRasch] answers to its column. The error is a [*RefusedError]:
// part marks, fewer than two columns or more than [MaxConditional], a column
// without answers or the same for all, columns that no person links,
// [Unbounded] where some columns beat the others whenever they meet, so that no finite
// estimate exists (Fischer 1981, Psychometrika 46, 59–77).
func Conditional(m *Matrix) (Fit, error) {
	p, err := group(m)
	if err != nil {
		return Fit{}, err
	}
	if p.columns < 2 {
		return Fit{}, refuse(TooFew, "Rasch model of %d columns", p.columns)
	}
	if p.columns > MaxConditional {
		return Fit{}, refuse(OutOfRange, "Rasch model of %d columns", p.columns)
	}
	if err := p.estimable(); err != nil {
		return Fit{}, err
	}
	if err := p.finiteRasch(); err != nil {
		return Fit{}, err
	}
	f := newConditionalFit(p)
	return f.report(climb(f, f.start(), 1e-10, 100)), nil
}

// design is the people who met one set of columns.
type design struct {
	columns []int
	byTotal []float64 // people by total, 0 … k
}

type conditionalFit struct {
	p       *patterns
	designs []*design
	right   []float64 // sufficient: people right by column, the extreme ones left out
	people  int
}

func newConditionalFit(p *patterns) *conditionalFit {
	f := &conditionalFit{p: p, right: make([]float64, p.columns)}
	byKey := map[string]*design{}
	var keys []string
	for i, w := range p.weight {
		var met, right []int
		p.each(i, func(j, category int) {
			met = append(met, j)
			if category == 1 {
				right = append(right, j)
			}
		})
		if len(right) == 0 || len(right) == len(met) {
			continue
		}
		slices.Sort(met)
		key := designKey(met)
		d := byKey[key]
		if d == nil {
			d = &design{columns: met, byTotal: make([]float64, len(met)+1)}
			byKey[key] = d
			keys = append(keys, key)
		}
		d.byTotal[len(right)] += w
		for _, j := range right {
			f.right[j] += w
		}
		f.people += int(w)
	}
	slices.SortFunc(keys, strings.Compare)
	for _, k := range keys {
		f.designs = append(f.designs, byKey[k])
	}
	return f
}

// designKey is a key for a set of columns.
func designKey(columns []int) string {
	key := make([]byte, 0, 2*len(columns))
	for _, j := range columns {
		key = binary.BigEndian.AppendUint16(key, uint16(j)) // at most MaxConditional
	}
	return string(key)
}

// start takes the logits of the proportions right; the parameters are
// easinesses, which add up to 0.
func (f *conditionalFit) start() []float64 {
	x, sum := make([]float64, f.p.columns), 0.0
	for j := range x {
		p := (float64(f.p.right(j)) + .5) / (float64(f.p.met[j]) + 1)
		x[j] = math.Log(p / (1 - p))
		sum += x[j]
	}
	for j := range x {
		x[j] -= sum / float64(len(x))
	}
	return x
}

// at returns the conditional log-likelihood, its gradient and its information.
// Adding one constant to all columns changes nothing; the information is made
// definite along that direction by a constant in every element, which leaves the
// steps as they are.
func (f *conditionalFit) at(x []float64) point {
	k := len(x)
	out := point{x: x, gradient: slices.Clone(f.right), info: mat.NewSymDense(k, nil)}
	for j, r := range f.right {
		out.value += r * x[j]
	}
	for _, d := range f.designs {
		d.addTo(&out)
	}
	ridge := mat.Trace(out.info) / float64(k*k)
	for i := range k {
		for j := i; j < k; j++ {
			out.info.SetSym(i, j, out.info.At(i, j)+ridge)
		}
	}
	return out
}

// addTo takes log γ, its expectation and the covariances of the answers given
// the total from the likelihood, the gradient and into the information.
func (d *design) addTo(out *point) {
	k := len(d.columns)
	eps, shift := make([]float64, k), 0.0
	for _, j := range d.columns {
		shift += out.x[j] / float64(k)
	}
	for i, j := range d.columns { // about 1 each, so that γ stays far from overflow
		eps[i] = math.Exp(out.x[j] - shift)
	}
	gamma, without := symmetricFunctions(eps)
	for r, n := range d.byTotal {
		if n > 0 {
			out.value -= n * (math.Log(gamma[r]) + float64(r)*shift)
		}
	}
	chance := make([][]float64, k) // chance[i][r] of right given the total r
	for i, j := range d.columns {
		chance[i] = make([]float64, k+1)
		for r := 1; r < k; r++ {
			chance[i][r] = eps[i] * without[i][r-1] / gamma[r]
			out.gradient[j] -= d.byTotal[r] * chance[i][r]
		}
	}
	d.addInformation(out, eps, gamma, chance)
}

func (d *design) addInformation(out *point, eps, gamma []float64, chance [][]float64) {
	rest := make([]float64, len(eps)-1)
	for i := range eps {
		copy(rest, eps[:i])
		copy(rest[i:], eps[i+1:])
		_, both := symmetricFunctions(rest)
		for l := i; l < len(eps); l++ {
			sum := 0.0
			for r := 1; r < len(eps); r++ {
				if d.byTotal[r] == 0 {
					continue
				}
				joint := chance[i][r]
				if l > i {
					joint = 0
					if r > 1 {
						joint = eps[i] * eps[l] * both[l-1][r-2] / gamma[r]
					}
				}
				sum += d.byTotal[r] * (joint - chance[i][r]*chance[l][r])
			}
			a, b := d.columns[i], d.columns[l]
			out.info.SetSym(a, b, out.info.At(a, b)+sum)
		}
	}
}

func (f *conditionalFit) report(end summit) Fit {
	out := Fit{Items: make([]ItemFit, f.p.columns), Course: Course{Model: Rasch, LogLik: end.value, People: f.people,
		Groups: len(f.p.weight), Cycles: end.cycles, Converged: end.converged, Gain: end.gain}}
	if !finite(out.LogLik) {
		out.LogLik = 0
	}
	if !finite(out.Gain) {
		out.Gain = 0
	}
	var se []float64
	if out.Converged {
		se = sumZeroErrors(end.info)
	}
	for j := range out.Items {
		n := f.p.met[j]
		wait := none(NotConverged, n)
		if n < NeedRasch {
			wait = notYet(n, NeedRasch)
		}
		it := ItemFit{wait, wait, wait, wait}
		if out.Converged {
			out.Params = append(out.Params, Param{1, -end.x[j]})
		}
		if out.Converged && n >= NeedRasch && se != nil {
			it = ItemFit{Slope: number(1, n), SlopeSE: none(Empty, n),
				Difficulty: withSE(-end.x[j], se[j], n), DifficultySE: number(se[j], n)}
		}
		out.Items[j] = it
	}
	return out
}

// sumZeroErrors are the standard errors where the parameters add up to 0. With a
// constant c in every element the inverse is that of the sum-zero parameters
// plus 1/(c·k²) in every element; c is what the whole then sums to.
func sumZeroErrors(info *mat.SymDense) []float64 {
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
	se := make([]float64, k)
	for j := range se {
		se[j] = math.Sqrt(max(0, inverse.At(j, j)-extra))
	}
	return se
}
