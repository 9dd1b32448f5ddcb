package quiz

import (
	"math/big"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// pairsOf reads "0<1 0<2" and closes it.
func pairsOf(n int, s string) []Pair {
	var before [MaxThings][MaxThings]bool
	for _, f := range strings.Fields(s) {
		before[f[0]-'0'][f[2]-'0'] = true
	}
	for k := range n {
		for i := range n {
			for j := range n {
				before[i][j] = before[i][j] || before[i][k] && before[k][j]
			}
		}
	}
	var out []Pair
	for i := range n {
		for j := range n {
			if before[i][j] {
				out = append(out, Pair{Before: i, After: j})
			}
		}
	}
	return out
}

func TestExtensions(t *testing.T) {
	for _, c := range []struct {
		name, pairs string
		n           int
		want        int64
	}{
		{"chain of 5", "0<1 1<2 2<3 3<4", 5, 1},
		{"antichain of 5: 5!", "", 5, 120},
		{"two chains of 3: C(6,3)", "0<1 1<2 3<4 4<5", 6, 20},
		{"grid 2×3: Catalan number C3, OEIS A000108", "0<1 1<2 3<4 4<5 0<3 1<4 2<5", 6, 5},
		{"grid 2×4: Catalan number C4, OEIS A000108", "0<1 1<2 2<3 4<5 5<6 6<7 0<4 1<5 2<6 3<7", 8, 14},
		{"Boolean cube 2³: OEIS A046873", "0<1 0<2 0<4 1<3 1<5 2<3 2<6 4<5 4<6 3<7 5<7 6<7", 8, 48},
		{"the poset of Sage's documentation of linear extensions", "0<1 0<2 1<3 2<3 2<4", 5, 5},
		{"zigzag of 0: Euler numbers, OEIS A000111", "", 0, 1},
		{"zigzag of 1", "", 1, 1},
		{"zigzag of 2", "0<1", 2, 1},
		{"zigzag of 3", "0<1 2<1", 3, 2},
		{"zigzag of 4", "0<1 2<1 2<3", 4, 5},
		{"zigzag of 5", "0<1 2<1 2<3 4<3", 5, 16},
		{"a circle", "0<1 1<2 2<0", 3, 0},
	} {
		if got := Extensions(c.n, pairsOf(c.n, c.pairs)); got.Cmp(big.NewInt(c.want)) != 0 {
			t.Errorf("%s: %v extensions, want %d", c.name, got, c.want)
		}
	}
}

// The five linear extensions that Sage's documentation lists.
func TestExtensionsListed(t *testing.T) {
	pairs := pairsOf(5, "0<1 0<2 1<3 2<3 2<4")
	var got []string
	for _, p := range permutations(5) {
		if Violations(pairs, p) == 0 {
			got = append(got, string([]byte{'0' + byte(p[0]), '0' + byte(p[1]), '0' + byte(p[2]), '0' + byte(p[3]), '0' + byte(p[4])}))
		}
	}
	if want := []string{"01234", "01243", "02134", "02143", "02413"}; !slices.Equal(got, want) {
		t.Errorf("extensions %v, want %v", got, want)
	}
}

// Kendall distance of D,B,A,C from A,B,D,C: 3, counted by hand (AB, AD and BD are turned round).
func TestViolationsIsKendallDistance(t *testing.T) {
	const a, b, c, d = 0, 1, 2, 3
	total := []Pair{{a, b, false}, {a, d, false}, {a, c, false}, {b, d, false}, {b, c, false}, {d, c, false}}
	if got := Violations(total, []int{d, b, a, c}); got != 3 {
		t.Errorf("distance %d, want 3", got)
	}
	if got := Violations(total, []int{a, b, d, c}); got != 0 {
		t.Errorf("distance from itself %d", got)
	}
	if got := Violations(total, []int{a, b, d}); got != 3 {
		t.Errorf("with c unplaced %d violations, want its 3 pairs", got)
	}
}

// poset is a random closed partial order with critical pairs and identical things.
type poset struct {
	n     int
	pairs []Pair
	alike [][]int
}

func drawPoset(t *rapid.T) poset {
	n := rapid.IntRange(2, 6).Draw(t, "n")
	label := rapid.Permutation(permutations(n)[0]).Draw(t, "labels")
	var spec strings.Builder
	for i := range n {
		for j := i + 1; j < n; j++ {
			if rapid.IntRange(0, 2).Draw(t, "pair") == 0 {
				spec.WriteString(string([]byte{'0' + byte(label[i]), '<', '0' + byte(label[j]), ' '}))
			}
		}
	}
	p := poset{n: n, pairs: pairsOf(n, spec.String())}
	for i := range p.pairs {
		p.pairs[i].Critical = rapid.IntRange(0, 3).Draw(t, "critical") == 0
	}
	things := rapid.Permutation(permutations(n)[0]).Draw(t, "things")
	if k := rapid.IntRange(0, n).Draw(t, "alike"); k > 1 {
		p.alike = append(p.alike, things[:min(k, 3)])
		if k > 4 {
			p.alike = append(p.alike, things[3:5])
		}
	}
	return p
}

// bruteRead reads an order by trying every relabelling, written apart from Ordering.
func bruteRead(p poset, order []int) (violations, crit int) {
	violations, crit = 1<<20, 0
	for _, w := range permutations(p.n) {
		if !keepsSets(p.alike, w) {
			continue
		}
		v, c := 0, 0
		for _, pr := range p.pairs {
			b, a := -1, -1
			for i, e := range order {
				if w[e] == pr.Before {
					b = i
				}
				if w[e] == pr.After {
					a = i
				}
			}
			if b < 0 || a < 0 || a < b {
				v++
				if pr.Critical {
					c++
				}
			}
		}
		if v < violations || v == violations && c < crit {
			violations, crit = v, c
		}
	}
	return violations, crit
}

func keepsSets(alike [][]int, w []int) bool {
	for e, to := range w {
		if e == to {
			continue
		}
		ok := false
		for _, set := range alike {
			ok = ok || slices.Contains(set, e) && slices.Contains(set, to)
		}
		if !ok {
			return false
		}
	}
	return true
}

func TestReadFindsTheBestReading(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawPoset(t)
		o, err := NewOrdering(p.n, p.pairs, p.alike)
		if err != nil {
			t.Fatal(err)
		}
		order := rapid.Permutation(permutations(p.n)[0]).Draw(t, "order")
		order = order[:rapid.IntRange(0, p.n).Draw(t, "placed")]
		read, vs := o.Read(order)
		v, c := bruteRead(p, order)
		if len(vs) != v || criticals(vs) != c || Violations(p.pairs, read) != v {
			t.Fatalf("%+v %v: %d violated, %d critical, want %d and %d", p, order, len(vs), criticals(vs), v, c)
		}
	})
}

