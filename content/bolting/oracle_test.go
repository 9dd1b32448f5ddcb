package bolting

import (
	"math/big"
	"slices"
	"testing"
)

// The oracle is the text of the crossing rule, read off a complete sequence. It
// shares no code with the package: groups are sets, neighbours are looked up on the
// circle, and clause (c) is asked of the groups that come later.

func oracle(n int, s []int) bool {
	if n%2 == 1 {
		return oracleOdd(n, s)
	}
	groups := oracleGroups(n, s)
	if groups == nil {
		return false
	}
	for i := 1; i < len(groups); i++ { // clause (c)
		if !groupsTouch(n, groups[i-1], groups[i]) {
			continue
		}
		for _, later := range groups[i+1:] {
			if !groupsTouch(n, groups[i-1], later) {
				return false
			}
		}
	}
	for i := 1; n >= 6 && i < n; i++ { // clause (d)
		if touch(n, s[i-1], s[i]) {
			return false
		}
	}
	return true
}

func oracleOdd(n int, s []int) bool {
	for i := 1; i < n; i++ {
		on := s[i-1] + (n-1)/2
		back := s[i-1] - (n-1)/2
		if on > n {
			on -= n
		}
		if back < 1 {
			back += n
		}
		if s[i] != on && s[i] != back {
			return false
		}
	}
	return true
}

// oracleGroups cuts a sequence into groups by clauses (a) and (b); nil where it
// cannot.
func oracleGroups(n int, s []int) [][]int {
	for i := 0; i < n; i += 2 { // clause (a)
		if s[i]+n/2 != s[i+1] && s[i+1]+n/2 != s[i] {
			return nil
		}
	}
	if n%4 != 0 {
		return slices.Collect(slices.Chunk(s, 2))
	}
	groups := slices.Collect(slices.Chunk(s, 4))
	for _, g := range groups { // clause (b): in order round the circle all four stand n/4 apart
		four := slices.Sorted(slices.Values(g))
		for i := 1; i < 4; i++ {
			if four[i]-four[i-1] != n/4 {
				return nil
			}
		}
	}
	return groups
}

func touch(n, a, b int) bool {
	return a == b+1 || b == a+1 || a == 1 && b == n || b == 1 && a == n
}

func groupsTouch(n int, g, h []int) bool {
	for _, a := range g {
		for _, b := range h {
			if touch(n, a, b) {
				return true
			}
		}
	}
	return false
}

// permutations visits every order of 1..n. Where opposite is true it visits only
// those whose pairs stand opposite on a circle of n: no other satisfies clause (a).
func permutations(n int, opposite bool, visit func([]int)) {
	s, used := make([]int, 0, n), make([]bool, n+1)
	var more func()
	more = func() {
		if len(s) == n {
			visit(s)
			return
		}
		for v := 1; v <= n; v++ {
			if used[v] || opposite && len(s)%2 == 1 && v != s[len(s)-1]+n/2 && v != s[len(s)-1]-n/2 {
				continue
			}
			used[v] = true
			s = append(s, v)
			more()
			s = s[:len(s)-1]
			used[v] = false
		}
	}
	more()
}

// TestCircleAgainstOracle judges every permutation of small circles, and every one
// that satisfies clause (a) of larger ones.
func TestCircleAgainstOracle(t *testing.T) {
	for _, c := range []struct {
		n        int
		opposite bool
	}{{4, false}, {5, false}, {6, false}, {7, false}, {8, false}, {10, true}, {12, true}} {
		if testing.Short() && c.n > 10 {
			continue
		}
		right := int64(0)
		j, err := bind(circleOf(c.n), cross)
		if err != nil {
			t.Fatal(err)
		}
		permutations(c.n, c.opposite, func(s []int) {
			want := oracle(c.n, s)
			if want {
				right++
			}
			if got := breakIn(circleOf(c.n), j, s) < 0; got != want {
				t.Fatalf("%v: Judge says %v, the text says %v", s, got, want)
			}
		})
		num, den := Chance(circleOf(c.n), cross)
		if num.Cmp(big.NewInt(right)) != 0 || den.Cmp(new(big.Int).MulRange(1, int64(c.n))) != 0 {
			t.Errorf("%d: %d are right, Chance says %v of %v", c.n, right, num, den)
		}
	}
}

// TestJudgeAgainstOracle goes through Judge itself where that is quick.
func TestJudgeAgainstOracle(t *testing.T) {
	for _, n := range []int{4, 5, 6, 7} {
		permutations(n, false, func(s []int) {
			if v := Judge(circleOf(n), cross, s); v.Right != oracle(n, s) {
				t.Fatalf("%v: %+v", s, v)
			}
		})
	}
}

// oracleCount counts the right sequences of a circle of n without the package: by
// the groups taken and the fastener last tightened.
func oracleCount(n int) *big.Int {
	size := 2
	if n%4 == 0 {
		size = 4
	}
	groups := n / size
	type state struct {
		taken uint
		last  int
	}
	known := map[state]*big.Int{}
	var rest func(state) *big.Int
	rest = func(at state) *big.Int {
		if at.taken == 1<<groups-1 {
			return big.NewInt(1)
		}
		if have, ok := known[at]; ok {
			return have
		}
		sum := new(big.Int)
		for _, g := range oracleMay(n, groups, at.taken, at.last) {
			for first := g; first < n; first += groups {
				if at.last >= 0 && n >= 6 && touch(n, at.last+1, first+1) {
					continue
				}
				ends := []int{(first + n/2) % n}
				if size == 4 {
					ends = []int{(first + n/4) % n, (first + 3*n/4) % n}
				}
				for _, end := range ends {
					sum.Add(sum, rest(state{at.taken | 1<<g, end}))
				}
			}
		}
		known[at] = sum
		return sum
	}
	return rest(state{0, -1})
}

