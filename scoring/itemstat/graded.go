package itemstat

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// GradedOptions are [Options] and how marks become categories.
type GradedOptions struct {
	Options
	// Possible are the marks that each column can give, by column, where they are
	// known; without them it is the marks seen that count.
	Possible [][]float64
	// Least is how many people a category needs to stand alone; [NeedCategory].
	// With 1, only marks that nobody reached are put together with others.
	Least int
}

// GradedItem is what a fit says of one column with part marks.
type GradedItem struct {
	Categories []Category
	Collapsed  []Collapse
	Slope      Figure
	SlopeSE    Figure
	// Steps are where a category and the one below it are equally likely, from the
	// second category on. They need not ascend.
	Steps, StepSEs []Figure
	// Location is the mean of the steps: how hard the column is as a whole. Of right
	// or wrong it is the difficulty.
	Location, LocationSE Figure
}

// GradedFit is a fitted model of part marks.
type GradedFit struct {
	Items   []GradedItem
	Columns []Graded // the plain numbers of Items; set where Converged
	Course
}

// PartialCredit fits a model of part marks, such as those of orders and matches, by
// marginal maximum likelihood over a standard normal ability: the chances of
// category k and k − 1 are as exp(a(θ − b)) to 1, b the k-th step. With [Rasch],
// a = 1, it is the partial credit model (Masters 1982, Psychometrika 47,
// 149–174); with [CommonSlope] that model with abilities of any spread; with [TwoPL] the
// generalized one (Muraki 1992, Applied Psychological Measurement 16, 159–176).
// A column of right or wrong has one step, and is what it is to [Marginal];
// columns of both kinds may stand together, and rows may have met different ones.
//
// Each column's categories come from its marks as they are; what has too few
// people joins its neighbour, and Collapsed says so. Needs, errors and cost are
// those of Marginal; a column whose people all end in one category is refused, and one
// with more than [MaxCategories].
func PartialCredit(m *Matrix, o GradedOptions) (GradedFit, error) {
	checked, err := o.checked()
	if err != nil {
		return GradedFit{}, err
	}
	items, err := o.categories(m)
	if err != nil {
		return GradedFit{}, err
	}
	cats, category := assign(m, items)
	p, err := groupBy(m, cats, category)
	if err != nil {
		return GradedFit{}, err
	}
	if err := p.enough(o.Model); err != nil {
		return GradedFit{}, err
	}
	if err := p.estimable(); err != nil {
		return GradedFit{}, err
	}
	f := newMarginalFit(p, checked)
	return f.reportGraded(f.climb(), items), nil
}

// categories finds every column's.
func (o GradedOptions) categories(m *Matrix) ([]GradedItem, error) {
	least := o.Least
	if least == 0 {
		least = NeedCategory
	}
	if least < 0 {
		return nil, refuse(OutOfRange, "least %d", least)
	}
	if o.Possible != nil && len(o.Possible) != m.columns {
		return nil, refuse(OutOfRange, "possible marks of %d columns, not %d", len(o.Possible), m.columns)
	}
	seen := m.tally()
	items := make([]GradedItem, m.columns)
	for j := range items {
		marks := make([]tallied, 0, len(seen[j]))
		if o.Possible != nil {
			for _, x := range o.Possible[j] {
				if !finite(x) || x < 0 || x > 1 {
					return nil, refuse(OutOfRange, "column %d: possible mark %v", j, x)
				}
				marks = append(marks, tallied{x, 0})
			}
		}
		for x, n := range seen[j] {
			marks = append(marks, tallied{x, n})
		}
		items[j].Categories, items[j].Collapsed = categorize(marks, least)
		if n := len(items[j].Categories); n > MaxCategories {
			return nil, refuse(OutOfRange, "column %d: %d categories", j, n)
		}
	}
	return items, nil
}

// tally counts the people with each mark, by column.
func (m *Matrix) tally() []map[float64]int {
	out, ends := make([]map[float64]int, m.columns), make([][2]int, m.columns)
	for j := range out {
		out[j] = map[float64]int{}
	}
	for i, count := range m.count {
		cols, marks, _ := m.row(i)
		for c, x := range marks {
			if x == 0 || x == 1 { // by far the most
				ends[cols[c]][int(x)] += count
			} else {
				out[cols[c]][x] += count
			}
		}
	}
	for j, n := range ends {
		for x := range n {
			if n[x] > 0 {
				out[j][float64(x)] = n[x]
			}
		}
	}
	return out
}

// assign returns the number of categories by column and the category of each cell.
func assign(m *Matrix, items []GradedItem) (cats []int, category []uint8) {
	cats, category = make([]int, m.columns), make([]uint8, len(m.mark))
	known := make([]map[float64]uint8, m.columns)
	for j, it := range items {
		cats[j] = max(1, len(it.Categories))
		known[j] = map[float64]uint8{}
	}
	for i, x := range m.mark {
		j := m.column[i]
		k, ok := known[j][x]
		if !ok {
			k = uint8(categoryOf(items[j].Categories, x))
			known[j][x] = k
		}
		category[i] = k
	}
	return cats, category
}

func (f *marginalFit) reportGraded(end summit, items []GradedItem) GradedFit {
	course, cov := f.course(end)
	out := GradedFit{Items: items, Course: course}
	d := f.slopes
	for j := range items {
		steps := len(items[j].Categories) - 1
		slope := 1.0
		if at := f.slopeAt(j); at >= 0 {
			slope = end.x[at]
		}
		column := Graded{Slope: slope, Categories: slices.Clone(items[j].Categories)}
		for v := range steps {
			it := f.item(j, d+v, end.x, cov, course.Converged)
			items[j].Slope, items[j].SlopeSE = it.Slope, it.SlopeSE
			items[j].Steps, items[j].StepSEs = append(items[j].Steps, it.Difficulty), append(items[j].StepSEs, it.DifficultySE)
			column.Steps = append(column.Steps, -end.x[d+v]/slope)
		}
		items[j].Location, items[j].LocationSE = f.location(j, d, steps, end.x, cov, items[j].Steps)
		d += steps
		if course.Converged {
			out.Columns = append(out.Columns, column)
		}
	}
	return out
}

// location reports the mean of column j's steps, whose intercepts are parameters d and on.
func (f *marginalFit) location(j, d, steps int, x []float64, cov *mat.SymDense, each []Figure) (mean, se Figure) {
	for _, s := range each {
		if !s.Known() {
			return s, s
		}
	}
	a, at, n, k := 1.0, f.slopeAt(j), f.p.met[j], float64(steps)
	if at >= 0 {
		a = x[at]
	}
	b := 0.0
	for _, v := range x[d : d+steps] {
		b -= v / (a * k)
	}
	if cov == nil {
		return number(b, n), none(Empty, n)
	}
	// The delta method, as for one step, of −(mean intercept)/a.
	v := 0.0
	for i := d; i < d+steps; i++ {
		for l := d; l < d+steps; l++ {
			v += cov.At(i, l) / (k * k)
		}
		if at >= 0 {
			v += 2 * b * cov.At(i, at) / k
		}
	}
	if at >= 0 {
		v += b * b * cov.At(at, at)
	}
	e := math.Sqrt(max(0, v)) / math.Abs(a)
	return withSE(b, e, n), number(e, n)
}
