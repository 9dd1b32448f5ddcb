package bolting

import "math/big"

// The numbers of orders of groups in which none follows its neighbour, by inclusion
// and exclusion over the neighbourhoods that are kept: j of them kept together, in b
// runs, leave k − j blocks to order, and each run can be laid either way.

// scattered is that number for k groups on a circle, k ≥ 4. There are
// k/b · C(j−1, b−1) · C(k−j−1, b−1) ways to choose j of the k neighbourhoods in b runs.
func scattered(k int) *big.Int {
	return withoutNeighbours(k, func(j, b int) *big.Int {
		ways := new(big.Int).Mul(binomial(j-1, b-1), binomial(k-j-1, b-1))
		ways.Mul(ways, big.NewInt(int64(k)))
		return ways.Quo(ways, big.NewInt(int64(b)))
	})
}

// row is that number for m groups in a row (1, 1, 0, 0, 2, 14, 90: OEIS A002464).
// There are C(j−1, b−1) · C(m−j, b) ways to choose j of the m − 1 neighbourhoods in
// b runs.
func row(m int) *big.Int {
	return withoutNeighbours(m, func(j, b int) *big.Int {
		return new(big.Int).Mul(binomial(j-1, b-1), binomial(m-j, b))
	})
}

func withoutNeighbours(k int, choices func(j, b int) *big.Int) *big.Int {
	sum := factorial(k)
	for j := 1; j < k; j++ {
		laid := new(big.Int)
		for b := 1; b <= min(j, k-j); b++ {
			ways := choices(j, b)
			laid.Add(laid, ways.Lsh(ways, uint(b)))
		}
		laid.Mul(laid, factorial(k-j))
		if j%2 == 1 {
			laid.Neg(laid)
		}
		sum.Add(sum, laid)
	}
	return sum
}

// rowToEnd is row for the orders that end with one given end of the row: the others
// are a row that must not end with its end beside that one.
func rowToEnd(m int) *big.Int {
	if m < 1 {
		return new(big.Int)
	}
	n := row(m - 1)
	return n.Sub(n, rowToEnd(m-1))
}

// endsBeside is the number of orders of k groups on a circle, k ≥ 4, with just one
// step to a neighbour, where clause (c) allows it: the last step, or the last but
// one when both neighbours of a group are left.
//
// Last step, from x to its neighbour u: 2k such pairs; before them the k − 2 others,
// a row, in an order that does not end beside x. Last but one: 2k choices of x and
// of the side; before them the k − 3 others, a row, none of them beside x.
func endsBeside(k int) *big.Int {
	n := new(big.Int).Sub(row(k-2), rowToEnd(k-2))
	n.Add(n, row(k-3))
	return n.Mul(n, big.NewInt(int64(2*k)))
}

func factorial(n int) *big.Int { return new(big.Int).MulRange(1, int64(n)) }

func binomial(n, k int) *big.Int { return new(big.Int).Binomial(int64(n), int64(k)) }

func power(base int64, n int) *big.Int {
	return new(big.Int).Exp(big.NewInt(base), big.NewInt(int64(n)), nil)
}
