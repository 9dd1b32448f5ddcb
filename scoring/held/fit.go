package held

import (
	"math"
	"runtime"
	"sync"

	"soloright/scoring/itemstat"
)

// Model is what a crew's answers say. It never changes and is safe for
// concurrent use.
type Model struct {
	Across   itemstat.Beta // that the facts' levels come from
	Spread   float64       // SD of the people's standings, in logits
	Strength float64       // κ

	crew   Crew
	prior  [][]itemstat.Part // of each pair with answers, without its own
	at     map[[2]int]int    // place of a pair
	level  [][]float64       // of each fact: weights of its levels
	stands [][]float64       // of each person: weights of the standings
}

// Fit fits the model. The error is a [*itemstat.RefusedError] where a number is
// out of range. Without answers everything is the weak prior. The cost is some
// ten microseconds for each pair with answers and each of at most eight rounds,
// over all cores; the result does not depend on how many there are.
func Fit(c Crew) (*Model, error) {
	if err := c.check(); err != nil {
		return nil, err
	}
	f := newFitting(c)
	for round := range 8 {
		if round%3 == 0 {
			f.chooseStrength()
		}
		f.pass()
		if f.update() < 0.01 && round > 0 {
			break
		}
	}
	f.last = true
	f.pass()
	m := &Model{Across: f.facts, Spread: f.spread, Strength: f.strength, crew: c, at: make(map[[2]int]int, len(c.Pairs)), level: f.level, stands: f.stands}
	m.prior = f.prior
	for i, p := range c.Pairs {
		m.at[[2]int{p.Person, p.Fact}] = i
	}
	return m, nil
}

// fitting is a model on the way. Each pair with answers tells its person how
// likely each standing makes them, given what the others say of the fact, and
// its fact how likely each level makes them, given what the person's other facts
// say: what a pair says is never told back to it.
type fitting struct {
	crew     Crew
	byFact   [][]int // places of pairs with answers
	patterns []pattern
	of       []int // pattern of each pair
	tables   []likelihood
	facts    itemstat.Beta
	spread   float64
	strength float64

	last bool // the pass that leaves the priors

	level  [][]float64
	likely [][]float64 // of each fact: how likely each level makes all that was answered
	stands [][]float64
	told   [][standings]float64 // by each pair to its person, how likely; highest 1
	prior  [][]itemstat.Part
}

func newFitting(c Crew) *fitting {
	f := &fitting{crew: c, byFact: make([][]int, c.Facts), of: make([]int, len(c.Pairs)), spread: 0.5, strength: strengthCentre,
		level: make([][]float64, c.Facts), likely: make([][]float64, c.Facts), stands: make([][]float64, c.People), told: make([][standings]float64, len(c.Pairs)), prior: make([][]itemstat.Part, len(c.Pairs))}
	for i := range f.told {
		for k := range f.told[i] {
			f.told[i][k] = 1
		}
	}
	known := map[string]int{}
	right, all := 1.0, 2.0
	for i, p := range c.Pairs {
		if answered(p.Tallies) == 0 {
			f.of[i] = -1
			continue
		}
		key := patternKey(p.Tallies)
		place, ok := known[key]
		if !ok {
			place = len(f.patterns)
			known[key] = place
			f.patterns = append(f.patterns, patternOf(p.Tallies))
		}
		f.of[i] = place
		f.byFact[p.Fact] = append(f.byFact[p.Fact], i)
		for _, t := range p.Tallies {
			right, all = right+float64(t.Right), all+float64(t.Answered)
		}
	}
	share := right / all
	f.facts = itemstat.Beta{A: strengthCentre * share, B: strengthCentre * (1 - share)}
	f.standFirst()
	return f
}

// standFirst puts everybody where the prior has them.
func (f *fitting) standFirst() {
	w := f.standingPrior()
	for p := range f.stands {
		f.stands[p] = w[:]
	}
}

func (f *fitting) standingPrior() (w [standings]float64) {
	for k := range w {
		z := standingAt(k) / f.spread
		w[k] = math.Exp(-z * z / 2)
	}
	normalise(w[:])
	return w
}

// normalise makes weights add up to 1.
func normalise(w []float64) {
	sum := 0.0
	for _, v := range w {
		sum += v
	}
	for i := range w {
		w[i] /= sum
	}
}

// weigh turns logarithms into weights and returns the logarithm of their sum.
func weigh(logs []float64) float64 {
	top := math.Inf(-1)
	for _, v := range logs {
		top = max(top, v)
	}
	sum := 0.0
	for i, v := range logs {
		logs[i] = math.Exp(v - top)
		sum += logs[i]
	}
	for i := range logs {
		logs[i] /= sum
	}
	return top + math.Log(sum)
}

func (f *fitting) tabulate() {
	f.tables = make([]likelihood, len(f.patterns))
	each(len(f.patterns), func(i int) { f.patterns[i].likelihood(f.strength, &f.tables[i]) })
}

// each calls do for 0..n−1, on all cores.
func each(n int, do func(i int)) {
	workers := min(runtime.GOMAXPROCS(0), n)
	var wg sync.WaitGroup
	for w := range workers {
		wg.Go(func() {
			for i := w; i < n; i += workers {
				do(i)
			}
		})
	}
	wg.Wait()
}
