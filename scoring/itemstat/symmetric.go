package itemstat

// symmetricFunctions returns the coefficients γ₀, γ₁ … of the product of the
// polynomials and, for each i, those of the product of the others. For 1 + ε·x of
// each column of right or wrong they are the elementary symmetric functions of the ε.
// Every step adds and multiplies numbers that are not negative, so no digit cancels
// (dividing one factor out of γ, the quick way, loses all digits from some
// 30 items on). It costs d² log k for k polynomials of degree d together.
func symmetricFunctions(polys [][]float64) (gamma []float64, without [][]float64) {
	t := &productTree{poly: make([][]float64, 4*len(polys)), leaf: make([]int, 4*len(polys))}
	t.up(1, 0, polys)
	without = make([][]float64, len(polys))
	t.down(1, []float64{1}, without)
	return t.poly[1], without
}

// productTree holds the product over ever smaller parts of the polynomials: node 1 is all
// of them, nodes 2i and 2i+1 are the halves of node i.
type productTree struct {
	poly [][]float64
	leaf []int // 1 + which polynomial, 0 for the nodes above
}

func (t *productTree) up(node, first int, polys [][]float64) {
	if len(polys) == 1 {
		t.poly[node], t.leaf[node] = polys[0], first+1
		return
	}
	mid := len(polys) / 2
	t.up(2*node, first, polys[:mid])
	t.up(2*node+1, first+mid, polys[mid:])
	t.poly[node] = product(t.poly[2*node], t.poly[2*node+1])
}

// down carries the product of everything outside a node down to its leaves.
func (t *productTree) down(node int, outside []float64, without [][]float64) {
	if i := t.leaf[node]; i > 0 {
		without[i-1] = outside
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
