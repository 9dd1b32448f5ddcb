package itemstat

import "math"

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
	Workers   int     // goroutines; 1. The last bits of a result depend on it
	Errors    bool    // also standard errors: four passes for each parameter
}

// ItemFit is what a fit says of one column.
type ItemFit struct {
	Slope, Difficulty     Figure
	SlopeSE, DifficultySE Figure // standard errors, from the observed information
}

// Fit is a fitted model.
type Fit struct {
	Model  Model
	Items  []ItemFit
	Params []Param // the plain numbers of Items, for [Estimate]; set where Converged
	LogLik float64 // of the answers alone, a prior's part left out
	People int     // with answers that the likelihood uses
	Groups int     // different rows among them
	Cycles int     // passes over the data, those for the standard errors apart
	// Converged is false where MaxCycles passed, or no step gained any more before the
	// tolerance was met; then Items hold reasons and no numbers.
	Converged bool
	Gain      float64 // gain in log-likelihood still expected, by the last step's quadratic
}

// Marginal fits a model by marginal maximum likelihood over a standard normal
// ability (Bock and Aitkin 1981, Psychometrika 46, 443–459). Rows may have met
// different columns. Equal rows are worked out once. The first cycle is an EM step; the following
// ones speed EM up by a quasi-Newton correction of it (Jamshidian and Jennrich
// 1997, Journal of the Royal Statistical Society B 59, 569–587). A cycle costs
// patterns × columns/5 × nodes.
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
	end := climb(f, f.start(), o.Tolerance, o.MaxCycles)
	return f.report(end), nil
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
// slopes (none, one or all), then the intercepts.
type marginalFit struct {
	p      *patterns
	o      Options
	e      *eStep
	slopes int
}

func newMarginalFit(p *patterns, o Options) *marginalFit {
	f := &marginalFit{p: p, o: o, e: newEStep(p, newQuadrature(o.Nodes), o.Workers)}
	switch o.Model {
	case CommonSlope:
		f.slopes = 1
	case TwoPL:
		f.slopes = p.columns
	}
	return f
}

// start has slopes of 1 and the intercepts that give each column its proportion right.
func (f *marginalFit) start() []float64 {
	x := make([]float64, f.slopes+f.p.columns)
	for i := range f.slopes {
		x[i] = 1
	}
	for j := range f.p.columns {
		p := (float64(f.p.right[j]) + 0.5) / (float64(f.p.met[j]) + 1)
		x[f.slopes+j] = math.Log(p/(1-p)) * math.Sqrt(1+1/(1.702*1.702))
	}
	return x
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

func (f *marginalFit) split(x []float64) (slope, intercept []float64) {
	slope = make([]float64, f.p.columns)
	for j := range slope {
		slope[j] = 1
		if at := f.slopeAt(j); at >= 0 {
			slope[j] = x[at]
		}
	}
	return slope, x[f.slopes:]
}

// at returns the penalized log-likelihood, its gradient and the information that complete data would give.
func (f *marginalFit) at(x []float64) point {
	slope, intercept := f.split(x)
	ex := f.e.run(slope, intercept)
	out := newPoint(x)
	out.value = ex.logLik
	n := len(f.e.q.node)
	for j := range slope {
		var ga, gd, iaa, iad, idd float64
		for i, theta := range f.e.q.node {
			p, met := f.e.prob[j*n+i], ex.met[j*n+i]
			residual := ex.right[j*n+i] - met*p
			v := met * p * (1 - p)
			ga += residual * theta
			gd += residual
			iaa += v * theta * theta
			iad += v * theta
			idd += v
		}
		out.add(f.slopeAt(j), f.slopes+j, ga, gd, iaa, iad, idd)
	}
	f.addPrior(&out)
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
