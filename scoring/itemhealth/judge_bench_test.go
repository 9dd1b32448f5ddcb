package itemhealth

import "testing"

// BenchmarkJudge judges 500 people × 300 facts, about 450 families.
func BenchmarkJudge(b *testing.B) {
	w := newWorld(1)
	w.people, w.facts, w.share = 500, 300, 0.8
	s := w.study(b)
	for b.Loop() {
		r, err := s.Judge(func(float64) {})
		if err != nil {
			b.Fatal(err)
		}
		Settle(r)
	}
}
