package held_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"soloright/scoring/held"
	"soloright/scoring/itemstat"
)

// world draws crews from the model's own prior.
type world struct {
	people, facts int
	answers       float64 // expected for each pair; some have none
	levels        itemstat.Beta
	spread        float64
	strength      float64
	guess         []float64
}

// drawn is a crew with what is true of it.
type drawn struct {
	held.Crew
	level []float64   // of each fact: what is to be expected of these people
	share [][]float64 // h of each person and fact
	whole []float64   // of each person: what is to be expected over all facts
}

func (w world) draw(rnd *rand.Rand) drawn {
	d := drawn{Crew: held.Crew{People: w.people, Facts: w.facts}}
	stands := make([]float64, w.people)
	for p := range stands {
		stands[p] = rnd.NormFloat64() * w.spread
	}
	levels := make([]float64, w.facts)
	for f := range levels {
		levels[f] = beta(rnd, w.levels.A, w.levels.B)
		if rnd.Float64() < held.Odd {
			levels[f] = beta(rnd, 1, 1)
		}
	}
	d.level = make([]float64, w.facts)
	poisson := distuv.Poisson{Lambda: w.answers, Src: rnd}
	for p := range w.people {
		d.share = append(d.share, make([]float64, w.facts))
		d.whole = append(d.whole, 0)
		for f := range w.facts {
			m := 1 / (1 + math.Exp(-math.Log(levels[f]/(1-levels[f]))-stands[p]))
			d.level[f] += m / float64(w.people)
			d.whole[p] += m / float64(w.facts)
			m = min(max(m, 1e-6), 1-1e-6)
			h := beta(rnd, w.strength*m, w.strength*(1-m))
			d.share[p][f] = h
			pair := held.Pair{Person: p, Fact: f}
			for range int(poisson.Rand()) {
				g := w.guess[rnd.IntN(len(w.guess))]
				t := itemstat.Tally{Answered: 1, Guess: g}
				if rnd.Float64() < h+(1-h)*g {
					t.Right = 1
				}
				pair.Tallies = append(pair.Tallies, t)
			}
			if len(pair.Tallies) > 0 {
				d.Pairs = append(d.Pairs, pair)
			}
		}
	}
	return d
}

func beta(rnd *rand.Rand, a, b float64) float64 {
	return min(max(distuv.Beta{Alpha: max(a, 1e-3), Beta: max(b, 1e-3), Src: rnd}.Rand(), 1e-9), 1-1e-9)
}

var worlds = []world{
	{people: 40, facts: 60, answers: 2, levels: itemstat.Beta{A: 6, B: 2}, spread: 0.6, strength: 4, guess: []float64{0.25, 0.2, 0.5, 0}},
	{people: 8, facts: 40, answers: 1.5, levels: itemstat.Beta{A: 4, B: 1.5}, spread: 0.5, strength: 6, guess: []float64{0.25, 0}},
	{people: 150, facts: 25, answers: 1, levels: itemstat.Beta{A: 9, B: 3}, spread: 0.8, strength: 3, guess: []float64{0.25}},
}

// measurement.md: "Shrinkage and posterior intervals: .88–.92 averaged over draws
// from the prior, at least 10 000 replications, fixed seeds."
func TestCoverage(t *testing.T) {
	for i, w := range worlds {
		t.Run(fmt.Sprintf("%d people, %d facts", w.people, w.facts), func(t *testing.T) {
			t.Parallel()
			c := w.cover(t, uint64(i+1), func(h float64) float64 { return h })
			c.hold(t)
		})
	}
}

// A planted bias, answers a little easier to get right than h says, is found.
func TestCoverageFindsABias(t *testing.T) {
	w := worlds[0]
	c := w.cover(t, 1, func(h float64) float64 { return h * 0.8 })
	if got := c.pairs.share(); got > 0.88 {
		t.Errorf("pairs are covered %.3f of the time although what they are held to is planted wrong", got)
	}
	if got := c.facts.share(); got > 0.88 {
		t.Errorf("facts are covered %.3f of the time although what they are held to is planted wrong", got)
	}
}

type count struct{ in, all int }

func (c *count) add(in bool) {
	c.all++
	if in {
		c.in++
	}
}

func (c count) share() float64 { return float64(c.in) / float64(c.all) }

type covered struct {
	pairs, unmet, facts, people count
	below                       [10]struct {
		n    int
		want float64
		got  int
	}
}

// cover fits drawn crews until there are enough replications, and counts how
// often the intervals hold the truth.
func (w world) cover(t *testing.T, seed uint64, truth func(float64) float64) covered {
	t.Helper()
	need := 10_000
	if testing.Short() {
		need = 1_200
	}
	rnd := rand.New(rand.NewPCG(seed, 7))
	var c covered
	for c.facts.all < need/25 || c.pairs.all < need {
		d := w.draw(rnd)
		m, err := held.Fit(d.Crew)
		if err != nil {
			t.Fatal(err)
		}
		met := map[[2]int]bool{}
		for _, p := range d.Pairs {
			met[[2]int{p.Person, p.Fact}] = true
		}
		for p := range w.people {
			for f := range w.facts {
				if rnd.IntN(4) > 0 {
					continue // a quarter of them is enough, and quicker
				}
				c.pair(t, m, p, f, truth(d.share[p][f]), met[[2]int{p, f}])
			}
		}
		all := func(int, int) bool { return true }
		for p, h := range m.People(all, func(int) float64 { return 0.9 }) {
			v := truth(d.whole[p])
			c.people.add(v >= h.Share.Lo && v <= h.Share.Hi)
		}
		for f, h := range m.Facts(func(int) float64 { return 0.9 }) {
			v := truth(d.level[f])
			c.facts.add(v >= h.Share.Lo && v <= h.Share.Hi)
		}
	}
	return c
}

func (c *covered) pair(t *testing.T, m *held.Model, p, f int, v float64, met bool) {
	h, err := m.Pair(p, f, 0.8)
	if err != nil {
		t.Fatal(err)
	}
	in := v >= h.Share.Lo && v <= h.Share.Hi
	if met {
		c.pairs.add(in)
	} else {
		c.unmet.add(in)
	}
	b := &c.below[min(int(h.Below*10), 9)]
	b.n++
	b.want += h.Below
	if v < 0.8 {
		b.got++
	}
}

func (c covered) hold(t *testing.T) {
	t.Helper()
	t.Logf("pairs %.4f of %d, pairs never met %.4f of %d, facts %.4f of %d, people %.4f of %d", c.pairs.share(), c.pairs.all, c.unmet.share(), c.unmet.all, c.facts.share(), c.facts.all, c.people.share(), c.people.all)
	for what, got := range map[string]count{"pairs": c.pairs, "pairs never met": c.unmet, "facts": c.facts, "people": c.people} {
		if got.all < 1000 {
			continue
		}
		slack := 0.0
		if got.all < 10_000 { // two standard errors, where there are fewer of them
			slack = 2 * math.Sqrt(0.09/float64(got.all))
		}
		if s := got.share(); s < 0.88-slack || s > 0.92+slack {
			t.Errorf("%s: 90 %% intervals hold the truth %.4f of the time, want .88 to .92", what, s)
		}
	}
	for i, b := range c.below {
		if b.n < 400 {
			continue
		}
		want, got := b.want/float64(b.n), float64(b.got)/float64(b.n)
		if math.Abs(want-got) > 0.05+2.5*math.Sqrt(want*(1-want)/float64(b.n)) {
			t.Errorf("where the chance of being below is said to be about .%d5 (%.3f), %.3f are, of %d", i, want, got, b.n)
		}
	}
}
