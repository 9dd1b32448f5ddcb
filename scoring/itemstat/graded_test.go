package itemstat

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// thirds are the categories of marks 0, 1/3, 2/3 and 1, halves those of 0, ½ and 1.
var (
	thirds = []Category{{Mark: 0, Marks: []float64{0}}, {Mark: 1. / 3, Marks: []float64{1. / 3}},
		{Mark: 2. / 3, Marks: []float64{2. / 3}}, {Mark: 1, Marks: []float64{1}}}
	halves = []Category{{Mark: 0, Marks: []float64{0}}, {Mark: .5, Marks: []float64{.5}}, {Mark: 1, Marks: []float64{1}}}
)

// simulatedGraded draws people of normal ability, each meeting every column with
// the chance share.
func simulatedGraded(t testing.TB, rnd *rand.Rand, people int, columns []Graded, share float64) *Matrix {
	t.Helper()
	m := matrix(t, len(columns))
	for range people {
		theta := rnd.NormFloat64()
		var cells []Cell
		for j, g := range columns {
			if rnd.Float64() < share {
				cells = append(cells, Cell{j, g.mark(draw(rnd, g, theta))})
			}
		}
		if err := m.Add(1, cells...); err != nil {
			t.Fatal(err)
		}
	}
	return m
}

// draw draws a category, by chances written out from the model's definition.
func draw(rnd *rand.Rand, g Graded, theta float64) int {
	weights, sum := []float64{1}, 1.0
	for _, b := range g.Steps {
		weights = append(weights, weights[len(weights)-1]*math.Exp(g.Slope*(theta-b)))
		sum += weights[len(weights)-1]
	}
	u := rnd.Float64() * sum
	for k, w := range weights {
		if u -= w; u < 0 {
			return k
		}
	}
	return len(weights) - 1
}

func fitGraded(t testing.TB, m *Matrix, o GradedOptions) GradedFit {
	t.Helper()
	f, err := PartialCredit(m, o)
	if err != nil {
		t.Fatal(err)
	}
	if !f.Converged {
		t.Fatalf("not converged: %+v", f.Course)
	}
	return f
}

// mixed are columns of one, two and three steps, one of them with steps that do not ascend.
func mixed(slopes ...float64) []Graded {
	return []Graded{
		{slopes[0], []float64{-.5}, nil},
		{slopes[1], []float64{-1, .2, .9}, thirds},
		{slopes[2], []float64{.8, -.4}, halves},
		{slopes[3], []float64{.6}, nil},
		{slopes[4], []float64{-1.2, -.3, 1.1}, thirds},
	}
}

// gradedLogLik is the marginal log-likelihood straight from the definition, row
// by row over 121 nodes.
func gradedLogLik(m *Matrix, columns []Graded) float64 {
	const nodes = 121
	sum := 0.0
	for i := range m.count {
		cols, marks, count := m.row(i)
		if len(cols) == 0 {
			continue
		}
		like, prior := 0.0, 0.0
		for q := range nodes {
			theta := -6 + 12*float64(q)/(nodes-1)
			w := math.Exp(-theta * theta / 2)
			prior += w
			for c, j := range cols {
				g := columns[j]
				odds, all, mine := 1.0, 1.0, 1.0
				for k, b := range g.Steps {
					odds *= math.Exp(g.Slope * (theta - b))
					all += odds
					if k+1 == g.Category(marks[c]) {
						mine = odds
					}
				}
				w *= mine / all
			}
			like += w
		}
		sum += float64(count) * math.Log(like/prior)
	}
	return sum
}

// The fit's height is that of the definition, and there is no way up from it:
// every free parameter's slope, by differences of the definition, is nothing.
func TestGradedIsTheTop(t *testing.T) {
	rnd := rand.New(rand.NewPCG(31, 32))
	for _, c := range []struct {
		model  Model
		slopes []float64
		share  float64
	}{
		{Rasch, []float64{1, 1, 1, 1, 1}, 1},
		{CommonSlope, []float64{1.4, 1.4, 1.4, 1.4, 1.4}, .8},
		{TwoPL, []float64{.8, 1.2, 1.5, 1.1, .7}, .8},
	} {
		m := simulatedGraded(t, rnd, 700, mixed(c.slopes...), c.share)
		f := fitGraded(t, m, GradedOptions{Options: Options{Model: c.model, Nodes: 81}})
		near(t, string(c.model)+" log L", f.LogLik, gradedLogLik(m, f.Columns), 1e-6)
		moved := func(change func(g []Graded)) float64 {
			g := make([]Graded, len(f.Columns))
			for j, col := range f.Columns {
				g[j] = Graded{col.Slope, append([]float64{}, col.Steps...), col.Categories}
			}
			change(g)
			return gradedLogLik(m, g)
		}
		flat := func(what string, change func(g []Graded, by float64)) {
			const h = 1e-3
			up, down := moved(func(g []Graded) { change(g, h) }), moved(func(g []Graded) { change(g, -h) })
			near(t, fmt.Sprintf("%s: way up by %s", c.model, what), (up-down)/(2*h), 0, 2e-3)
		}
		for j, g := range f.Columns {
			for v := range g.Steps {
				flat(fmt.Sprintf("step %d of column %d", v, j), func(g []Graded, by float64) { g[j].Steps[v] += by })
			}
			if c.model == TwoPL {
				flat(fmt.Sprintf("slope %d", j), func(g []Graded, by float64) { g[j].Slope += by })
			}
		}
		if c.model == CommonSlope {
			flat("slope", func(g []Graded, by float64) {
				for j := range g {
					g[j].Slope += by
				}
			})
		}
	}
}

