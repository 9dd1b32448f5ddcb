package held_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"soloright/scoring/held"
	"soloright/scoring/itemstat"
)

// Without answers there is the weak prior, and everybody is alike.
func TestFitNothing(t *testing.T) {
	m, err := held.Fit(held.Crew{People: 2, Facts: 2})
	if err != nil {
		t.Fatal(err)
	}
	a, err1 := m.Pair(0, 0, 0.9)
	b, err2 := m.Pair(1, 1, 0.9)
	if err1 != nil || err2 != nil || a != b || a.Share.N != 0 || math.Abs(a.Share.Value-0.5) > 0.01 || a.Share.Hi-a.Share.Lo < 0.8 {
		t.Errorf("nobody answered anything: %+v (%v), %+v (%v)", a, err1, b, err2)
	}
	if m, err := held.Fit(held.Crew{}); err != nil || len(m.Facts(nil)) != 0 {
		t.Errorf("an empty crew: %v", err)
	}
}

// Everybody right, everybody wrong, one person with very many answers: finite
// figures on the right side.
func TestFitExtremes(t *testing.T) {
	all := func(right bool, n int) held.Crew {
		c := held.Crew{People: 5, Facts: 4}
		for p := range 5 {
			for f := range 4 {
				ta := itemstat.Tally{Answered: n, Guess: 0.25}
				if right {
					ta.Right = n
				}
				c.Pairs = append(c.Pairs, held.Pair{Person: p, Fact: f, Tallies: []itemstat.Tally{ta}})
			}
		}
		return c
	}
	for _, n := range []int{1, 3, 500} {
		for _, right := range []bool{true, false} {
			m, err := held.Fit(all(right, n))
			if err != nil {
				t.Fatal(err)
			}
			h, err := m.Pair(2, 1, 0.9)
			s := h.Share
			if err != nil || math.IsNaN(s.Value) || s.Lo > s.Value || s.Hi < s.Value || s.Lo < 0 || s.Hi > 1 || right != (s.Value > 0.5) {
				t.Errorf("all right %v, %d answers each: %+v (%v)", right, n, h, err)
			}
			for f, h := range m.Facts(func(int) float64 { return 0.9 }) {
				s := h.Share
				if math.IsNaN(s.Value) || s.Lo > s.Value || s.Hi < s.Value || right != (s.Value > 0.5) || h.Below < 0 || h.Below > 1 || s.N != 5*n {
					t.Errorf("all right %v, %d answers each: fact %d %+v", right, n, f, h)
				}
			}
		}
	}
}

func TestFitRefuses(t *testing.T) {
	one := func(p held.Pair) held.Crew { return held.Crew{People: 1, Facts: 1, Pairs: []held.Pair{p}} }
	for what, c := range map[string]held.Crew{
		"no such person": one(held.Pair{Person: 1}),
		"no such fact":   one(held.Pair{Fact: -1}),
		"twice":          {People: 1, Facts: 1, Pairs: []held.Pair{{}, {}}},
		"more right":     one(held.Pair{Tallies: []itemstat.Tally{{Right: 2, Answered: 1}}}),
		"certain luck":   one(held.Pair{Tallies: []itemstat.Tally{{Right: 1, Answered: 1, Guess: 1}}}),
		"NaN":            one(held.Pair{Tallies: []itemstat.Tally{{Right: 1, Answered: 1, Guess: math.NaN()}}}),
		"too many":       one(held.Pair{Tallies: []itemstat.Tally{{Right: 1, Answered: 1_000_000}}}),
	} {
		var refused *itemstat.RefusedError
		if _, err := held.Fit(c); !errors.As(err, &refused) {
			t.Errorf("%s: %v", what, err)
		}
	}
}

