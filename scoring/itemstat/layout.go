package itemstat

import (
	"cmp"
	"math"
	"slices"
)

// mostCodes bounds the codes of a block, so that what they contribute at the
// nodes stays in the processor's cache; a code fits a byte.
const mostCodes = 256

// layout packs columns into blocks. A block's code has one digit for each of its
// columns: the category, and where not everybody met the column one more, 0, for
// not met. Columns that say least come first: then many rows begin alike.
type layout struct {
	slots  []slot // by column
	blocks [][]int
	cats   []int
}

// slot is a column's place: its block and what its digit is multiplied with there.
type slot struct {
	block       int
	power, skip int32 // skip is 1 where the digit 0 stands for not met
}

func newLayout(p *patterns) *layout {
	l := &layout{slots: make([]slot, p.columns), cats: p.cats}
	order, bits := make([]int, p.columns), make([]float64, p.columns)
	for j := range order {
		order[j] = j
		bits[j] = entropy(p.people, append([]int{p.people - p.met[j]}, p.count[j]...))
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(bits[a], bits[b]) })
	power := 1
	for _, j := range order {
		skip := 0
		if p.met[j] < p.people {
			skip = 1
		}
		radix := p.cats[j] + skip
		if len(l.blocks) == 0 || power*radix > mostCodes {
			power = 1
			l.blocks = append(l.blocks, nil)
		}
		b := len(l.blocks) - 1
		l.slots[j] = slot{b, int32(power), int32(skip)}
		l.blocks[b] = append(l.blocks[b], j)
		power *= radix
	}
	return l
}

// entropy of people in parts.
func entropy(people int, parts []int) float64 {
	sum := 0.0
	for _, n := range parts {
		if n > 0 {
			share := float64(n) / float64(people)
			sum -= share * math.Log(share)
		}
	}
	return sum
}

// codedRows are the rows of a matrix as entries block·mostCodes + code.
type codedRows struct {
	entries []int32
	start   []int
	weight  []float64
	order   []rowKey
}

// rowKey is a row and its first eight codes in one word: most comparisons need no more.
type rowKey struct {
	codes uint64
	row   int32
}

func (r *codedRows) row(i int32) []int32 { return r.entries[r.start[i]:r.start[i+1]] }

// rows codes the rows of m that have cells.
func (l *layout) rows(m *Matrix, category []uint8) *codedRows {
	code, touched := make([]int32, len(l.blocks)), make([]bool, len(l.blocks))
	out := &codedRows{entries: make([]int32, 0, len(m.count)*min(len(l.blocks), 16)), start: make([]int, 1, len(m.count)+1)}
	for i, count := range m.count {
		if m.start[i] == m.start[i+1] {
			continue
		}
		for c := m.start[i]; c < m.start[i+1]; c++ {
			s := &l.slots[m.column[c]]
			code[s.block] += (int32(category[c]) + s.skip) * s.power
			touched[s.block] = true
		}
		key := uint64(0)
		for b := range code {
			if b < 8 {
				key = key<<8 | uint64(code[b])
			}
			if touched[b] {
				out.entries = append(out.entries, int32(b*mostCodes)+code[b])
				code[b], touched[b] = 0, false
			}
		}
		out.order = append(out.order, rowKey{key, int32(len(out.weight))})
		out.start = append(out.start, len(out.entries))
		out.weight = append(out.weight, float64(count))
	}
	return out
}

// sort brings equal rows together, and rows that begin alike near each other.
func (r *codedRows) sort() {
	slices.SortFunc(r.order, func(a, b rowKey) int {
		switch {
		case a.codes < b.codes:
			return -1
		case a.codes > b.codes:
			return 1
		}
		return slices.Compare(r.row(a.row), r.row(b.row))
	})
}

// number gives the entries that occur numbers from 0, in place, and returns the
// states of each.
func (l *layout) number(entries []int32) [][]state {
	place := make([]int32, len(l.blocks)*mostCodes)
	var states [][]state
	for i, e := range entries {
		if place[e] == 0 {
			states = append(states, l.decode(int(e)))
			place[e] = int32(len(states))
		}
		entries[i] = place[e] - 1
	}
	return states
}

func (l *layout) decode(entry int) []state {
	var out []state
	code := int32(entry % mostCodes)
	for _, j := range l.blocks[entry/mostCodes] {
		s := l.slots[j]
		radix := int32(l.cats[j]) + s.skip
		if digit := code/s.power%radix - s.skip; digit >= 0 {
			out = append(out, state{int32(j), digit})
		}
	}
	return out
}
