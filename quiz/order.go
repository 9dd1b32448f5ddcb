package quiz

import (
	"fmt"
	"math/big"
	"math/bits"
)

// Pair says that one thing comes before another; things are numbered from 0.
// Critical marks a pair whose violation is a critical miss.
type Pair struct {
	Before, After int
	Critical      bool
}

// Violations counts the pairs that an order violates: both things placed the
// wrong way about, or one of them not placed at all. With every pair of a total
// order it is the Kendall distance.
func Violations(pairs []Pair, order []int) int {
	n := 0
	at := places(order)
	for _, p := range pairs {
		if violated(p, at) {
			n++
		}
	}
	return n
}

// places gives, for each thing, 1 + its place in the order, or 0.
func places(order []int) []int {
	most := -1
	for _, e := range order {
		most = max(most, e)
	}
	at := make([]int, most+1)
	for i, e := range order {
		at[e] = i + 1
	}
	return at
}

func placeOf(at []int, e int) int {
	if e < len(at) {
		return at[e]
	}
	return 0
}

func violated(p Pair, at []int) bool {
	b, a := placeOf(at, p.Before), placeOf(at, p.After)
	return b == 0 || a == 0 || a < b
}

// Extensions counts the linear extensions of a partial order on n things, at
// most 64: the orders that violate no pair. It is 0 where the pairs go in a
// circle. The cost grows with the number of down-sets, at most 2^n.
func Extensions(n int, pairs []Pair) *big.Int {
	needs := make([]uint64, n)
	for _, p := range pairs {
		needs[p.After] |= 1 << p.Before
	}
	level := map[uint64]*big.Int{0: big.NewInt(1)}
	for range n {
		next := map[uint64]*big.Int{}
		for set, count := range level {
			for e := range n {
				if set>>e&1 == 1 || needs[e]&^set != 0 {
					continue
				}
				to := set | 1<<e
				if next[to] == nil {
					next[to] = new(big.Int)
				}
				next[to].Add(next[to], count)
			}
		}
		level = next
	}
	sum := new(big.Int)
	for _, count := range level {
		sum.Add(sum, count)
	}
	return sum
}

// The bounds of an [Ordering]: what fits exact counting in 64 bits and a short wait.
const (
	MaxThings = 16
	maxWays   = 720
)

// Ordering judges orders of a few things against a partial order in which some
// of the things are identical and so interchangeable. Safe for concurrent use.
type Ordering struct {
	n     int
	pairs []Pair
	alike [][]int
	ways  [][]int // each a way to read identical things for one another, the first as given; none where nothing is alike
}

// NewOrdering takes every pair of the transitive closure among n things, and the
// sets of identical things. It is an error where there are more than
// [MaxThings] things, a number is out of range or twice in alike, or identical
// things can be exchanged in more than 720 ways.
func NewOrdering(n int, pairs []Pair, alike [][]int) (*Ordering, error) {
	if n > MaxThings {
		return nil, fmt.Errorf("%d things to order, at most %d", n, MaxThings)
	}
	for _, p := range pairs {
		if p.Before < 0 || p.Before >= n || p.After < 0 || p.After >= n || p.Before == p.After {
			return nil, fmt.Errorf("no pair: %d before %d of %d things", p.Before, p.After, n)
		}
	}
	var seen uint
	total := 1
	for _, set := range alike {
		for i, e := range set {
			if e < 0 || e >= n || seen>>e&1 == 1 {
				return nil, fmt.Errorf("thing %d is not of the %d, or alike twice", e, n)
			}
			seen |= 1 << e
			if total *= i + 1; total > maxWays {
				return nil, fmt.Errorf("identical things can be exchanged in more than %d ways", maxWays)
			}
		}
	}
	o := &Ordering{n: n, pairs: pairs, alike: alike}
	if total > 1 {
		o.ways = exchanges(n, alike)
	}
	return o, nil
}

// exchanges lists every permutation of 0..n-1 that moves things only within
// their set of identical ones, the identity first.
func exchanges(n int, alike [][]int) [][]int {
	same := make([]int, n)
	for i := range same {
		same[i] = i
	}
	ways := [][]int{same}
	for _, set := range alike {
		var more [][]int
		for _, perm := range permutations(len(set)) {
			for _, w := range ways {
				x := append([]int(nil), w...)
				for i, e := range set {
					x[e] = w[set[perm[i]]]
				}
				more = append(more, x)
			}
		}
		ways = more
	}
	return ways
}

// permutations lists the permutations of 0..k-1 in lexicographic order.
func permutations(k int) [][]int {
	var out [][]int
	var grow func(head []int, used uint)
	grow = func(head []int, used uint) {
		if len(head) == k {
			out = append(out, append([]int(nil), head...))
			return
		}
		for e := range k {
			if used>>e&1 == 0 {
				grow(append(head, e), used|1<<e)
			}
		}
	}
	grow(make([]int, 0, k), 0)
	return out
}

// Read reads an order in the way that is best for whoever gave it: identical
// things are taken for one another so that the fewest pairs are violated, of
// several such ways the one with the fewest critical pairs violated, then the
// first. It returns the order so read and the violated pairs. Things may be
// missing from the order; each may stand in it once.
func (o *Ordering) Read(order []int) (read []int, violations []Pair) {
	if len(o.ways) == 0 {
		return order, violatedOf(o.pairs, order)
	}
	best := -1
	for _, w := range o.ways {
		x := make([]int, len(order))
		for i, e := range order {
			x[i] = w[e]
		}
		vs := violatedOf(o.pairs, x)
		cost := len(vs)<<16 + criticals(vs)
		if best < 0 || cost < best {
			best, read, violations = cost, x, vs
		}
		if best == 0 {
			break
		}
	}
	return read, violations
}

func violatedOf(pairs []Pair, order []int) []Pair {
	var out []Pair
	at := places(order)
	for _, p := range pairs {
		if violated(p, at) {
			out = append(out, p)
		}
	}
	return out
}

func criticals(ps []Pair) int {
	n := 0
	for _, p := range ps {
		if p.Critical {
			n++
		}
	}
	return n
}

// size returns the number of members of a set of bits.
func size(set uint) int { return bits.OnesCount(set) }
