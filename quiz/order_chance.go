package quiz

import "math/big"

// ChanceOfOrder returns the chance mark of an order item on n things with the
// given pairs (every pair of the transitive closure) and sets of identical
// things: see [Ordering.Chance].
func ChanceOfOrder(n int, pairs []Pair, alike [][]int, allRight bool) (Chance, error) {
	o, err := NewOrdering(n, pairs, alike)
	if err != nil {
		return Chance{}, err
	}
	return o.Chance(allRight), nil
}

// Chance returns what a random complete order gets, every order as likely as any
// other: exact, by dynamic programming over the sets of things already placed.
//
// The mark is that of the marking rules: max(0, 1 − 2v/V) with v of V pairs
// violated, 0 where a critical pair is; with allRight 1 for v = 0, else 0.
// Without pairs every order is right. The cost is n·V·2^n, for 8 things some
// ten microseconds.
func (o *Ordering) Chance(allRight bool) Chance {
	if len(o.pairs) == 0 {
		return Chance{Mean: Frac(1, 1), Full: Frac(1, 1)}
	}
	var counts []uint64 // by violations, of the orders with a mark above 0
	if ways := o.tellingWays(); len(ways) == 1 {
		counts = o.countOneWay(o.newWay(ways[0]))
	} else {
		counts = o.countWays(ways)
	}
	return o.chanceOf(counts, allRight)
}

// chanceOf weighs the counts: orders of identical things were counted once, so
// the whole is n! over the ways to exchange them.
func (o *Ordering) chanceOf(counts []uint64, allRight bool) Chance {
	all := new(big.Int).MulRange(1, int64(o.n))
	all.Div(all, big.NewInt(int64(max(1, len(o.ways)))))
	full := new(big.Rat).SetFrac(new(big.Int).SetUint64(counts[0]), all)
	if allRight {
		return Chance{Mean: Fraction{full}, Full: Fraction{full}}
	}
	sum := new(big.Int)
	v := int64(len(o.pairs))
	for i, c := range counts {
		w := new(big.Int).SetUint64(c)
		sum.Add(sum, w.Mul(w, big.NewInt(v-2*int64(i))))
	}
	mean := new(big.Rat).SetFrac(sum, all.Mul(all, big.NewInt(v)))
	return Chance{Mean: Fraction{mean}, Full: Fraction{full}}
}

// way is one way of reading identical things: for each slot the slots that are
// violated where they were filled before it. The slots of identical things are
// filled in order, since what is placed cannot be told apart.
type way struct{ later, critical []uint }

func (o *Ordering) newWay(w []int) way {
	slot := make([]int, o.n)
	for s, e := range w {
		slot[e] = s
	}
	x := way{make([]uint, o.n), make([]uint, o.n)}
	for _, p := range o.pairs {
		b, a := slot[p.Before], slot[p.After]
		x.later[b] |= 1 << a
		if p.Critical {
			x.critical[b] |= 1 << a
		}
	}
	return x
}

// waits gives, for each slot, the slots that are filled before it because they
// hold identical things.
func (o *Ordering) waits() []uint {
	wait := make([]uint, o.n)
	for _, set := range o.alike {
		for i, e := range set[min(1, len(set)):] {
			wait[e] = 1 << set[i]
		}
	}
	return wait
}

// countOneWay counts orders by violations, up to the last number that still
// has a mark above 0; orders that violate a critical pair are left out.
func (o *Ordering) countOneWay(w way) []uint64 {
	wait, width := o.waits(), (len(o.pairs)+1)/2
	counts := make([]uint64, width<<o.n)
	counts[0] = 1
	full := uint(1)<<o.n - 1
	for set := uint(0); set < full; set++ {
		from := counts[int(set)*width : int(set+1)*width]
		for e := range o.n {
			if set>>e&1 == 1 || wait[e]&^set != 0 || w.critical[e]&set != 0 {
				continue
			}
			to := set | 1<<e
			add := size(w.later[e] & set)
			into := counts[int(to)*width : int(to+1)*width]
			for v := 0; v+add < width; v++ {
				into[v+add] += from[v]
			}
		}
	}
	return counts[int(full)*width:]
}

