package itemstat_test

import (
	"math"
	"testing"

	"soloright/scoring/itemstat"
)

// One part is the plain posterior; parts are weighed by how likely they make the
// answers, which is worked out here by summing over a fine grid of h.
func TestPosteriorOver(t *testing.T) {
	tallies := []itemstat.Tally{{Right: 3, Answered: 5, Guess: 0.25}, {Right: 1, Answered: 2}}
	for _, parts := range [][]itemstat.Part{
		{{Beta: itemstat.Beta{A: 2, B: 3}, Weight: 1}},
		{{Beta: itemstat.Beta{A: 2, B: 3}, Weight: 2}, {Beta: itemstat.Beta{A: 9, B: 1.5}, Weight: 1}},
	} {
		got, err := itemstat.PosteriorOver(parts, 0.7, tallies...)
		if err != nil {
			t.Fatal(err)
		}
		const n = 200_000
		sum, mean, below := 0.0, 0.0, 0.0
		for i := range n {
			h := (float64(i) + 0.5) / n
			d := 0.0
			for _, p := range parts {
				c := math.Gamma(p.A+p.B) / math.Gamma(p.A) / math.Gamma(p.B)
				d += p.Weight * c * math.Pow(h, p.A-1) * math.Pow(1-h, p.B-1)
			}
			d *= math.Pow(h+(1-h)*0.25, 3) * math.Pow((1-h)*0.75, 2) * h * (1 - h)
			sum, mean = sum+d, mean+d*h
			if h < 0.7 {
				below += d
			}
		}
		if math.Abs(got.Share.Value-mean/sum) > 1e-6 || math.Abs(got.Below-below/sum) > 1e-5 || got.Share.N != 7 {
			t.Errorf("%+v: mean %.7f, below %.6f, n %d; want %.7f and %.6f", parts, got.Share.Value, got.Below, got.Share.N, mean/sum, below/sum)
		}
		m, b, err := itemstat.ChanceOver(parts, 0.7, tallies...)
		if err != nil || m != got.Share.Value || b != got.Below {
			t.Errorf("without the interval: %v, %v (%v), want %+v", m, b, err, got)
		}
	}
	plain, err := itemstat.Posterior(itemstat.Beta{A: 2, B: 3}, 0.7, tallies...)
	over, err2 := itemstat.PosteriorOver([]itemstat.Part{{Beta: itemstat.Beta{A: 2, B: 3}, Weight: 5}}, 0.7, tallies...)
	if err != nil || err2 != nil || math.Abs(plain.Share.Lo-over.Share.Lo)+math.Abs(plain.Share.Hi-over.Share.Hi) > 1e-9 {
		t.Errorf("one part gives %+v, the plain posterior %+v", over, plain)
	}
	for _, bad := range [][]itemstat.Part{nil, {{Beta: itemstat.Beta{A: 1, B: 1}}}, {{Beta: itemstat.Beta{A: math.NaN(), B: 1}, Weight: 1}}, {{Beta: itemstat.Beta{A: 0, B: 1}, Weight: 1}}} {
		if _, err := itemstat.PosteriorOver(bad, 0.7); err == nil {
			t.Errorf("%v is taken for a prior", bad)
		}
	}
}
