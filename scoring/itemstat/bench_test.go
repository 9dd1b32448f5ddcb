package itemstat

import (
	"math"
	"math/rand/v2"
	"testing"
)

// simulated2PL returns people × columns right-or-wrong marks from a 2PL with
// slopes 0.6 … 1.8 and difficulties −2 … 2, and the slopes and intercepts.
func simulated2PL(t testing.TB, seed uint64, people, columns int) (m *Matrix, slope, intercept []float64) {
	t.Helper()
	rnd := rand.New(rand.NewPCG(seed, 1))
	slope, intercept = make([]float64, columns), make([]float64, columns)
	for j := range slope {
		slope[j] = 0.6 + 1.2*rnd.Float64()
		intercept[j] = -slope[j] * (4*rnd.Float64() - 2)
	}
	m = matrix(t, columns)
	m.grow(people, people*columns)
	cells := make([]Cell, columns)
	for range people {
		theta := rnd.NormFloat64()
		for j := range cells {
			cells[j] = Cell{j, indicator(rnd.Float64() < 1/(1+math.Exp(-slope[j]*theta-intercept[j])))}
		}
		if err := m.Add(1, cells...); err != nil {
			t.Fatal(err)
		}
	}
	return m, slope, intercept
}

// Alpha, alpha if deleted and the item-total correlations of 100 000 sittings of 40 items.
func BenchmarkReliability(b *testing.B) {
	m, _, _ := simulated2PL(b, 1, 100_000, 40)
	for b.Loop() {
		Reliable(m)
		itemTotals(m)
	}
}

// The rest: difficulties with their intervals and the discriminations.
func BenchmarkColumns(b *testing.B) {
	m, _, _ := simulated2PL(b, 1, 100_000, 40)
	for b.Loop() {
		Columns(m)
	}
}