// A fact that is taught badly stands out; somebody who was never asked about it
// is expected to hold less of it than of the others, a strong person more than a
// weak one.
func TestWhoWasNeverAskedBorrows(t *testing.T) {
	c := held.Crew{People: 30, Facts: 20}
	rnd := rand.New(rand.NewPCG(3, 3))
	for p := range c.People {
		for f := range c.Facts {
			if p < 2 && f == 7 {
				continue
			}
			chance := 0.92
			if f == 7 {
				chance = 0.25
			}
			if p == 0 {
				chance = 0.5
			}
			ta := itemstat.Tally{Answered: 2}
			for range 2 {
				if rnd.Float64() < chance {
					ta.Right++
				}
			}
			c.Pairs = append(c.Pairs, held.Pair{Person: p, Fact: f, Tallies: []itemstat.Tally{ta}})
		}
	}
	m, err := held.Fit(c)
	if err != nil {
		t.Fatal(err)
	}
	weak, strong := m.Prior(0, 7), m.Prior(1, 7)
	mean := func(ps []itemstat.Part) (v float64) {
		w := 0.0
		for _, p := range ps {
			v, w = v+p.Weight*p.Mean(), w+p.Weight
		}
		return v / w
	}
	if mean(strong) > 0.6 || mean(strong) < 0.15 || mean(weak) > mean(strong)-0.03 || mean(m.Prior(1, 3)) < 0.75 {
		t.Errorf("never asked: the weak one %.3f, the strong one %.3f; of a fact that is held %.3f", mean(weak), mean(strong), mean(m.Prior(1, 3)))
	}
	facts := m.Facts(func(int) float64 { return 0.9 })
	for f, h := range facts {
		if f != 7 && (h.Share.Lo < facts[7].Share.Hi || h.Below > facts[7].Below) {
			t.Errorf("fact %d (%+v) is not told from the badly taught one (%+v)", f, h, facts[7])
		}
	}
}

// The result does not depend on the order of the pairs, but for rounding.
func TestFitOrder(t *testing.T) {
	w := worlds[1]
	d := w.draw(rand.New(rand.NewPCG(9, 9)))
	a, err := held.Fit(d.Crew)
	if err != nil {
		t.Fatal(err)
	}
	turned := d.Crew
	turned.Pairs = slices.Clone(d.Pairs)
	slices.Reverse(turned.Pairs)
	b, err := held.Fit(turned)
	if err != nil {
		t.Fatal(err)
	}
	for p := range d.People {
		x, below, err1 := a.Chance(p, 3, 0.9)
		y, below2, err2 := b.Chance(p, 3, 0.9)
		if err1 != nil || err2 != nil || math.Abs(x-y) > 1e-6 || math.Abs(below-below2) > 1e-6 {
			t.Errorf("person %d: %v, %v turned round %v, %v", p, x, below, y, below2)
		}
	}
}

// Groups against the exact mixture of betas, and against any number of answers.
func TestGroups(t *testing.T) {
	groups := [][]itemstat.Tally{
		{{Right: 3, Answered: 5, Guess: 0.25}, {Right: 1, Answered: 2}},
		{},
		{{Right: 12, Answered: 12, Guess: 0.5}},
		{{Answered: 9}},
		{{Right: 40_000, Answered: 50_000, Guess: 0.25}},
	}
	got, err := held.Groups(groups, 0.8)
	if err != nil {
		t.Fatal(err)
	}
	for i, g := range groups[:4] {
		want, err := itemstat.Posterior(itemstat.JeffreysPrior, 0.8, g...)
		if err != nil {
			t.Fatal(err)
		}
		x, y := got[i].Share, want.Share
		if math.Abs(x.Value-y.Value)+math.Abs(x.Lo-y.Lo)+math.Abs(x.Hi-y.Hi) > 2e-3 || math.Abs(got[i].Below-want.Below) > 2e-3 || x.N != y.N {
			t.Errorf("group %d: %+v, exactly %+v", i, got[i], want)
		}
	}
	if s := got[4].Share; math.Abs(s.Value-11.0/15) > 1e-3 || s.Hi-s.Lo > 0.02 || got[4].Below < 0.999 {
		t.Errorf("of 50 000 answers: %+v, want 11/15", got[4])
	}
	if _, err := held.Groups(groups, 1); err == nil {
		t.Error("a level of 1 is taken")
	}
	if _, err := held.Groups([][]itemstat.Tally{{{Right: 3, Answered: 1}}}, 0.8); err == nil {
		t.Error("more right than answered is taken")
	}
}

