package itemhealth

import (
	"math"
	"testing"
)

// Where nothing is wrong anywhere, at most one analysis in ten has a firm flag of
// any one kind (Discovery), and the flags that are raised at all stay within what luck
// gives. 200 analyses of 90 families each, half of them
// of answers that have nothing to do with ability, which is the hardest case for a
// correlation, and half of people who meet facts up to five times and are of one mind; the bound is 3 standard errors above
// the nominal one.
func TestFalseAlarms(t *testing.T) {
	runs := 200
	if testing.Short() {
		runs = 60
	}
	firm, raised, looked := map[Kind]int{}, map[Kind]int{}, map[Kind]int{}
	for i := range runs {
		w := newWorld(uint64(1000 + i))
		w.people = 45 + 10*(i%4)
		if i%4 >= 2 { // people meet facts several times, and each holds some for good
			w.repeats, w.own = 5, 1
		}
		if i%2 == 1 {
			w.right = func(person, int, float64) float64 { return 0.6 }
		}
		s := w.study(t)
		r, err := s.Judge(func(float64) {})
		if err != nil {
			t.Fatal(err)
		}
		any := map[Kind]bool{}
		tests := r.tests
		Settle(r)
		for _, x := range tests {
			looked[x.flag.Kind]++
			if x.raised {
				raised[x.flag.Kind]++
			}
			any[x.flag.Kind] = any[x.flag.Kind] || x.raised && x.flag.Firm && x.flag.Kind != NobodyMisses
		}
		for k, yes := range any {
			if yes {
				firm[k]++
			}
		}
	}
	n := float64(runs)
	for _, k := range []Kind{BetterMiss, CrewsDiffer, Drifts, Slow, NobodyTakes} {
		most := Discovery*n + 3*0.3*math.Sqrt(n)
		t.Logf("%s: firm in %d of %d analyses; raised in %d of %d looks", k, firm[k], runs, raised[k], looked[k])
		if float64(firm[k]) > most {
			t.Errorf("%s: a firm flag in %d of %d analyses where nothing is wrong, at most %.0f", k, firm[k], runs, most)
		}
		if looked[k] == 0 || float64(raised[k]) > 0.06*float64(looked[k]) {
			t.Errorf("%s: raised in %d of %d looks", k, raised[k], looked[k])
		}
	}
}
