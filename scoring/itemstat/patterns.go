package itemstat

import (
	"cmp"
	"slices"
)

// state is a column met, and the category of the answer: 1 right, 0 wrong, or a
// step of part marks.
type state struct{ column, category int32 }

// patterns are answers with equal rows put together, in an order in which
// neighbours share most of what is computed for them. Columns are packed into
// blocks; a row is a list of entries, one for each block of which it met a
// column, and what an entry contributes is worked out once and not once for each
// person.
type patterns struct {
	columns int
	cats    []int     // categories by column, 2 where right or wrong
	states  [][]state // of each entry
	entries []int32   // the rows of all patterns, one after the other
	start   []int     // pattern i's row begins at start[i]
	shared  []int     // leading entries that pattern i has in common with the one before it
	weight  []float64
	people  int
	met     []int   // people by column
	count   [][]int // and by category
}

// group puts together rows of right and wrong. It refuses part marks and a
// matrix without answers.
func group(m *Matrix) (*patterns, error) {
	if !m.binary {
		return nil, refuse(NotBinary, "measurement model")
	}
	cats, category := make([]int, m.columns), make([]uint8, len(m.mark))
	for j := range cats {
		cats[j] = 2
	}
	for i, x := range m.mark {
		category[i] = uint8(x)
	}
	return groupBy(m, cats, category)
}

// groupBy puts together rows whose marks are in categories: category[i] is that
// of m's i-th cell, below the number of its column.
func groupBy(m *Matrix, cats []int, category []uint8) (*patterns, error) {
	if m.people == 0 {
		return nil, refuse(Empty, "measurement model")
	}
	p := &patterns{columns: m.columns, cats: cats, people: m.people, met: make([]int, m.columns), count: make([][]int, m.columns)}
	for j, k := range cats {
		p.count[j] = make([]int, k)
	}
	for i := range m.count {
		for c := m.start[i]; c < m.start[i+1]; c++ {
			p.met[m.column[c]] += m.count[i]
			p.count[m.column[c]][category[c]] += m.count[i]
		}
	}
	l := newLayout(p)
	rows := l.rows(m, category)
	p.merge(rows)
	p.states = l.number(p.entries)
	return p, nil
}

// merge sorts the rows and puts equal ones together.
func (p *patterns) merge(rows []codedRow) {
	slices.SortFunc(rows, func(a, b codedRow) int {
		if c := cmp.Compare(a.first, b.first); c != 0 {
			return c
		}
		return slices.Compare(a.entries, b.entries)
	})
	p.start = []int{0}
	var last []int32
	for _, r := range rows {
		if n := len(p.weight); n > 0 && slices.Equal(r.entries, last) {
			p.weight[n-1] += r.weight
			continue
		}
		shared := 0
		for shared < min(len(last), len(r.entries)) && last[shared] == r.entries[shared] {
			shared++
		}
		p.shared = append(p.shared, shared)
		p.entries = append(p.entries, r.entries...)
		p.start = append(p.start, len(p.entries))
		p.weight = append(p.weight, r.weight)
		last = r.entries
	}
}

// row returns the entries of pattern i.
func (p *patterns) row(i int) []int32 { return p.entries[p.start[i]:p.start[i+1]] }

// each calls f with every column that pattern i met and the category of the answer.
func (p *patterns) each(i int, f func(column, category int)) {
	for _, e := range p.row(i) {
		for _, s := range p.states[e] {
			f(int(s.column), int(s.category))
		}
	}
}

// right is the number of people right on a column of right and wrong.
func (p *patterns) right(j int) int { return p.count[j][1] }
