package itemstat

import (
	"math"
	"slices"
)

// Graded is a column of known parameters: the chances of category k and k − 1 are
// as exp(Slope·(θ − Steps[k−1])) to 1.
type Graded struct {
	Slope      float64
	Steps      []float64
	Categories []Category // one more than steps; none stands for the marks 0 and 1 of one step
}

// Graded returns the column of right or wrong with those parameters.
func (p Param) Graded() Graded { return Graded{Slope: p.Slope, Steps: []float64{p.Difficulty}} }

// mark is the mark that category k stands for.
func (g Graded) mark(k int) float64 {
	if g.Categories == nil {
		return float64(k)
	}
	return g.Categories[k].Mark
}

// Category returns the category of a mark, 0 the lowest: the one that holds the
// mark nearest to it.
func (g Graded) Category(mark float64) int {
	if g.Categories == nil {
		return int(math.Round(max(0, min(1, mark))))
	}
	return categoryOf(g.Categories, mark)
}

// Chances returns the chance of each category at θ.
func (g Graded) Chances(theta float64) []float64 {
	intercepts, out := make([]float64, len(g.Steps)), make([]float64, len(g.Steps)+1)
	for k, b := range g.Steps {
		intercepts[k] = -g.Slope * b
	}
	chances(g.Slope, intercepts, []float64{theta}, out)
	return out
}

// Expected returns the expected mark at θ, and the variance of the mark.
func (g Graded) Expected(theta float64) (mark, variance float64) {
	squares := 0.0
	for k, p := range g.Chances(theta) {
		mark += p * g.mark(k)
		squares += p * g.mark(k) * g.mark(k)
	}
	return mark, max(0, squares-mark*mark)
}

// Information returns the Fisher information about θ that an answer holds there.
func (g Graded) Information(theta float64) float64 {
	_, v, _ := moments3(g.Slope, g.Steps, theta)
	return g.Slope * g.Slope * v
}

// moments3 are mean, variance and third central moment of the category at θ.
func moments3(slope float64, steps []float64, theta float64) (mean, variance, third float64) {
	if len(steps) == 1 {
		p := logistic(slope * (theta - steps[0]))
		v := p * (1 - p)
		return p, v, v * (1 - 2*p)
	}
	top, log := 0.0, 0.0
	for _, b := range steps {
		log += slope * (theta - b)
		top = max(top, log)
	}
	var w, x, xx, xxx float64
	w, log = math.Exp(-top), 0
	for i, b := range steps {
		log += slope * (theta - b)
		p, k := math.Exp(log-top), float64(i+1)
		w += p
		x += p * k
		xx += p * k * k
		xxx += p * k * k * k
	}
	x, xx, xxx = x/w, xx/w, xxx/w
	return x, max(0, xx-x*x), xxx - 3*x*xx + 2*x*x*x
}

// check refuses a column that no estimate can be built on.
func (g Graded) check(what string, i int) error {
	if !finite(g.Slope) || !finite(g.Steps...) {
		return refuse(NotFinite, "%s %d", what, i)
	}
	if len(g.Steps) == 0 || len(g.Steps) >= MaxCategories {
		return refuse(OutOfRange, "%s %d: %d steps", what, i, len(g.Steps))
	}
	if g.Categories == nil && len(g.Steps) > 1 || g.Categories != nil && len(g.Categories) != len(g.Steps)+1 {
		return refuse(OutOfRange, "%s %d: %d categories for %d steps", what, i, len(g.Categories), len(g.Steps))
	}
	if s := math.Abs(g.Slope); s < 1e-6 || s > extreme {
		return refuse(OutOfRange, "%s %d: slope %v", what, i, g.Slope)
	}
	for _, b := range g.Steps {
		if math.Abs(b) > 100 {
			return refuse(OutOfRange, "%s %d: difficulty %v", what, i, b)
		}
	}
	for k, c := range g.Categories {
		if !finite(c.Mark) || !finite(c.Marks...) || c.Mark < 0 || c.Mark > 1 || k > 0 && c.Mark <= g.Categories[k-1].Mark {
			return refuse(OutOfRange, "%s %d: marks of its categories", what, i)
		}
	}
	return nil
}

// placed puts m's rows together by the categories of columns with known parameters.
func placed(m *Matrix, columns []Graded) (*patterns, error) {
	if len(columns) != m.columns {
		return nil, refuse(OutOfRange, "%d parameters for %d columns", len(columns), m.columns)
	}
	items := make([]GradedItem, len(columns))
	for j, g := range columns {
		items[j].Categories = g.Categories
		if g.Categories == nil {
			items[j].Categories = []Category{{Mark: 0, Marks: []float64{0}}, {Mark: 1, Marks: []float64{1}}}
		}
	}
	for i, x := range m.mark {
		if columns[m.column[i]].Categories == nil && x != 0 && x != 1 {
			return nil, refuse(NotBinary, "column %d", m.column[i])
		}
	}
	cats, category := assign(m, items)
	p, err := groupBy(m, cats, category)
	if err != nil {
		return nil, err
	}
	for j, n := range p.met {
		if err := columns[j].check("column", j); n > 0 && err != nil {
			return nil, err
		}
	}
	return p, nil
}

// graded returns the columns of those parameters.
func graded(params []Param) []Graded {
	out := make([]Graded, 0, len(params))
	for _, p := range params {
		out = append(out, p.Graded())
	}
	return slices.Clip(out)
}
