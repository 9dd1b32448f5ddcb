package itemstat

import (
	"encoding/binary"
	"math/bits"
	"slices"
)

// estimable refuses a column that nobody met or that everybody has the same, and
// a design whose columns no person links.
func (p *patterns) estimable() error {
	for j := range p.met {
		switch {
		case p.met[j] == 0:
			return refuse(Empty, "column %d", j)
		case slices.Max(p.count[j]) == p.met[j]:
			return refuse(Constant, "column %d", j)
		}
	}
	if j := p.apart(); j > 0 {
		return refuse(Disconnected, "columns 0 and %d", j)
	}
	return nil
}

// apart returns a column that no chain of people links to column 0, or 0. It
// looks no further than until all are linked, most often at one person.
func (p *patterns) apart() int {
	linked := make([]int, p.columns) // a tree for each linked set: where its root is
	for j := range linked {
		linked[j] = j
	}
	root := func(j int) int {
		for linked[j] != j {
			linked[j] = linked[linked[j]]
			j = linked[j]
		}
		return j
	}
	sets := p.columns
	for i := 0; i < len(p.weight) && sets > 1; i++ {
		first := -1
		p.each(i, func(j, _ int) {
			if first < 0 {
				first = j
			}
			if a, b := root(first), root(j); a != b {
				linked[b] = a
				sets--
			}
		})
	}
	for j := range p.columns {
		if root(j) != root(0) {
			return j
		}
	}
	return 0
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
		p.each(i, func(j, category int) {
			if category == 1 {
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

// appendTo appends a key for the set.
func (s bitset) appendTo(key []byte) []byte {
	for _, word := range s {
		key = binary.BigEndian.AppendUint64(key, word)
	}
	return key
}

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
