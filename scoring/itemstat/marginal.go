package itemstat

import (
	"math"
	"runtime"

	"gonum.org/v1/gonum/mat"
)

// Model is a measurement model: the chance that somebody of ability θ gets a
// column right is 1/(1 + exp(−a(θ − b))), a its slope and b its difficulty.
type Model string

// The models, by what is free.
const (
	Rasch       Model = "Rasch"        // a = 1
	CommonSlope Model = "common slope" // one a for all
	TwoPL       Model = "2PL"          // an a for each
)

// Prior is an optional normal prior for stability with few answers: on slopes
// and on intercepts −a·b. An SD of 0 is no prior.
type Prior struct {
	SlopeMean, SlopeSD, InterceptSD float64
}

// Options of a marginal fit. The zero value of a field is its default.
type Options struct {
	Model     Model
	Prior     Prior
	Nodes     int     // of the quadrature from −6 to 6, 11 to 401; 61
	Tolerance float64 // gain in log-likelihood still to be expected at the end; 1e-9
	MaxCycles int     // passes over the data; 500
	Workers   int     // goroutines; as many as Go uses. The result does not depend on it
	Errors    bool    // also standard errors: two passes for each parameter
}

// ItemFit is what a fit says of one column.
type ItemFit struct {
	Slope, Difficulty     Figure
	SlopeSE, DifficultySE Figure // standard errors, from the observed information
}

// Course is how a fit went.
type Course struct {
	Model  Model
	LogLik float64 // of the answers alone, a prior's part left out
	People int     // with answers that the likelihood uses
	Groups int     // different rows among them
	Cycles int     // passes over the data, those over a sample and for the standard errors apart
	// Converged is false where MaxCycles passed, or no step gained any more before the
	// tolerance was met; then Items hold reasons and no numbers.
	Converged bool
	Gain      float64 // gain in log-likelihood still expected, by the last step's quadratic
}

// Fit is a fitted model.
type Fit struct {
	Items  []ItemFit
	Params []Param // the plain numbers of Items, for [Estimate]; set where Converged
	Course
}

// Marginal fits a model by marginal maximum likelihood over a standard normal
// ability (Bock and Aitkin 1981, Psychometrika 46, 443–459). Rows may have met
// different columns. Equal rows are worked out once. Where EM would go on slowly,
// steps here are quasi-Newton ones from the start, guided by the complete-data information less
// what not knowing the abilities takes away; large data are first climbed with a
// sample of their rows. A pass costs patterns × columns/8 × nodes, columns/5 where not
// everybody met them.
//
// A figure needs [NeedRasch] answers to its column, for the 2PL [NeedColumn2PL].
// The error is a [*RefusedError]: part marks, a column without answers or with
// the same for all, columns that no person links, for the 2PL fewer than
// [NeedPeople2PL] people or three columns, options out of range.
func Marginal(m *Matrix, o Options) (Fit, error) {
	o, err := o.checked()
	if err != nil {
		return Fit{}, err
	}
	p, err := group(m)
	if err != nil {
		return Fit{}, err
	}
	if err := p.enough(o.Model); err != nil {
		return Fit{}, err
	}
	if err := p.estimable(); err != nil {
		return Fit{}, err
	}
	f := newMarginalFit(p, o)
	return f.report(f.climb()), nil
}

func (o Options) checked() (Options, error) {
	if o.Nodes == 0 {
		o.Nodes = 61
	}
	if o.Tolerance == 0 {
		o.Tolerance = 1e-9
	}
	if o.MaxCycles == 0 {
		o.MaxCycles = 500
	}
	if o.Workers <= 0 {
		o.Workers = runtime.GOMAXPROCS(0)
	}
	if o.Model != Rasch && o.Model != CommonSlope && o.Model != TwoPL {
		return o, refuse(OutOfRange, "model %q", o.Model)
	}
	if !finite(o.Tolerance, o.Prior.SlopeMean, o.Prior.SlopeSD, o.Prior.InterceptSD) {
		return o, refuse(NotFinite, "options")
	}
	if o.Nodes < 11 || o.Nodes > 401 || o.Tolerance < 0 || o.MaxCycles < 0 || o.Prior.SlopeSD < 0 || o.Prior.InterceptSD < 0 {
		return o, refuse(OutOfRange, "options")
	}
	return o, nil
}

