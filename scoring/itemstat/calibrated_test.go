package itemstat

import (
	"math"
	"math/rand/v2"
	"testing"
)

// The reliability says how well estimates and true abilities of simulated people
// go together: EAP reliability is their squared correlation. People meet ten of forty columns.
func TestModelReliability(t *testing.T) {
	m, columns, truth, est := sittings(t, 1)
	r, err := ModelReliable(m, columns)
	if err != nil {
		t.Fatal(err)
	}
	var eap, missed []float64
	for i, e := range est {
		eap, missed = append(eap, e.EAP.Value), append(missed, (truth[i]-e.EAP.Value)*(truth[i]-e.EAP.Value))
	}
	squared := pearson(truth, eap) * pearson(truth, eap)
	known(t, "EAP reliability", r.EAP, squared, .025)
	known(t, "marginal reliability", r.Marginal, squared, .025)
	known(t, "SEM", r.SEM, math.Sqrt(mean(missed)), .02)
	if r.EAP.N != len(truth) {
		t.Errorf("n = %d, want %d", r.EAP.N, len(truth))
	}
}

// By the definition, from each person's posterior, where people are not spread as
// the model takes them to be and the two figures part.
func TestModelReliabilityOfOthers(t *testing.T) {
	m, columns, _, est := sittings(t, .4)
	r, err := ModelReliable(m, columns)
	if err != nil {
		t.Fatal(err)
	}
	var eap, within []float64
	for _, e := range est {
		eap, within = append(eap, e.EAP.Value), append(within, e.EAPSE.Value*e.EAPSE.Value)
	}
	between := covariance(eap, eap)
	known(t, "EAP reliability", r.EAP, between/(between+mean(within)), 1e-4)
	known(t, "marginal reliability", r.Marginal, 1-mean(within), 1e-4)
	if r.Marginal.Value-r.EAP.Value < .1 {
		t.Errorf("the figures do not part: %.3f and %.3f", r.EAP.Value, r.Marginal.Value)
	}
}

// sittings are 1500 people of that spread who met ten of forty columns each.
func sittings(t *testing.T, spread float64) (m *Matrix, columns []Graded, truth []float64, est []Ability) {
	t.Helper()
	rnd := rand.New(rand.NewPCG(41, 42))
	columns = bankOf(rnd, 40)
	m = matrix(t, len(columns))
	for range 1500 {
		theta := spread * rnd.NormFloat64()
		var cells []Cell
		var answers []GradedAnswer
		for _, j := range rnd.Perm(len(columns))[:10] {
			k := draw(rnd, columns[j], theta)
			cells = append(cells, Cell{j, columns[j].mark(k)})
			answers = append(answers, GradedAnswer{columns[j], k})
		}
		if err := m.Add(1, cells...); err != nil {
			t.Fatal(err)
		}
		e, err := EstimateGraded(answers, 0, 1)
		if err != nil {
			t.Fatal(err)
		}
		truth, est = append(truth, theta), append(est, e)
	}
	return m, columns, truth, est
}

func bankOf(rnd *rand.Rand, n int) []Graded {
	columns := make([]Graded, n)
	for j := range columns {
		slope, at := .6+rnd.Float64(), 2*rnd.Float64()-1
		if j%3 == 0 {
			columns[j] = Graded{slope, []float64{at - .5, at, at + .6}, thirds}
		} else {
			columns[j] = Param{slope, at}.Graded()
		}
	}
	return columns
}

// Twenty columns of slope 1 and difficulty b: the mean mark is the logistic of θ − b, so
// the cut .8 lies log 4 above b, with information 20·.16 there.
func TestAtCut(t *testing.T) {
	form := make([]Graded, 20)
	for j := range form {
		form[j] = Param{1, .3}.Graded()
	}
	c, err := AtCut(form, .8)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "ability", c.Ability, .3+math.Log(4), 1e-9)
	near(t, "information", c.Information, 20*.16, 1e-9)
	near(t, "SEM", c.SEM, 1/math.Sqrt(20*.16), 1e-9)
	near(t, "SEM of the mean mark", c.MarkSEM, math.Sqrt(.16/20), 1e-9)
	_, err = AtCut(form, 1)
	refused(t, "cut 1", err, Unbounded)
	_, err = AtCut(form, math.NaN())
	refused(t, "cut NaN", err, NotFinite)
	_, err = AtCut(nil, .5)
	refused(t, "no columns", err, Empty)
	form[3].Slope = -1
	_, err = AtCut(form, .8)
	refused(t, "a column that better people miss more", err, OutOfRange)
}

// Against draws: the expected mark is their mean, its variance theirs, and the
// information is the variance of the slope of the log-likelihood.
func TestExpectedMark(t *testing.T) {
	rnd := rand.New(rand.NewPCG(43, 44))
	g := mixed(.8, 1.2, 1.5, 1.1, .7)[1]
	const theta, h, n = .4, 1e-4, 200_000
	var marks, slopes []float64
	chance, up, down := g.Chances(theta), g.Chances(theta+h), g.Chances(theta-h)
	for range trials(n) {
		k := draw(rnd, g, theta)
		marks = append(marks, g.mark(k))
		slopes = append(slopes, (up[k]-down[k])/(2*h)/chance[k])
	}
	mark, v := g.Expected(theta)
	near(t, "mark", mean(marks), mark, 5*math.Sqrt(v/float64(len(marks))))
	near(t, "variance", covariance(marks, marks), v, .01)
	near(t, "information", covariance(slopes, slopes), g.Information(theta), .02*g.Information(theta)+.01*indicator(testing.Short()))
}

// Two forms of the same bank, one easier: what they expect at the cut differs by
// as much, and the middle of three people is the middle.
func TestFormsAtCut(t *testing.T) {
	columns := []Graded{Param{1, -1}.Graded(), Param{1, 1}.Graded(), Param{1, 0}.Graded()}
	m := matrix(t, 3)
	add(t, m, 1, "1--")
	add(t, m, 1, "--0")
	add(t, m, 1, "-1-")
	f, err := FormsAtCut(m, columns, .5)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "ability at the cut", f.Whole.Ability, 0, 1e-9)
	near(t, "least", f.Mark.Least, logistic(-1), 1e-9)
	near(t, "middle", f.Mark.Median, .5, 1e-9)
	near(t, "most", f.Mark.Most, logistic(1), 1e-9)
	near(t, "most information", f.Information.Most, .25, 1e-9)
	near(t, "largest SEM", f.SEM.Most, 1/math.Sqrt(logistic(1)*logistic(-1)), 1e-9)
	_, err = FormsAtCut(m, columns[:2], .5)
	refused(t, "other columns", err, OutOfRange)
	_, err = FormsAtCut(matrix(t, 3), columns, .5)
	refused(t, "nobody", err, Empty)
	r, err := ModelReliable(m, columns)
	if err != nil {
		t.Fatal(err)
	}
	absent(t, "reliability from three", r.EAP, TooFew)
}
