package itemhealth

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"

	"soloright/scoring/itemstat"
)

// Design says what is known of a procedure beside its answers.
type Design struct {
	Revisions []string          // in the order in which they came into force
	Current   map[string]string // what each fact states today; a fact that is not here is stated no more
	Cut       float64           // the cut score that decides now, 0 to 1
}

// Study gathers the answers on one procedure. It keeps one answer of each person
// and family. It is not safe to add to it while another goroutine uses it.
type Study struct {
	design   Design
	place    map[string]int // of a revision in the design
	person   map[string]int
	people   []string
	crew     []string // of each person, as last heard
	columns  []*column
	byKey    map[key]*column
	answers  int
	sittings [][]float64
}

type key struct {
	Family
	value string
}

// column is a family while its fact stated one thing.
type column struct {
	key
	first   map[int]meeting // by person
	every   []given
	items   map[string]*sum
	answers int
}

// given is one answer of a person, as far as every answer is asked about.
type given struct {
	person int
	mark   float64
	right  bool
}

// meeting is the first time that a person met a family.
type meeting struct {
	at       time.Time
	revision int
	mark     float64
	right    bool
	blank    bool
	seconds  float64
	options  []Option
	said     []string
}

// NewStudy returns a study without answers.
func NewStudy(d Design) *Study {
	s := &Study{design: d, place: map[string]int{}, person: map[string]int{}, byKey: map[key]*column{}}
	for i, r := range d.Revisions {
		s.place[r] = i
	}
	return s
}

// settle puts the answers in an order that does not depend on how they came.
func (c *column) settle() {
	slices.SortFunc(c.every, func(a, b given) int {
		return cmp.Or(cmp.Compare(a.person, b.person), cmp.Compare(a.mark, b.mark), cmp.Compare(asInt(a.right), asInt(b.right)))
	})
}

// Add takes in one answer, in any order. Of two by one person to one family the
// earlier one counts, of two at one instant the first that was added. The error is
// a mark or a time that is none, or a revision that the design does not know; then
// nothing is taken in.
func (s *Study) Add(r Response) error {
	place, known := s.place[r.Revision]
	switch {
	case math.IsNaN(r.Mark) || r.Mark < 0 || r.Mark > 1:
		return fmt.Errorf("take in an answer to %s on %s: the mark is %v", r.Model, r.Lead, r.Mark)
	case math.IsNaN(r.Seconds) || math.IsInf(r.Seconds, 0) || r.Seconds < 0:
		return fmt.Errorf("take in an answer to %s on %s: the time is %v s", r.Model, r.Lead, r.Seconds)
	case !known:
		return fmt.Errorf("take in an answer to %s on %s: there is no revision %q", r.Model, r.Lead, r.Revision)
	}
	p, met := s.person[r.Person]
	if !met {
		p = len(s.people)
		s.person[r.Person] = p
		s.people, s.crew = append(s.people, r.Person), append(s.crew, "")
	}
	s.crew[p] = r.Crew
	c := s.column(key{r.Family, r.Value})
	s.answers++
	c.answers++
	c.every = append(c.every, given{p, r.Mark, r.Right})
	c.concrete(r.Item, r.Mark)
	if was, met := c.first[p]; !met || r.At.Before(was.at) {
		c.first[p] = meeting{r.At, place, r.Mark, r.Right, r.Blank, r.Seconds, r.Options, r.Said}
	}
	return nil
}

func (s *Study) column(k key) *column {
	c := s.byKey[k]
	if c == nil {
		c = &column{key: k, first: map[int]meeting{}, items: map[string]*sum{}}
		s.byKey[k] = c
		s.columns = append(s.columns, c)
	}
	return c
}

// Sitting takes in the marks of one qualifying sitting, for the dependability of
// forms.
func (s *Study) Sitting(marks []float64) { s.sittings = append(s.sittings, marks) }

// inOrder returns the columns by fact, model and first revision, so that a report
// does not depend on the order of the answers.
func (s *Study) inOrder() []*column {
	out := slices.Clone(s.columns)
	slices.SortFunc(out, func(a, b *column) int {
		return cmp.Or(cmp.Compare(a.Lead, b.Lead), cmp.Compare(a.Model, b.Model), cmp.Compare(a.since(), b.since()), cmp.Compare(a.value, b.value))
	})
	return out
}

// concrete counts an answer to one item.
func (c *column) concrete(item string, mark float64) {
	if c.items[item] == nil {
		c.items[item] = &sum{}
	}
	c.items[item].x += mark
	c.items[item].n++
}

// since is the first revision on which the column was met.
func (c *column) since() int {
	least := math.MaxInt
	for _, m := range c.first {
		least = min(least, m.revision)
	}
	return least
}

// persons returns who met the column, in order.
func (c *column) persons() []int {
	out := make([]int, 0, len(c.first))
	for p := range c.first {
		out = append(out, p)
	}
	slices.Sort(out)
	return out
}

// matrix holds each person's first meetings.
func (s *Study) matrix(columns []*column) (*itemstat.Matrix, error) {
	m, err := itemstat.NewMatrix(len(columns))
	if err != nil {
		return nil, err
	}
	rows := make([][]itemstat.Cell, len(s.people))
	for j, c := range columns {
		for p, met := range c.first {
			rows[p] = append(rows[p], itemstat.Cell{Column: j, Mark: met.mark})
		}
	}
	for _, row := range rows {
		if err := m.Add(1, row...); err != nil {
			return nil, err
		}
	}
	return m, nil
}