// Right-or-wrong answers give what Marginal gives.
func TestGradedOfRightOrWrong(t *testing.T) {
	_, m := responses(t)
	for _, model := range []Model{Rasch, CommonSlope, TwoPL} {
		want := fit(t, m, Options{Model: model, Errors: true})
		got := fitGraded(t, m, GradedOptions{Options: Options{Model: model, Errors: true}})
		near(t, "log L", got.LogLik, want.LogLik, 1e-9)
		for j, it := range want.Items {
			known(t, "slope", got.Items[j].Slope, it.Slope.Value, 1e-9)
			known(t, "step", got.Items[j].Steps[0], it.Difficulty.Value, 1e-9)
			known(t, "SE of the step", got.Items[j].StepSEs[0], it.DifficultySE.Value, 1e-9)
			known(t, "location", got.Items[j].Location, it.Difficulty.Value, 1e-9)
			known(t, "SE of the location", got.Items[j].LocationSE, it.DifficultySE.Value, 1e-9)
		}
	}
}

func TestCategorize(t *testing.T) {
	got, joined := categorize([]tallied{{1, 40}, {0, 30}, {.25, 12}, {.5, 0}, {.75, 3}}, NeedCategory)
	want := []Category{{0, []float64{0}, 30}, {.25, []float64{.25, .5}, 12}, {(.75*3 + 40) / 43, []float64{.75, 1}, 43}}
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("categories (-want +got)\n%s", d)
	}
	wantJoined := []Collapse{{.5, 0, .25, Unreached}, {.75, 3, 1, TooFew}}
	if d := cmp.Diff(wantJoined, joined); d != "" {
		t.Errorf("joined (-want +got)\n%s", d)
	}
	got, joined = categorize([]tallied{{1, 40}, {0, 30}, {.5, 1}, {.7, 0}}, 1)
	if len(got) != 3 || len(joined) != 1 || joined[0].Into != .5 {
		t.Errorf("least 1: %+v, %+v; want only the mark nobody reached put in", got, joined)
	}
	got, _ = categorize([]tallied{{0, 4}, {.5, 1}, {1, 3}}, NeedCategory)
	if len(got) != 2 {
		t.Errorf("eight people: %+v, want two categories", got)
	}
	got, _ = categorize([]tallied{{0, 4}, {1, 0}}, 1)
	if len(got) != 1 {
		t.Errorf("nobody right: %+v, want one category", got)
	}
	if k := categoryOf(want, .8); k != 2 {
		t.Errorf("mark .8 is in category %d, want 2", k)
	}
}

// Marks that nobody reached are said, and the rest is fitted as if they did not exist.
func TestGradedUnreached(t *testing.T) {
	rnd := rand.New(rand.NewPCG(34, 35))
	m := simulatedGraded(t, rnd, 400, mixed(1, 1, 1, 1, 1), 1)
	plain := fitGraded(t, m, GradedOptions{Options: Options{Model: Rasch}})
	fifths := []float64{0, .2, 1. / 3, 2. / 3, 1}
	f := fitGraded(t, m, GradedOptions{Options: Options{Model: Rasch},
		Possible: [][]float64{{0, 1}, fifths, {0, .5, 1}, {0, 1}, fifths}})
	want := []Collapse{{.2, 0, 1. / 3, Unreached}}
	if d := cmp.Diff(want, f.Items[1].Collapsed); d != "" {
		t.Errorf("collapsed (-want +got)\n%s", d)
	}
	near(t, "log L", f.LogLik, plain.LogLik, 1e-9)
}