func TestChanceOfOrderIsTheMeanOverAllOrders(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawPoset(t)
		if len(p.pairs) == 0 {
			return
		}
		sum, full, all := new(big.Rat), int64(0), permutations(p.n)
		for _, order := range all {
			v, c := bruteRead(p, order)
			if v == 0 {
				full++
			}
			if m := big.NewRat(int64(len(p.pairs)-2*v), int64(len(p.pairs))); c == 0 && m.Sign() > 0 {
				sum.Add(sum, m)
			}
		}
		mean := sum.Mul(sum, big.NewRat(1, int64(len(all))))
		got, err := ChanceOfOrder(p.n, p.pairs, p.alike, false)
		if err != nil || got.Mean.Rat.Cmp(mean) != 0 || got.Full.Rat.Cmp(big.NewRat(full, int64(len(all)))) != 0 {
			t.Fatalf("%+v: chance %v %v (%v), want %v and %d/%d", p, got.Mean, got.Full, err, mean, full, len(all))
		}
		got, _ = ChanceOfOrder(p.n, p.pairs, p.alike, true)
		if got.Mean.Rat.Cmp(got.Full.Rat) != 0 || got.Full.Rat.Cmp(big.NewRat(full, int64(len(all)))) != 0 {
			t.Fatalf("all or nothing: chance %v %v, want %d/%d", got.Mean, got.Full, full, len(all))
		}
	})
}

// Two identical things, one of which needs x critically: where either stands
// before x, it is read as the other, since of readings that violate as many pairs
// the one with fewest critical pairs counts.
func TestReadingsThatDifferInCriticalPairs(t *testing.T) {
	const x, y, one, other = 0, 1, 2, 3
	p := poset{n: 4, pairs: []Pair{{x, one, true}, {x, other, false}, {x, y, false}}, alike: [][]int{{one, other}}}
	o, err := NewOrdering(p.n, p.pairs, p.alike)
	if err != nil {
		t.Fatal(err)
	}
	for _, order := range [][]int{{one, x, y, other}, {other, x, y, one}} {
		if _, vs := o.Read(order); len(vs) != 1 || vs[0].Critical {
			t.Errorf("%v violates %v, want the pair that is not critical", order, vs)
		}
	}
	sum := new(big.Rat)
	for _, order := range permutations(4) {
		if v, c := bruteRead(p, order); c == 0 && v < 2 {
			sum.Add(sum, big.NewRat(int64(3-2*v), 3*24))
		}
	}
	if got := o.Chance(false); got.Mean.Rat.Cmp(sum) != 0 {
		t.Errorf("chance %v, want %v", got.Mean, sum)
	}
}

func TestChanceOfOrderAgreesWithExtensions(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawPoset(t)
		for i := range p.pairs {
			p.pairs[i].Critical = false
		}
		got, err := ChanceOfOrder(p.n, p.pairs, nil, true)
		if err != nil {
			t.Fatal(err)
		}
		all := new(big.Int).MulRange(1, int64(p.n))
		if want := new(big.Rat).SetFrac(Extensions(p.n, p.pairs), all); got.Full.Rat.Cmp(want) != 0 {
			t.Fatalf("%+v: %v, want %v", p, got.Full, want)
		}
	})
}

func TestNewOrderingRefuses(t *testing.T) {
	for name, err := range map[string]error{
		"too many":     second(NewOrdering(17, nil, nil)),
		"out of range": second(NewOrdering(3, []Pair{{0, 3, false}}, nil)),
		"itself":       second(NewOrdering(3, []Pair{{1, 1, false}}, nil)),
		"alike twice":  second(NewOrdering(3, nil, [][]int{{0, 1}, {1, 2}})),
		"7 identical":  second(NewOrdering(7, nil, [][]int{{0, 1, 2, 3, 4, 5, 6}})),
	} {
		if err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

func second[T any](_ T, err error) error { return err }

func BenchmarkChanceOfOrder8(b *testing.B) {
	pairs := pairsOf(8, "0<1 1<2 2<3 4<5 5<6 6<7 0<4 1<5 2<6 3<7")
	for b.Loop() {
		if _, err := ChanceOfOrder(8, pairs, nil, false); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkChanceOfOrder8TwoAlikeApart(b *testing.B) {
	pairs := pairsOf(8, "0<2 1<3 2<4 3<5 4<6 5<7")
	for b.Loop() {
		if _, err := ChanceOfOrder(8, pairs, [][]int{{2, 3}}, false); err != nil {
			b.Fatal(err)
		}
	}
}
