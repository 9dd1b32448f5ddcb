package itemhealth

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

// Part marks enter the models as they are: a family in which nobody has full
// marks has a difficulty, a harder one has a higher, and
// the reliability of the people is there.
func TestModelsTakePartMarks(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 4))
	s := NewStudy(Design{Revisions: []string{"A"}, Current: map[string]string{}, Cut: .8})
	for i := range 300 {
		ability := rnd.NormFloat64()
		for f := range 12 {
			k := 0.0 // steps taken of two
			for range 2 {
				if rnd.Float64() < 1/(1+math.Exp(-ability+float64(f%3)/2-.5)) {
					k++
				}
			}
			mark := k / 2
			if f == 0 {
				mark = min(k, 1) / 2
			}
			r := answer(fmt.Sprint("p", i), f, mark)
			r.Lead = fmt.Sprintf("fact%02d", f)
			if err := s.Add(r); err != nil {
				t.Fatal(err)
			}
		}
	}
	rep, err := s.Judge(func(float64) {})
	if err != nil {
		t.Fatal(err)
	}
	difficulty := map[string]float64{}
	for _, h := range rep.Items {
		if !h.Rasch.Known() || h.Rasch.Lo >= h.Rasch.Hi {
			t.Errorf("%s: difficulty %+v", h.Lead, h.Rasch)
		}
		difficulty[h.Lead] = h.Rasch.Value
	}
	if !(difficulty["fact01"] < difficulty["fact02"]) {
		t.Errorf("difficulties %v: fact02 is the harder", difficulty)
	}
	if rel := rep.Fit.Reliability; !rel.Known() || rel.N != 300 || rel.Value < .6 || rel.Value > .95 {
		t.Errorf("reliability %+v", rel)
	}
}
