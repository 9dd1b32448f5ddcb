package itemstat

import (
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
// The steps are quasi-Newton ones that begin from the full information. For each different set of k columns met
// a step costs k² log k, and the information, twice, k² for each different total
// (k³ log k for columns of nearly equal difficulty and for part marks).
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
	if err := p.conditional(); err != nil {
		return Fit{}, err
	}
	if err := p.finiteRasch(); err != nil {
		return Fit{}, err
	}
	f := newConditionalFit(p)
	return f.report(climb(f, f.start(), 1e-10, 100)), nil
}

// ConditionalGraded fits the partial credit model to part marks by conditional
// maximum likelihood (Andersen 1973, Psychometrika 38, 123–140, and Masters 1982), as [Conditional] does
// right or wrong: a person's total is the sum of his categories, and all steps
// together add up to 0. Of the options only how marks become categories counts.
// Where the data set no finite steps the fit does not converge.
func ConditionalGraded(m *Matrix, o GradedOptions) (GradedFit, error) {
	items, err := o.categories(m)
	if err != nil {
		return GradedFit{}, err
	}
	cats, category := assign(m, items)
	p, err := groupBy(m, cats, category)
	if err != nil {
		return GradedFit{}, err
	}
	if err := p.conditional(); err != nil {
		return GradedFit{}, err
	}
	f := newConditionalFit(p)
	if f.steps > MaxConditional {
		return GradedFit{}, refuse(OutOfRange, "Rasch model of %d steps", f.steps)
	}
	return f.reportGraded(climb(f, f.start(), 1e-10, 100), items), nil
}

// conditional refuses what neither can be fitted to.
func (p *patterns) conditional() error {
	if p.columns < 2 {
		return refuse(TooFew, "Rasch model of %d columns", p.columns)
	}
	if p.columns > MaxConditional {
		return refuse(OutOfRange, "Rasch model of %d columns", p.columns)
	}
	return p.estimable()
}

// design is the people who met one set of columns.
type design struct {
	columns []int
	byTotal []float64 // people by total
}

// conditionalFit is the conditional likelihood as a function of the step
// intercepts (easinesses), which add up to 0.
type conditionalFit struct {
	p       *patterns
	first   []int // the first parameter of each column
	steps   int
	designs []*design
	seen    []float64 // sufficient: people at or above each step, the extreme ones left out
	people  int
	info    *mat.SymDense
}

func newConditionalFit(p *patterns) *conditionalFit {
	f := &conditionalFit{p: p, first: make([]int, p.columns)}
	for j, k := range p.cats {
		f.first[j] = f.steps
		f.steps += k - 1
	}
	f.seen = make([]float64, f.steps)
	byKey := map[string]*design{}
	var keys []string
	met, key := newBits(p.columns), []byte(nil)
	for i, w := range p.weight {
		clear(met)
		total, most := 0, 0
		p.each(i, func(j, category int) {
			met.set(j)
			total += category
			most += p.cats[j] - 1
		})
		if total == 0 || total == most {
			continue
		}
		key = met.appendTo(key[:0])
		d := byKey[string(key)]
		if d == nil {
			d = &design{byTotal: make([]float64, most+1)}
			met.each(func(j int) { d.columns = append(d.columns, j) })
			byKey[string(key)] = d
			keys = append(keys, string(key))
		}
		d.byTotal[total] += w
		p.each(i, func(j, category int) {
			for v := range category {
				f.seen[f.first[j]+v] += w
			}
		})
		f.people += int(w)
	}
	slices.SortFunc(keys, strings.Compare)
	for _, k := range keys {
		f.designs = append(f.designs, byKey[k])
	}
	return f
}

// start takes the logits of neighbouring categories.
func (f *conditionalFit) start() []float64 {
	x, sum := make([]float64, 0, f.steps), 0.0
	for _, count := range f.p.count {
		for k := range len(count) - 1 {
			x = append(x, math.Log((float64(count[k+1])+.5)/(float64(count[k])+.5)))
			sum += x[len(x)-1]
		}
	}
	for i := range x {
		x[i] -= sum / float64(len(x))
	}
	return x
}

// at returns the conditional log-likelihood, its gradient and the information at
// the first place asked for: that guides the steps from everywhere near, and is by far
// the dearest part.
//
// Adding one constant to all parameters changes nothing; the information is made
// definite along that direction by a constant in every element, which leaves the
// steps as they are.
func (f *conditionalFit) at(x []float64) point {
	k := len(x)
	out := point{x: x, gradient: slices.Clone(f.seen), info: f.info}
	if f.info == nil {
		out.info = mat.NewSymDense(k, nil)
	}
	for i, n := range f.seen {
		out.value += n * x[i]
	}
	for _, d := range f.designs {
		f.addTo(&out, d)
	}
	if f.info == nil {
		ridge := mat.Trace(out.info) / float64(k*k)
		for i := range k {
			for j := i; j < k; j++ {
				out.add(i, j, ridge)
			}
		}
		f.info = out.info
	}
	return out
}
