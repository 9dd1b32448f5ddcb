package itemstat

import (
	"math"
	"slices"
)

// NeedItems is how many items of a family have to be met by two people or more
// before their spread is given.
const NeedItems = 5

// Family is how the concrete items of one column, which share its parameters,
// differ in difficulty.
type Family struct {
	// SD is the standard deviation of the items' difficulties about the family's, in
	// logits, with the interval of its restricted likelihood, from 0 up. N counts the
	// items that two people or more met, from [NeedItems]; below [NeedRasch] answers it
	// counts answers. [Unbounded] where the interval has no end below [MaxSpread].
	SD    Figure
	Items []ItemEffect // in the order of their numbers
}

// ItemEffect is how much harder than its family an item is.
type ItemEffect struct {
	Item int
	// Harder is in logits, negative where easier: the posterior mean with the
	// interval of the posterior standard deviation, the spread being uncertain too, so it
	// is drawn to 0 where few have met the item. N counts answers.
	Harder Figure
}

// MaxSpread is the largest spread looked for: beyond it items are no family.
const MaxSpread = 2.0

// FamilySpread estimates the spread of the items of column family, where item[i]
// tells which of them row i of m met (any number; ignored where the row did not meet
// the column). An item's difficulty is the family's plus a normal effect; the spread is the one of
// restricted maximum likelihood, the family's place free, the other parameters as given. A
// person's ability is what his answers to the other columns say of it, over a
// standard normal prior, so that the family does not judge itself.
//
// The error is a [*RefusedError]: nobody, parameters that cannot be used, item or columns of
// another length than m has. It costs 40 000 multiplications for each answer.
func FamilySpread(m *Matrix, columns []Graded, family int, item []int) (Family, error) {
	if family < 0 || family >= m.columns || len(item) != len(m.count) {
		return Family{}, refuse(OutOfRange, "column %d of %d, items of %d rows of %d", family, m.columns, len(item), len(m.count))
	}
	if _, err := placed(m, columns); err != nil {
		return Family{}, err
	}
	f := newFamilyFit(m, columns, family, item)
	if len(f.items) == 0 {
		return Family{}, refuse(Empty, "column %d", family)
	}
	repeated, answers := 0, 0
	for _, it := range f.items {
		answers += it.answers
		if it.answers > 1 {
			repeated++
		}
	}
	wait := notYet(repeated, NeedItems)
	if answers < NeedRasch {
		wait = notYet(answers, NeedRasch)
	}
	if answers < NeedRasch || repeated < NeedItems {
		out := Family{SD: wait}
		for _, it := range f.items {
			out.Items = append(out.Items, ItemEffect{it.number, Figure{N: it.answers, NotYet: TooFew, Need: wait.Need}})
		}
		return out, nil
	}
	return f.report(repeated), nil
}

// Shifts of an item's difficulty at which the likelihood is tabulated.
const (
	shiftWidth = 0.05
	shiftEnd   = 8.0
	shifts     = 2*int(shiftEnd/shiftWidth) + 1
)

func shiftAt(i int) float64 { return -shiftEnd + shiftWidth*float64(i) }

// familyItem is the likelihood of the answers to one item by shift, its largest value 1.
type familyItem struct {
	number, answers int
	like            []float64
}

type familyFit struct{ items []*familyItem }

func newFamilyFit(m *Matrix, columns []Graded, family int, item []int) *familyFit {
	a := newAbilities(columns, 121) // their nodes are two shifts apart
	byNumber := map[int]*familyItem{}
	f := &familyFit{}
	answer := a.shifted(columns[family])
	for i, count := range m.count {
		cols, marks, _ := m.row(i)
		c := slices.Index(cols, int32(family))
		if c < 0 {
			continue
		}
		it := byNumber[item[i]]
		if it == nil {
			it = &familyItem{number: item[i], like: make([]float64, shifts)}
			byNumber[item[i]] = it
			f.items = append(f.items, it)
		}
		it.answers += count
		posterior := a.posterior(cols, marks, c)
		chance := answer[columns[family].Category(marks[c])]
		for s := range it.like { // log-likelihoods, until all are in
			sum := 0.0
			for q, p := range posterior {
				sum += p * chance[2*q-s+shifts-1]
			}
			it.like[s] += float64(count) * math.Log(max(sum, 1e-300))
		}
	}
	for _, it := range f.items {
		top := slices.Max(it.like)
		for s, l := range it.like {
			it.like[s] = math.Exp(l - top)
		}
	}
	slices.SortFunc(f.items, func(a, b *familyItem) int { return a.number - b.number })
	return f
}

// abilities holds the logarithms of the chances of every column's categories at the nodes.
type abilities struct {
	columns []Graded
	q       quadrature
	log     [][]float64 // by column: category and node
}

func newAbilities(columns []Graded, nodes int) *abilities {
	a := &abilities{columns: columns, q: newQuadrature(nodes), log: make([][]float64, len(columns))}
	for j, g := range columns {
		r := reply{slope: g.Slope, steps: g.Steps}
		for r.category = range len(g.Steps) + 1 {
			for _, theta := range a.q.node {
				a.log[j] = append(a.log[j], r.log(theta))
			}
		}
	}
	return a
}

// posterior is that of a person's ability from all answers but the one left out.
func (a *abilities) posterior(cols []int32, marks []float64, without int) []float64 {
	n := len(a.q.node)
	out := make([]float64, n)
	for q, w := range a.q.weight {
		out[q] = math.Log(w)
	}
	for c, j := range cols {
		if c != without {
			addTo(out, a.log[j][a.columns[j].Category(marks[c])*n:][:n])
		}
	}
	top, sum := slices.Max(out), 0.0
	for q, l := range out {
		out[q] = math.Exp(l - top)
		sum += out[q]
	}
	for q := range out {
		out[q] /= sum
	}
	return out
}

// shifted is the chance of each category where θ less the shift is so many steps
// of shiftWidth from −6 − shiftEnd.
func (a *abilities) shifted(g Graded) [][]float64 {
	out := make([][]float64, len(g.Steps)+1)
	for i := range 2*(len(a.q.node)-1) + shifts {
		for k, p := range g.Chances(a.q.node[0] - shiftEnd + shiftWidth*float64(i)) {
			out[k] = append(out[k], p)
		}
	}
	return out
}