// From 30 groups on they borrow from one another: what was met once is drawn to
// the others, and intervals from the fitted prior hold (measurement.md: .88–.92).
func TestGroupsBorrow(t *testing.T) {
	rnd := rand.New(rand.NewPCG(4, 4))
	need := 10_000
	if testing.Short() {
		need = 1500
	}
	in, all := 0, 0
	for all < need {
		groups, truth := make([][]itemstat.Tally, 250), make([]float64, 250)
		for i := range groups {
			truth[i] = beta(rnd, 7, 3)
			ta := itemstat.Tally{Answered: 1 + rnd.IntN(30), Guess: 0.25}
			for range ta.Answered {
				if rnd.Float64() < truth[i]+(1-truth[i])*0.25 {
					ta.Right++
				}
			}
			groups[i] = []itemstat.Tally{ta}
		}
		got, err := held.Groups(groups, 0.9)
		if err != nil {
			t.Fatal(err)
		}
		for i, h := range got {
			if all++; truth[i] >= h.Share.Lo && truth[i] <= h.Share.Hi {
				in++
			}
		}
	}
	if s := float64(in) / float64(all); s < 0.88 || s > 0.92 {
		t.Errorf("intervals hold the truth %.4f of the time, want .88 to .92", s)
	}
}

// measurement.md: "Rank: weight (critical 5, else 1) × Σ over people P(h < level) ×
// how often the work comes up a month; ties by fact id."
func TestRank(t *testing.T) {
	if got := held.Cost(true, []float64{0.5, 0.25, 1}, 2); got != 17.5 {
		t.Errorf("critical: %v, want 17.5", got)
	}
	if got := held.Cost(false, []float64{0.5, 0.25, 1}, 0.25); got != 0.4375 {
		t.Errorf("not critical, every four months: %v, want 0.4375", got)
	}
	type line struct {
		fact, procedure string
		cost            float64
	}
	lines := []line{{"b", "x", 1}, {"a", "z", 1}, {"c", "x", 2}, {"a", "y", 1}}
	held.Rank(lines, func(l line) float64 { return l.cost }, func(l line) string { return l.fact }, func(l line) string { return l.procedure })
	want := []line{{"c", "x", 2}, {"a", "y", 1}, {"a", "z", 1}, {"b", "x", 1}}
	if diff := cmp.Diff(want, lines, cmp.AllowUnexported(line{})); diff != "" {
		t.Error(diff)
	}
	for models, want := range map[int]held.Advice{0: held.Nothing, 1: held.TeachOrItem, 2: held.Teach, 5: held.Teach} {
		if got := held.Advise(models); got != want {
			t.Errorf("missed under %d models: %q, want %q", models, got, want)
		}
	}
}

func TestLearn(t *testing.T) {
	r, w := held.Meeting{Right: true}, held.Meeting{}
	l := held.Learn([][]held.Meeting{{w, r, r}, {r}, {w, w, r, r, r, w, r}, {}})
	for what, c := range map[string]struct {
		got      itemstat.Figure
		right, n int
	}{
		"first":   {l.First, 1, 3},
		"repeats": {l.Repeats, 6, 8},
		"learned": {l.Learned, 3, 4},
		"kept":    {l.Kept, 3, 4},
		"2nd":     {l.Tries[1], 1, 2},
		"later":   {l.Tries[4], 2, 3},
	} {
		if c.got.N != c.n || c.got.Value != float64(c.right)/float64(c.n) {
			t.Errorf("%s: %v of %d, want %d of %d", what, c.got.Value, c.got.N, c.right, c.n)
		}
	}
	if none := held.Learn(nil); none.First.Known() || len(none.Tries) != 0 {
		t.Errorf("no meetings: %+v", none)
	}
}