// countWays is countOneWay where several ways of reading must be kept side by
// side: the state is the number of violations, and whether a critical pair is
// among them, for each way.
func (o *Ordering) countWays(ws [][]int) []uint64 {
	ways := make([]way, len(ws))
	for i, w := range ws {
		ways[i] = o.newWay(w)
	}
	wait := o.waits()
	full := uint(1)<<o.n - 1
	states := make([]map[string]uint64, full+1)
	states[0] = map[string]uint64{string(make([]byte, 2*len(ways))): 1}
	for set := uint(0); set < full; set++ {
		for e := range o.n {
			if set>>e&1 == 1 || wait[e]&^set != 0 {
				continue
			}
			to := set | 1<<e
			if states[to] == nil {
				states[to] = map[string]uint64{}
			}
			for st, c := range states[set] {
				states[to][place(ways, st, set, e)] += c
			}
		}
		states[set] = nil
	}
	return o.bestOf(states[full])
}

func place(ways []way, state string, set uint, e int) string {
	b := []byte(state)
	for i, w := range ways {
		b[2*i] += byte(size(w.later[e] & set))
		if w.critical[e]&set != 0 {
			b[2*i+1] = 1
		}
	}
	return string(b)
}

// bestOf counts orders by the violations of the best way of reading them.
func (o *Ordering) bestOf(states map[string]uint64) []uint64 {
	counts := make([]uint64, (len(o.pairs)+1)/2)
	for st, c := range states {
		v, crit := st[0], st[1]
		for i := 2; i < len(st); i += 2 {
			if st[i] < v || st[i] == v && st[i+1] < crit {
				v, crit = st[i], st[i+1]
			}
		}
		if crit == 0 && int(v) < len(counts) {
			counts[v] += c
		}
	}
	return counts
}

// tellingWays leaves out the ways that are never better. Identical things that
// can be put in a row, so that each needs whatever the one before it needs, and
// is needed by nothing that does not need the one before it too, are always best
// read in that order; then no other way of reading them is kept.
func (o *Ordering) tellingWays() [][]int {
	sorted := make([]int, o.n)
	for i := range sorted {
		sorted[i] = i
	}
	var open [][]int
	for _, set := range o.alike {
		row, ok := o.inARow(set)
		if !ok {
			open = append(open, set)
			continue
		}
		for i, e := range set {
			sorted[e] = row[i]
		}
	}
	ways := exchanges(o.n, open)
	for _, w := range ways {
		for i, e := range w {
			w[i] = sorted[e]
		}
	}
	return ways
}

// inARow sorts identical things as tellingWays wants them.
func (o *Ordering) inARow(set []int) ([]int, bool) {
	row := append([]int(nil), set...)
	for i := range row {
		for j := i + 1; j < len(row); j++ {
			if o.nested(row[j], row[i]) && !o.nested(row[i], row[j]) {
				row[i], row[j] = row[j], row[i]
			}
		}
	}
	for i := range row {
		for j := i + 1; j < len(row); j++ {
			if !o.nested(row[i], row[j]) {
				return nil, false
			}
		}
	}
	return row, true
}

// nested reports whether reading a for the earlier of the two is never worse,
// in pairs and in critical pairs.
func (o *Ordering) nested(a, b int) bool {
	var needs, serves [2][2]uint // [a, b][any, critical]
	for _, p := range o.pairs {
		for i, e := range [2]int{a, b} {
			mark(&needs[i], p, p.After == e && p.Before != a && p.Before != b, p.Before)
			mark(&serves[i], p, p.Before == e && p.After != a && p.After != b, p.After)
		}
		if p.Before == b && p.After == a {
			return false
		}
	}
	for k := range 2 {
		if needs[0][k]&^needs[1][k] != 0 || serves[1][k]&^serves[0][k] != 0 {
			return false
		}
	}
	return true
}

func mark(set *[2]uint, p Pair, is bool, e int) {
	if !is {
		return
	}
	set[0] |= 1 << e
	if p.Critical {
		set[1] |= 1 << e
	}
}