// oracleMay lists the groups that clause (c) lets follow.
func oracleMay(n, groups int, taken uint, last int) []int {
	var free, far []int
	for g := range groups {
		if taken&(1<<g) != 0 {
			continue
		}
		free = append(free, g)
		beside := false
		for a := 0; last >= 0 && a < n; a++ {
			for b := g; b < n; b += groups {
				beside = beside || a%groups == last%groups && touch(n, a+1, b+1)
			}
		}
		if !beside {
			far = append(far, g)
		}
	}
	if len(far) > 0 {
		return far
	}
	return free
}

// TestChanceAgainstCount holds the formula to a count by dynamic programming.
func TestChanceAgainstCount(t *testing.T) {
	most := 32
	if testing.Short() {
		most = 24
	}
	for n := 4; n <= most; n += 2 {
		if n%4 != 0 && n > 22 {
			continue // the count grows with 2 to the number of groups
		}
		if num, _ := Chance(circleOf(n), cross); num.Cmp(oracleCount(n)) != 0 {
			t.Errorf("%d: Chance says %v, the count %v", n, num, oracleCount(n))
		}
	}
}

// TestRowsPublished: OEIS A002464 (orders of a row in which no two neighbours stay
// neighbours), from memory.
func TestRowsPublished(t *testing.T) {
	for m, want := range []int64{1, 1, 0, 0, 2, 14, 90, 646, 5242, 47622} {
		if got := row(m); got.Cmp(big.NewInt(want)) != 0 {
			t.Errorf("%d: got %v, want %d", m, got, want)
		}
	}
}

// TestPointsAgainstOracle judges every permutation of patterns on whole
// coordinates; the oracle compares squares of distances, doubled to stay whole.
func TestPointsAgainstOracle(t *testing.T) {
	for name, p := range pointPatterns {
		if p.Count > 8 {
			continue
		}
		right := int64(0)
		j, err := bind(p, cross)
		if err != nil {
			t.Fatal(name, err)
		}
		permutations(p.Count, false, func(s []int) {
			want := oraclePoints(p.Points, s)
			if want {
				right++
			}
			if got := breakIn(p, j, s) < 0; got != want {
				t.Fatalf("%s %v: Judge says %v, the text says %v", name, s, got, want)
			}
		})
		if num, _ := Chance(p, cross); num.Cmp(big.NewInt(right)) != 0 {
			t.Errorf("%s: %d are right, Chance says %v", name, right, num)
		}
	}
}

var pointPatterns = map[string]Pattern{
	"rectangle":         {Shape: Rectangle, Count: 4, Points: []Point{{0, 0}, {100, 0}, {100, 60}, {0, 60}}},
	"square":            {Shape: Rectangle, Count: 4, Points: []Point{{0, 0}, {0, 80}, {80, 80}, {80, 0}}},
	"two rows of 3":     {Shape: Oblong, Count: 6, Points: []Point{{0, 40}, {50, 40}, {100, 40}, {100, 0}, {50, 0}, {0, 0}}},
	"two rows of 4":     {Shape: Oblong, Count: 8, Points: []Point{{0, 40}, {40, 40}, {80, 40}, {120, 40}, {120, 0}, {80, 0}, {40, 0}, {0, 0}}},
	"oblong, tips":      {Shape: Oblong, Count: 8, Points: []Point{{-60, 0}, {-40, 30}, {0, 30}, {40, 30}, {60, 0}, {40, -30}, {0, -30}, {-40, -30}}},
	"a row":             {Shape: Oblong, Count: 4, Points: []Point{{0, 0}, {30, 0}, {60, 0}, {90, 0}}},
	"two rows of 5":     {Shape: Oblong, Count: 10, Points: []Point{{0, 40}, {40, 40}, {80, 40}, {120, 40}, {160, 40}, {160, 0}, {120, 0}, {80, 0}, {40, 0}, {0, 0}}},
	"slanted rows of 3": {Shape: Oblong, Count: 6, Points: []Point{{0, 0}, {40, 30}, {80, 60}, {62, 84}, {22, 54}, {-18, 24}}},
}

func oraclePoints(points []Point, s []int) bool {
	n := float64(len(points))
	var sx, sy float64
	for _, p := range points {
		sx, sy = sx+p.X, sy+p.Y
	}
	last := 0.0
	for i := 0; i < len(s); i += 2 {
		a, b := points[s[i]-1], points[s[i+1]-1]
		if (a.X+b.X)*n != 2*sx || (a.Y+b.Y)*n != 2*sy { // the middle of the two is the centre
			return false
		}
		d := (n*a.X-sx)*(n*a.X-sx) + (n*a.Y-sy)*(n*a.Y-sy)
		if d < last {
			return false
		}
		last = d
	}
	return true
}

// breakIn is Judge without binding the rule anew: the index of the break, −1 for none.
func breakIn(p Pattern, j judge, s []int) int {
	places := zeroBased(s)
	for i := range places {
		if step(p, j, places[:i], places[i]) != nil {
			return i
		}
	}
	return -1
}
