package bolting

import "math/big"

// Chance returns the chance that a random permutation of the fasteners is right,
// exactly: num right sequences of den = N! in all, not reduced. A rule that cannot
// judge the pattern gives 0 of 1.
func Chance(p Pattern, r Rule) (num, den *big.Int) {
	j, err := bind(p, r)
	if err != nil {
		return new(big.Int), big.NewInt(1)
	}
	return count(p, j), factorial(p.Count)
}

// count counts right sequences by structure, without listing them.
func count(p Pattern, j judge) *big.Int {
	var all *big.Int
	starts := p.Count // how many fasteners may come first, all alike
	switch j := j.(type) {
	case evenCircle:
		all = j.count()
	case oddCircle:
		all = big.NewInt(2 * int64(j.n)) // any start, either way
	case circular:
		all = big.NewInt(j.count())
	case pairs:
		all, starts = j.count()
	case table:
		return big.NewInt(int64(len(distinct(j.forms))))
	}
	if p.StartAt > 0 {
		all.Quo(all, big.NewInt(int64(starts)))
	}
	return all
}

func distinct(forms [][]int) [][]int {
	var all [][]int
	for _, f := range forms {
		all = addNew(all, f)
	}
	return all
}

func (c circular) count() int64 {
	if n := int64(len(c.spot)); n > 2 {
		return 2 * n
	} else {
		return n
	}
}

// count: the pairs of a ring in any order, each from either end, ring by ring.
func (o pairs) count() (all *big.Int, starts int) {
	rings := map[int]int64{}
	for _, r := range o.g.ring {
		rings[r]++
	}
	all = big.NewInt(1)
	for _, points := range rings {
		all.Mul(all, factorial(int(points/2)))
		all.Lsh(all, uint(points/2))
	}
	return all, int(rings[0])
}

// count counts the orders of the groups, and for each the orders within them.
//
// A group can be taken in 8 ways as two pairs, in 2 as one. Clause (c) lets a
// neighbour follow only when nothing but neighbours of the last group is left, so
// only at the end; there clause (d) takes away the ways that begin beside the last
// fastener: a quarter of them, or half.
func (c evenCircle) count() *big.Int {
	free, beside := int64(8), int64(6)
	if c.size == 2 {
		free, beside = 2, 1
	}
	k := c.groups
	switch k {
	case 1:
		return big.NewInt(free)
	case 2: // a group stands on both sides of the other
		return big.NewInt(2 * free * free / 2)
	case 3: // all groups are neighbours
		return big.NewInt(6 * free * beside * beside)
	}
	apartAll := scattered(k)
	atEnd := endsBeside(k)
	all := apartAll.Mul(apartAll, power(free, k))
	return all.Add(all, atEnd.Mul(atEnd, power(free, k-1)).Mul(atEnd, big.NewInt(beside)))
}

// scattered is the number of orders of k groups on a circle, k ≥ 4, in which no
// group follows its neighbour: by inclusion and exclusion over the j neighbourhoods
// that are broken, in b runs.
func scattered(k int) *big.Int {
	sum := factorial(k)
	for j := 1; j < k; j++ {
		ways := new(big.Int)
		for b := 1; b <= min(j, k-j); b++ {
			runs := new(big.Int).Mul(binomial(j-1, b-1), binomial(k-j-1, b-1))
			runs.Mul(runs, big.NewInt(int64(k))).Quo(runs, big.NewInt(int64(b)))
			ways.Add(ways, runs.Lsh(runs, uint(b)))
		}
		ways.Mul(ways, factorial(k-j))
		if j%2 == 1 {
			ways.Neg(ways)
		}
		sum.Add(sum, ways)
	}
	return sum
}

// endsBeside is the number of orders of k groups on a circle, k ≥ 4, with just one
// step to a neighbour, where clause (c) allows it: the last step, or the last but
// one when both neighbours of a group are left.
//
// Last step from group x to its neighbour u: 2k such pairs, and before them the
// k − 2 others, a row, with no neighbours in sequence and not ending beside x.
// Last but one: 2k choices of x and the side, and before them the k − 3 others, a
// row, none of them beside x.
func endsBeside(k int) *big.Int {
	n := new(big.Int).Sub(row(k-2), rowToEnd(k-2))
	n.Add(n, row(k-3))
	return n.Mul(n, big.NewInt(int64(2*k)))
}

// row is the number of orders of m groups in a row in which none follows its neighbour.
func row(m int) *big.Int {
	sum := factorial(m)
	for j := 1; j < m; j++ {
		ways := new(big.Int)
		for b := 1; b <= min(j, m-j); b++ {
			runs := new(big.Int).Mul(binomial(j-1, b-1), binomial(m-j, b))
			ways.Add(ways, runs.Lsh(runs, uint(b)))
		}
		ways.Mul(ways, factorial(m-j))
		if j%2 == 1 {
			ways.Neg(ways)
		}
		sum.Add(sum, ways)
	}
	return sum
}

// rowToEnd is row for orders that end with one given end of the row.
func rowToEnd(m int) *big.Int {
	if m < 1 {
		return new(big.Int)
	}
	n := row(m - 1)
	return n.Sub(n, rowToEnd(m-1))
}

func factorial(n int) *big.Int { return new(big.Int).MulRange(1, int64(n)) }

func binomial(n, k int) *big.Int { return new(big.Int).Binomial(int64(n), int64(k)) }

func power(base int64, n int) *big.Int {
	return new(big.Int).Exp(big.NewInt(base), big.NewInt(int64(n)), nil)
}
