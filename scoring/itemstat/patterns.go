package itemstat

import (
	"math/bits"
	"slices"
	"strings"
)

// codeWidth columns go into one byte, each a digit of base 3: 0 not met, 1
// wrong, 2 right. 3⁵ = 243 codes, so what a byte contributes is worked out once
// for each code instead of once for each person.
const codeWidth = 5

var codePower = [codeWidth]uint8{1, 3, 9, 27, 81}

func codeDigit(code uint8, place int) uint8 { return code / codePower[place] % 3 }

// patterns are right-or-wrong answers with equal rows put together, in the order
// of their codes so that neighbours share most of what is computed for them.
type patterns struct {
	columns, blocks int
	code            []uint8 // blocks for each pattern
	weight          []float64
	people          int
	met, right      []int // people by column
}

// group refuses part marks and a matrix without answers.
func group(m *Matrix) (*patterns, error) {
	if !m.binary {
		return nil, refuse(NotBinary, "measurement model")
	}
	if m.people == 0 {
		return nil, refuse(Empty, "measurement model")
	}
	p := &patterns{columns: m.columns, blocks: (m.columns + codeWidth - 1) / codeWidth, people: m.people,
		met: make([]int, m.columns), right: make([]int, m.columns)}
	counts := map[string]int{}
	key := make([]byte, p.blocks)
	for i := range m.count {
		cols, marks, count := m.row(i)
		if len(cols) == 0 {
			continue
		}
		clear(key)
		for c, col := range cols {
			key[col/codeWidth] += codePower[col%codeWidth] * uint8(1+marks[c])
			p.met[col] += count
			p.right[col] += count * int(marks[c])
		}
		counts[string(key)] += count
	}
	p.fill(counts)
	return p, nil
}

func (p *patterns) fill(counts map[string]int) {
	keys := make([]string, 0, len(counts))
	for k := range counts {
		keys = append(keys, k)
	}
	slices.SortFunc(keys, strings.Compare)
	p.code = make([]uint8, 0, len(keys)*p.blocks)
	for _, k := range keys {
		p.code = append(p.code, k...)
		p.weight = append(p.weight, float64(counts[k]))
	}
}

func (p *patterns) row(i int) []uint8 { return p.code[i*p.blocks : (i+1)*p.blocks] }

// each calls f with every column that pattern i met, in order.
func (p *patterns) each(i int, f func(column int, right bool)) {
	for b, code := range p.row(i) {
		for place := 0; code > 0; place++ {
			if d := code % 3; d > 0 {
				f(b*codeWidth+place, d == 2)
			}
			code /= 3
		}
	}
}

// estimable refuses a column that nobody met or that everybody has the same, and
// a design whose columns no person links.
func (p *patterns) estimable() error {
	for j := range p.met {
		switch {
		case p.met[j] == 0:
			return refuse(Empty, "column %d", j)
		case p.right[j] == 0 || p.right[j] == p.met[j]:
			return refuse(Constant, "column %d", j)
		}
	}
	links := newBitGraph(p.columns)
	for i := range p.weight {
		first := -1
		p.each(i, func(j int, _ bool) {
			if first >= 0 {
				links.add(first, j)
				links.add(j, first)
			} else {
				first = j
			}
		})
	}
	if j := links.unreached(0); j >= 0 {
		return refuse(Disconnected, "columns 0 and %d", j)
	}
	return nil
}

// finiteRasch refuses data whose conditional likelihood has no highest point:
// there is one where, however the columns are parted in two, somebody has one
// right of the first part and one wrong of the second (Fischer 1981).
func (p *patterns) finiteRasch() error {
	beats, beaten := newBitGraph(p.columns), newBitGraph(p.columns)
	rights, wrongs := newBits(p.columns), newBits(p.columns)
	for i := range p.weight {
		clear(rights)
		clear(wrongs)
		p.each(i, func(j int, right bool) {
			if right {
				rights.set(j)
			} else {
				wrongs.set(j)
			}
		})
		rights.each(func(j int) { beats.addAll(j, wrongs) })
		wrongs.each(func(j int) { beaten.addAll(j, rights) })
	}
	for _, g := range []bitGraph{beats, beaten} {
		if j := g.unreached(0); j >= 0 {
			return refuse(Unbounded, "column %d against column 0", j)
		}
	}
	return nil
}

// bitset is a set of columns.
type bitset []uint64

func newBits(n int) bitset { return make(bitset, (n+63)/64) }

func (s bitset) set(j int)      { s[j/64] |= 1 << (j % 64) }
func (s bitset) has(j int) bool { return s[j/64]>>(j%64)&1 == 1 }

func (s bitset) each(f func(int)) {
	for w, word := range s {
		for ; word != 0; word &= word - 1 {
			f(w*64 + bits.TrailingZeros64(word))
		}
	}
}

// bitGraph holds, for each column, the columns that an arrow leads to.
type bitGraph []bitset

func newBitGraph(n int) bitGraph {
	g := make(bitGraph, n)
	for i := range g {
		g[i] = newBits(n)
	}
	return g
}

func (g bitGraph) add(from, to int) { g[from].set(to) }

func (g bitGraph) addAll(from int, to bitset) {
	for w, word := range to {
		g[from][w] |= word
	}
}

// unreached returns a column that no arrows lead to from the one given, or −1.
func (g bitGraph) unreached(from int) int {
	seen, queue := newBits(len(g)), []int{from}
	seen.set(from)
	for len(queue) > 0 {
		j := queue[len(queue)-1]
		queue = queue[:len(queue)-1]
		g[j].each(func(l int) {
			if !seen.has(l) {
				seen.set(l)
				queue = append(queue, l)
			}
		})
	}
	for j := range g {
		if !seen.has(j) {
			return j
		}
	}
	return -1
}
