package held_test

import (
	"math/rand/v2"
	"testing"

	"soloright/scoring/held"
	"soloright/scoring/itemstat"
)

// A site of 500 people and 400 facts, most pairs met, after two years.
func site() drawn {
	w := world{people: 500, facts: 400, answers: 2.5, levels: itemstat.Beta{A: 8, B: 2}, spread: 0.6, strength: 4, guess: []float64{0.25, 0.2, 1.0 / 3, 0.5, 0, 0.04}}
	return w.draw(rand.New(rand.NewPCG(1, 1)))
}

func BenchmarkFit(b *testing.B) {
	d := site()
	b.ReportMetric(float64(len(d.Pairs)), "pairs")
	for b.Loop() {
		if _, err := held.Fit(d.Crew); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkEveryChance(b *testing.B) {
	d := site()
	m, err := held.Fit(d.Crew)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		for p := range d.People {
			for f := range d.Crew.Facts {
				if _, _, err := m.Chance(p, f, 0.9); err != nil {
					b.Fatal(err)
				}
			}
		}
	}
}

func BenchmarkPairsOfAPage(b *testing.B) {
	d := site()
	m, err := held.Fit(d.Crew)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		for p := range 40 {
			for f := range 30 {
				if _, err := m.Pair(p, f, 0.9); err != nil {
					b.Fatal(err)
				}
			}
		}
	}
}
