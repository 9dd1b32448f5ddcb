package itemhealth

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"
)

// world makes answers up: people of a standard normal ability, facts of a spread of
// difficulties, one model that answers follow. Nothing is wrong with it unless a
// test plants it.
type world struct {
	rnd     *rand.Rand
	people  int
	facts   int
	share   float64 // of the people who meet a fact
	crews   []string
	design  Design
	late    float64 // share of people who meet everything on the last revision
	right   func(p person, fact int, chance float64) float64
	value   func(fact, revision int) string
	seconds func(fact int) float64
	drawn   func(p person, fact int) int // which of three wrong options
	repeats int                          // how many times a person meets a fact that is met, at most
	own     float64                      // SD of what a person alone holds or does not of a fact, in logits
}

type person struct {
	ability  float64
	crew     string
	revision int
	lean     float64 // towards the fact in question, in logits
}

var day = time.Date(2026, 1, 5, 8, 0, 0, 0, time.UTC)

func newWorld(seed uint64) *world {
	w := &world{rnd: rand.New(rand.NewPCG(seed, 7)), people: 60, facts: 60, share: 0.9, crews: []string{"Day", "Night"},
		design: Design{Revisions: []string{"A", "B"}, Current: map[string]string{}, Cut: 0.8}, late: 0.5}
	w.value = func(int, int) string { return "1" }
	return w
}

// study plays the world out: two models on each fact, either met by whoever meets it.
func (w *world) study(t testing.TB) *Study {
	t.Helper()
	for f := range w.facts {
		w.design.Current[fmt.Sprintf("fact%03d", f)] = w.value(f, len(w.design.Revisions)-1)
	}
	s := NewStudy(w.design)
	for i := range w.people {
		p := person{ability: w.rnd.NormFloat64(), crew: w.crews[i%len(w.crews)]}
		if w.rnd.Float64() < w.late {
			p.revision = len(w.design.Revisions) - 1
		}
		var marks []float64
		for f := range w.facts {
			if w.rnd.Float64() > w.share {
				continue
			}
			p.lean = w.own * w.rnd.NormFloat64()
			for range 1 + w.rnd.IntN(max(1, w.repeats)) {
				r := w.response(i, p, f)
				marks = append(marks, r.Mark)
				if err := s.Add(r); err != nil {
					t.Fatal(err)
				}
			}
		}
		s.Sitting(marks)
	}
	return s
}

func (w *world) response(i int, p person, f int) Response {
	difficulty := -1.2 + 2*float64(f%10)/9
	chance := 1 / (1 + math.Exp(-(p.ability - difficulty)))
	if w.right != nil {
		chance = w.right(p, f, chance)
	}
	if w.own > 0 && chance > 0 && chance < 1 {
		chance = 1 / (1 + math.Exp(-math.Log(chance/(1-chance))-p.lean))
	}
	r := Response{Person: fmt.Sprint("p", i), Crew: p.crew, Revision: w.design.Revisions[p.revision], Value: w.value(f, p.revision),
		Family: Family{fmt.Sprintf("fact%03d", f), []string{"alpha", "beta"}[w.rnd.IntN(2)]}, At: day.Add(time.Duration(i*w.facts+f) * time.Minute)}
	if w.facts > 0 && f%2 == 0 {
		r.Model = "alpha" // every other fact has one model, so some families have many people
	}
	r.Right = w.rnd.Float64() < chance
	if r.Right {
		r.Mark = 1
	}
	middle := 40.0
	if w.seconds != nil {
		middle = w.seconds(f)
	}
	r.Seconds = middle * math.Exp(0.5*w.rnd.NormFloat64())
	wrong := w.rnd.IntN(3)
	if w.drawn != nil {
		wrong = w.drawn(p, f)
	}
	r.Options = []Option{{"right", true, r.Right}}
	for o := range 3 {
		r.Options = append(r.Options, Option{fmt.Sprint("wrong ", o), false, !r.Right && o == wrong})
	}
	if !r.Right {
		r.Said = []string{fmt.Sprint("mistake ", wrong)}
	}
	return r
}

func (w *world) report(t testing.TB) *Report {
	t.Helper()
	r, err := w.study(t).Judge(func(float64) {})
	if err != nil {
		t.Fatal(err)
	}
	Settle(r)
	return r
}

// of are the flags of a kind, by fact.
func (r *Report) of(kind Kind, firm bool) map[string]Flag {
	out := map[string]Flag{}
	for _, h := range r.Items {
		for _, f := range h.Flags {
			if f.Kind == kind && (f.Firm || !firm) && !f.Again {
				out[h.Lead+"/"+fmt.Sprint(h.Revisions)] = f
			}
		}
	}
	return out
}
