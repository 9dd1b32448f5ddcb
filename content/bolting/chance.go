package bolting

import "math/big"

// Chance returns the chance that a random permutation of the fasteners is right,
// exactly: num right sequences of den = N! in all, not reduced. A rule that cannot
// judge the pattern gives 0 of 1. Right sequences are counted by structure, not
// listed; the cost grows with N³ at most.
func Chance(p Pattern, r Rule) (num, den *big.Int) {
	j, err := bind(p, r)
	if err != nil {
		return new(big.Int), big.NewInt(1)
	}
	num, starts := j.count()
	if p.StartAt > 0 {
		num.Quo(num, big.NewInt(int64(starts)))
	}
	return num, factorial(p.Count)
}

// count: any fastener first, then either way round.
func (c oddCircle) count() (all *big.Int, starts int) { return big.NewInt(2 * int64(c.n)), c.n }

// count: any fastener first, then either way round; the ways are one for two or fewer.
func (c circular) count() (all *big.Int, starts int) {
	n := len(c.spot)
	if n > 2 {
		return big.NewInt(2 * int64(n)), n
	}
	return big.NewInt(int64(n)), n
}

// count: the different forms; with a pinned start there is one.
func (t table) count() (all *big.Int, starts int) {
	var different [][]int
	for _, f := range t.forms {
		different = addNew(different, f)
	}
	return big.NewInt(int64(len(different))), 1
}

// count: the pairs of a ring in any order, each from either end, ring by ring.
func (o pairs) count() (all *big.Int, starts int) {
	points := map[int]int{}
	for _, r := range o.g.ring {
		points[r]++
	}
	all = big.NewInt(1)
	for _, n := range points {
		all.Mul(all, factorial(n/2))
		all.Lsh(all, uint(n/2))
	}
	return all, points[0]
}

// count counts the orders of the groups, and for each the orders within them.
//
// A group can be taken in 8 ways as two pairs, in 2 as one. Clause (c) lets a
// neighbour follow only when nothing but neighbours of the last group is left, so
// only at the end; there clause (d) takes away the ways that begin beside the last
// fastener: a quarter of them, or half.
func (c evenCircle) count() (all *big.Int, starts int) {
	free, beside := int64(8), int64(6)
	if c.size == 2 {
		free, beside = 2, 1
	}
	switch k := c.groups; k {
	case 1:
		return big.NewInt(free), c.n
	case 2: // a group stands on both sides of the other, so that half of its ways begin beside
		return big.NewInt(2 * free * free / 2), c.n
	case 3: // all groups are neighbours
		return big.NewInt(6 * free * beside * beside), c.n
	default:
		all = scattered(k)
		all.Mul(all, power(free, k))
		end := endsBeside(k)
		end.Mul(end, power(free, k-1))
		return all.Add(all, end.Mul(end, big.NewInt(beside))), c.n
	}
}
