package itemstat

import "slices"

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
	p.tally(m, category)
	l := newLayout(p)
	p.merge(l.rows(m, category))
	p.states = l.number(p.entries)
	return p, nil
}

// tally counts people by column and category.
func (p *patterns) tally(m *Matrix, category []uint8) {
	width := slices.Max(p.cats)
	flat := make([]int, p.columns*width)
	for i, count := range m.count {
		for c := m.start[i]; c < m.start[i+1]; c++ {
			flat[int(m.column[c])*width+int(category[c])] += count
		}
	}
	for j, count := range p.count {
		copy(count, flat[j*width:])
		for _, n := range count {
			p.met[j] += n
		}
	}
}

// merge sorts the rows and puts equal ones together.
func (p *patterns) merge(rows *codedRows) {
	rows.sort()
	p.start = make([]int, 1, len(rows.order)+1)
	p.entries = make([]int32, 0, len(rows.entries))
	p.shared, p.weight = make([]int, 0, len(rows.order)), make([]float64, 0, len(rows.order))
	for i, k := range rows.order {
		n, entries := len(p.weight), rows.row(k.row)
		if i > 0 && k.codes == rows.order[i-1].codes && slices.Equal(entries, p.row(n-1)) {
			p.weight[n-1] += rows.weight[k.row]
		} else {
			p.add(entries, rows.weight[k.row])
		}
	}
}

// add puts a row at the end.
func (p *patterns) add(entries []int32, weight float64) {
	shared := 0
	if n := len(p.weight); n > 0 {
		last := p.row(n - 1)
		for shared < min(len(last), len(entries)) && last[shared] == entries[shared] {
			shared++
		}
	}
	p.shared = append(p.shared, shared)
	p.entries = append(p.entries, entries...)
	p.start = append(p.start, len(p.entries))
	p.weight = append(p.weight, weight)
}

// sample returns every so many-th pattern, enough to come near that many parameters; nil where
// that would spare little or leave some category to fewer than twenty people.
func (p *patterns) sample(parameters int) *patterns {
	stride := len(p.weight) / max(4000, 50*parameters)
	if stride < 4 {
		return nil
	}
	out := &patterns{columns: p.columns, cats: p.cats, states: p.states, start: []int{0}, met: make([]int, p.columns), count: make([][]int, p.columns)}
	for j, k := range p.cats {
		out.count[j] = make([]int, k)
	}
	for i := stride / 2; i < len(p.weight); i += stride {
		out.add(p.row(i), p.weight[i])
		out.people += int(p.weight[i])
		p.each(i, func(j, category int) {
			out.met[j] += int(p.weight[i])
			out.count[j][category] += int(p.weight[i])
		})
	}
	for _, count := range out.count {
		if slices.Min(count) < 20 {
			return nil
		}
	}
	return out
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
