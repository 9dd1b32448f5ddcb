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
	block, power int
	skip         int // 1 where the digit 0 stands for not met
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
		l.slots[j] = slot{b, power, skip}
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

// codedRow is a row of a matrix as entries block·mostCodes + code, with its first
// two in one word for quick comparison.
type codedRow struct {
	first   uint64
	entries []int32
	weight  float64
}

// rows codes the rows of m that have cells.
func (l *layout) rows(m *Matrix, category []uint8) []codedRow {
	code, touched := make([]int32, len(l.blocks)), make([]bool, len(l.blocks))
	out := make([]codedRow, 0, len(m.count))
	arena := make([]int32, 0, len(m.count)*min(len(l.blocks), 16))
	for i, count := range m.count {
		if m.start[i] == m.start[i+1] {
			continue
		}
		for c := m.start[i]; c < m.start[i+1]; c++ {
			s := &l.slots[m.column[c]]
			code[s.block] += int32((int(category[c]) + s.skip) * s.power)
			touched[s.block] = true
		}
		from := len(arena)
		for b := range code {
			if touched[b] {
				arena = append(arena, int32(b*mostCodes)+code[b])
				code[b], touched[b] = 0, false
			}
		}
		r := codedRow{entries: arena[from:len(arena):len(arena)], weight: float64(count)}
		r.first = uint64(r.entries[0]) << 32
		if len(r.entries) > 1 {
			r.first |= uint64(r.entries[1])
		}
		out = append(out, r)
	}
	return out
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
	code := entry % mostCodes
	for _, j := range l.blocks[entry/mostCodes] {
		s := l.slots[j]
		radix := l.cats[j] + s.skip
		if digit := code/s.power%radix - s.skip; digit >= 0 {
			out = append(out, state{int32(j), int32(digit)})
		}
	}
	return out
}