func (p *patterns) enough(model Model) error {
	switch {
	case p.columns < 2 || model != Rasch && p.columns < 3:
		return refuse(TooFew, "%s model of %d columns", model, p.columns)
	case model == TwoPL && p.people < NeedPeople2PL:
		return refuse(TooFew, "2PL of %d people, not %d", p.people, NeedPeople2PL)
	}
	return nil
}

// marginalFit is the likelihood as a function of the free parameters: the
// slopes (none, one or all), then the step intercepts, column by column.
type marginalFit struct {
	p      *patterns
	o      Options
	e      *eStep
	slopes int
	steps  int // step intercepts of all columns; right or wrong is one step
}

func newMarginalFit(p *patterns, o Options) *marginalFit {
	f := &marginalFit{p: p, o: o, e: newEStep(p, newQuadrature(o.Nodes), o.Workers)}
	for _, k := range p.cats {
		f.steps += k - 1
	}
	switch o.Model {
	case CommonSlope:
		f.slopes = 1
	case TwoPL:
		f.slopes = p.columns
	}
	return f
}

// start has slopes of 1 and the step intercepts that give each column its
// proportions.
func (f *marginalFit) start() []float64 {
	x := make([]float64, f.slopes, f.slopes+f.steps)
	for i := range x {
		x[i] = 1
	}
	for _, count := range f.p.count {
		for k := range len(count) - 1 {
			odds := (float64(count[k+1]) + 0.5) / (float64(count[k]) + 0.5)
			x = append(x, math.Log(odds)*math.Sqrt(1+1/(1.702*1.702)))
		}
	}
	return x
}

// climb begins, where there are many rows, from the top for a sample of them.
func (f *marginalFit) climb() summit {
	x := f.start()
	var past history
	if few := f.p.sample(len(x)); few != nil {
		if near := climb(newMarginalFit(few, f.o), x, 1e-2, f.o.MaxCycles); near.converged {
			x, past = near.x, near.past.times(float64(f.p.people)/float64(few.people))
		}
	}
	return climb(f, x, f.o.Tolerance, f.o.MaxCycles, past...)
}

// slopeAt is the place of column j's slope among the parameters, −1 where it is fixed.
func (f *marginalFit) slopeAt(j int) int {
	switch f.o.Model {
	case Rasch:
		return -1
	case CommonSlope:
		return 0
	}
	return j
}

func (f *marginalFit) split(x []float64) (slope, step []float64) {
	slope = make([]float64, f.p.columns)
	for j := range slope {
		slope[j] = 1
		if at := f.slopeAt(j); at >= 0 {
			slope[j] = x[at]
		}
	}
	return slope, x[f.slopes:]
}

// at returns the penalized log-likelihood, its gradient and its information: that
// of complete data, and that less what not knowing the abilities takes away.
func (f *marginalFit) at(x []float64) point {
	slope, step := f.split(x)
	ex := f.e.run(slope, step)
	out := newPoint(x)
	out.value = ex.logLik
	lost := newLoss(f.e.q, float64(f.p.people), len(x))
	n, d := len(f.e.q.node), f.slopes
	for j, k := range f.p.cats {
		from := f.e.first[j]
		c := columnAt{a: f.slopeAt(j), d: d, slope: slope[j], nodes: f.e.q.node,
			prob: f.e.prob[from : from+k*n], people: ex.people[from : from+k*n]}
		c.addTo(&out, lost)
		d += k - 1
	}
	f.addPrior(&out)
	out.sharper = func() *mat.SymDense { return lost.from(out.info, f.slopes) }
	return out
}

func (f *marginalFit) addPrior(p *point) {
	for i, v := range p.x {
		mean, sd := f.o.Prior.SlopeMean, f.o.Prior.SlopeSD
		if i >= f.slopes {
			mean, sd = 0, f.o.Prior.InterceptSD
		}
		if sd > 0 {
			d := (v - mean) / sd
			p.value -= d * d / 2
			p.prior -= d * d / 2
			p.gradient[i] -= d / sd
			p.info.SetSym(i, i, p.info.At(i, i)+1/(sd*sd))
		}
	}
}