func TestGradedRefuses(t *testing.T) {
	rasch := GradedOptions{Options: Options{Model: Rasch}}
	m := matrix(t, 2)
	add(t, m, 40, "10")
	add(t, m, 40, "11")
	_, err := PartialCredit(m, rasch)
	refused(t, "a column all right", err, Constant)
	_, err = PartialCredit(matrix(t, 2), rasch)
	refused(t, "nobody", err, Empty)
	apart := matrix(t, 4)
	for _, row := range []string{"10--", "01--", "--10", "--01"} {
		add(t, apart, 40, row)
	}
	_, err = PartialCredit(apart, rasch)
	refused(t, "disconnected", err, Disconnected)
	_, err = PartialCredit(m, GradedOptions{Options: Options{Model: Rasch}, Possible: [][]float64{{0, math.NaN()}, {0, 1}}})
	refused(t, "possible mark NaN", err, OutOfRange)
	_, err = PartialCredit(m, GradedOptions{Options: Options{Model: Rasch}, Possible: [][]float64{{0}}})
	refused(t, "possible marks of another number of columns", err, OutOfRange)
	_, err = PartialCredit(m, GradedOptions{Options: Options{Model: Rasch}, Least: -1})
	refused(t, "least −1", err, OutOfRange)
	many := matrix(t, 2)
	for i := range 60 {
		if err := many.Add(20, Cell{0, float64(i) / 59}, Cell{1, float64(i % 2)}); err != nil {
			t.Fatal(err)
		}
	}
	_, err = PartialCredit(many, rasch)
	refused(t, "60 categories", err, OutOfRange)
	few := matrix(t, 2)
	for _, row := range []string{"10", "01", "11", "00"} {
		add(t, few, 7, row)
	}
	f := fitGraded(t, few, rasch)
	absent(t, "a step from 28", f.Items[0].Steps[0], TooFew)
}

// Estimates of graded answers by their definitions: a fine grid of the likelihood, and
// for Warm's of likelihood × √information.
func TestEstimateGradedByGrid(t *testing.T) {
	rnd := rand.New(rand.NewPCG(36, 37))
	for range trials(30) {
		var answers []GradedAnswer
		for range 2 + rnd.IntN(3) {
			for _, g := range mixed(.8, 1.2, 1.5, 1.1, .7) {
				answers = append(answers, GradedAnswer{g, rnd.IntN(len(g.Steps) + 1)})
			}
		}
		got, err := EstimateGraded(answers, 0.3, 1.2)
		if err != nil {
			t.Fatal(err)
		}
		var ml, wle, w, first float64
		topML, topWLE := math.Inf(-1), math.Inf(-1)
		for theta := -12.0; theta <= 12; theta += 1e-3 {
			l, info := 0.0, 0.0
			for _, a := range answers {
				all, x, xx, odds, mine := 1.0, 0.0, 0.0, 1.0, 1.0
				for k, b := range a.Steps {
					odds *= math.Exp(a.Slope * (theta - b))
					all += odds
					x += float64(k+1) * odds
					xx += float64((k+1)*(k+1)) * odds
					if k+1 == a.Category {
						mine = odds
					}
				}
				l += math.Log(mine / all)
				info += a.Slope * a.Slope * (xx/all - x/all*(x/all))
			}
			if l > topML {
				topML, ml = l, theta
			}
			if l+math.Log(info)/2 > topWLE {
				topWLE, wle = l+math.Log(info)/2, theta
			}
			p := math.Exp(l - (theta-.3)*(theta-.3)/(2*1.44))
			w += p
			first += p * theta
		}
		known(t, "ML", got.ML, ml, 1e-3)
		known(t, "WLE", got.WLE, wle, 1e-3)
		known(t, "EAP", got.EAP, first/w, 1e-5)
	}
	best := []GradedAnswer{{mixed(1, 1, 1, 1, 1)[1], 3}}
	got, err := EstimateGraded(best, 0, 1)
	if err != nil {
		t.Fatal(err)
	}
	absent(t, "ML of full marks", got.ML, AllRight)
	best[0].Category = 0
	got, _ = EstimateGraded(best, 0, 1)
	absent(t, "ML of no marks", got.ML, AllWrong)
	best[0].Category = 4
	_, err = EstimateGraded(best, 0, 1)
	refused(t, "category 4 of 3 steps", err, OutOfRange)
}

// A column of part marks given at random scatters more than the model expects; the others as it does.
func TestGradedMisfits(t *testing.T) {
	rnd := rand.New(rand.NewPCG(38, 39))
	var columns []Graded
	for range 4 {
		columns = append(columns, mixed(1, 1, 1, 1, 1)...)
	}
	m := matrix(t, len(columns))
	for range 800 {
		theta := 1.3 * rnd.NormFloat64()
		var cells []Cell
		for j, g := range columns {
			k := draw(rnd, g, theta)
			if j == 6 {
				k = rnd.IntN(4)
			}
			cells = append(cells, Cell{j, g.mark(k)})
		}
		if err := m.Add(1, cells...); err != nil {
			t.Fatal(err)
		}
	}
	fits, err := GradedMisfits(m, columns)
	if err != nil {
		t.Fatal(err)
	}
	for j, f := range fits {
		if bad := f.Infit.Value > 1.25 && f.Outfit.Value > 1.25; bad != (j == 6) {
			t.Errorf("column %d: infit %.3f, outfit %.3f", j, f.Infit.Value, f.Outfit.Value)
		}
	}
	_, err = Misfits(m, make([]Param, len(columns)))
	refused(t, "part marks", err, NotBinary)
}
