package api

import (
	"fmt"
	"math"
	"testing"
	"time"

	"soloright/scoring/itemstat"
)

// oneTry is a try with so many right of so many sheets, each right by luck with the
// chance g.
func oneTry(id, person string, day, right, of int, g float32) heardTry {
	t := heardTry{sitting: id, person: person, procedure: "p", at: time.Date(2026, 3, day, 9, 0, 0, 0, time.UTC)}
	for i := range of {
		t.right = append(t.right, i < right)
		t.chance = append(t.chance, g)
		mark := float32(0)
		if i < right {
			mark = 1
		}
		t.marks = append(t.marks, mark)
	}
	return t
}

// crewOf is a crew with one try each, the shares right going up.
func crewOf(people int) []heardTry {
	var out []heardTry
	for i := range people {
		out = append(out, oneTry(fmt.Sprint("s", i), fmt.Sprint("other", i), 1, 22+i%10, 32, .2))
	}
	return out
}

// below sums the posterior over a fine grid of h: the chance that less than the
// level is held, with nothing in common with the closed form but Bayes's rule.
func below(prior itemstat.Beta, level float64, tries ...heardTry) float64 {
	const n = 100_000
	sum, low := 0.0, 0.0
	for i := range n {
		h := (float64(i) + .5) / n
		l := (prior.A-1)*math.Log(h) + (prior.B-1)*math.Log1p(-h)
		for _, t := range tries {
			for j, ok := range t.right {
				p := h + (1-h)*float64(t.chance[j])
				if !ok {
					p = 1 - p
				}
				l += math.Log(p)
			}
		}
		d := math.Exp(l + 20)
		sum += d
		if h < level {
			low += d
		}
	}
	return low / sum
}

func TestTheRiskOfOneResult(t *testing.T) {
	first, second := oneTry("one", "me", 2, 20, 32, .25), oneTry("two", "me", 5, 29, 32, .1)
	later := oneTry("three", "me", 9, 3, 32, .25)
	s := Sitting{ID: "two", Person: "me", Procedure: "p", HandedIn: second.at}
	got, err := riskOf(s, 80, append(crewOf(30), first, second))
	if err != nil {
		t.Fatal(err)
	}
	if got.Right != 29 || got.Of != 32 || got.Tries != 2 || got.Crew == nil || got.CrewPeople != 30 {
		t.Fatalf("%+v", got)
	}
	if want := below(got.Prior, .8, first, second); math.Abs(got.Crew.Below-want) > 1e-4 || got.Below() != got.Crew.Below {
		t.Errorf("by the crew's prior %v the risk is %.5f, want %.5f", got.Prior, got.Crew.Below, want)
	}
	if want := below(itemstat.JeffreysPrior, .8, first, second); math.Abs(got.Alone.Below-want) > 1e-4 {
		t.Errorf("by Jeffreys's prior the risk is %.5f, want %.5f", got.Alone.Below, want)
	}
	one, err := riskOf(s, 80, append(crewOf(30), second))
	if err != nil || one.Crew.Below >= got.Crew.Below || one.Prior != got.Prior {
		t.Errorf("without the failed try: risk %.4f with it %.4f, priors %v and %v, %v; every try counts, and one's own never make the prior", one.Crew.Below, got.Crew.Below, one.Prior, got.Prior, err)
	}
	few, err := riskOf(s, 80, append(crewOf(29), first, second))
	if err != nil || few.Crew != nil || few.Why == "" || few.Below() != got.Alone.Below {
		t.Errorf("below 30 other people: %+v, %v; want Jeffreys's prior alone", few, err)
	}
	m := newTryMemory()
	m.tries = map[string]heardTry{"one": first, "two": second, "three": later}
	if on := m.on("p", second.at); len(on) != 2 || on[0].sitting != "one" {
		t.Errorf("tries up to the second: %d", len(on))
	}
}

// The KR-20 data of the published teaching example (East Carolina University), cut
// 7 of 10: Subkoviak .7079 and .3944, Huynh .75845 and .51031.
func TestSurenessOfPublishedData(t *testing.T) {
	var tries []heardTry
	for i, row := range []string{"1111110110", "1011011101", "1111011001", "0010001000", "0000010010", "1110111111", "1101110111", "1111111101", "0101111101", "1101101110"} {
		try := heardTry{sitting: fmt.Sprint(i), person: fmt.Sprint(i)}
		for _, c := range row {
			try.marks = append(try.marks, float32(c-'0'))
		}
		tries = append(tries, try)
	}
	s := Sureness{Items: 10, Needed: 7, Cut: 70}
	if err := s.judge(lastTries(tries, 10)); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name        string
		got         itemstat.Figure
		want, right float64
	}{
		{"Subkoviak p", s.Subkoviak.Agreement, .7079, 5e-5}, {"Subkoviak κ", s.Subkoviak.Kappa, .3944, 5e-5},
		{"Huynh p", s.Huynh.Agreement, .75845, 5e-6}, {"Huynh κ", s.Huynh.Kappa, .51031, 5e-6},
	} {
		if !c.got.Known() || math.Abs(c.got.Value-c.want) > c.right || c.got.N != 10 {
			t.Errorf("%s: %+v, want %v", c.name, c.got, c.want)
		}
	}
	if !s.Phi.Known() || !s.LivingstonLewis.Agreement.Known() || !s.Accuracy.Right.Known() {
		t.Errorf("%+v", s)
	}
	var none Sureness
	if err := none.judge(nil); err != nil || none.Phi.Known() || none.Accuracy.FalsePass.Known() || none.Huynh.Kappa.Known() {
		t.Errorf("of nobody: %+v, %v", none, err)
	}
	alike := []heardTry{oneTry("a", "a", 1, 8, 10, 0), oneTry("b", "b", 1, 8, 10, 0)}
	c := Sureness{Items: 10, Needed: 7, Cut: 70}
	if err := c.judge(alike); err != nil || c.Subkoviak.Kappa.Known() || c.LivingstonLewis.Kappa.Known() {
		t.Errorf("of two alike: %+v, %v; want reasons", c, err)
	}
}

// Each person's last try counts, and only on forms of the length asked about.
func TestLastTries(t *testing.T) {
	got := lastTries([]heardTry{oneTry("a1", "a", 1, 3, 10, 0), oneTry("b1", "b", 2, 3, 12, 0), oneTry("a2", "a", 3, 9, 10, 0)}, 10)
	if len(got) != 1 || got[0].sitting != "a2" {
		t.Errorf("%+v", got)
	}
}
