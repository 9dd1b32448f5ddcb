package itemstat

// symmetricFunctions returns the elementary symmetric functions γ₀ … γₖ of eps
// and, for each i, those of the others. Every step adds and multiplies numbers
// that are not negative, so no digit cancels (dividing one factor out of γ, the
// quick way, loses all digits from some 30 items on). It costs k² log k.
func symmetricFunctions(eps []float64) (gamma []float64, without [][]float64) {
	t := newProductTree(eps)
	without = make([][]float64, len(eps))
	t.down(1, []float64{1}, without)
	return t.poly[1], without
}

// productTree holds ∏(1 + ε·x) over ever smaller parts of the columns: node 1 is all
// of them, nodes 2i and 2i+1 are the halves of node i.
type productTree struct {
	poly [][]float64
	at   []int // of a leaf: which column
}

func newProductTree(eps []float64) *productTree {
	t := &productTree{poly: make([][]float64, 4*len(eps)), at: make([]int, 4*len(eps))}
	t.up(1, 0, len(eps), eps)
	return t
}

func (t *productTree) up(node, lo, hi int, eps []float64) {
	if hi-lo == 1 {
		t.poly[node], t.at[node] = []float64{1, eps[lo]}, lo
		return
	}
	mid := (lo + hi) / 2
	t.up(2*node, lo, mid, eps)
	t.up(2*node+1, mid, hi, eps)
	t.poly[node] = product(t.poly[2*node], t.poly[2*node+1])
}

// down carries the product of everything outside a node down to its leaves.
func (t *productTree) down(node int, outside []float64, without [][]float64) {
	if len(t.poly[node]) == 2 {
		without[t.at[node]] = outside
		return
	}
	t.down(2*node, product(outside, t.poly[2*node+1]), without)
	t.down(2*node+1, product(outside, t.poly[2*node]), without)
}

// product multiplies two polynomials.
func product(a, b []float64) []float64 {
	out := make([]float64, len(a)+len(b)-1)
	for i, x := range a {
		row := out[i : i+len(b)]
		for j, y := range b {
			row[j] += x * y
		}
	}
	return out
}
