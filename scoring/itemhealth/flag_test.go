package itemhealth

import (
	"math"
	"slices"
	"strings"
	"testing"
)

// Each planted fault raises its flag on its fact, firmly, and no flag of its kind on
// another; without the fault there is none.
func TestPlantedFaults(t *testing.T) {
	const at = 4 // an even one: all of its people meet it by one model
	for _, c := range []struct {
		kind  Kind
		plant func(*world)
		says  string
	}{
		{BetterMiss, func(w *world) {
			w.right = func(p person, f int, chance float64) float64 {
				if f == at {
					return 1 / (1 + math.Exp(2*p.ability))
				}
				return chance
			}
		}, "Who does better elsewhere misses it more: correlation −0."},
		{NobodyMisses, func(w *world) {
			w.right = func(_ person, f int, chance float64) float64 {
				if f == at {
					return 1
				}
				return min(chance, 0.9)
			}
		}, "people missed it; at most"},
		{NobodyTakes, func(w *world) {
			w.drawn = func(_ person, f int) int {
				if f == at {
					return 1 + w.rnd.IntN(2)
				}
				return w.rnd.IntN(3)
			}
		}, "“wrong 0” was offered to"},
		{Slow, func(w *world) {
			w.seconds = func(f int) float64 {
				if f == at {
					return 160
				}
				return 40
			}
		}, "s or longer; on"},
		{Drifts, func(w *world) {
			w.right = func(p person, f int, chance float64) float64 {
				if f == at {
					return []float64{0.15, 0.9}[p.revision]
				}
				return chance
			}
		}, "Whoever met it since revision B holds it more often than whoever met it before and is alike elsewhere: right in "},
		{CrewsDiffer, func(w *world) {
			w.right = func(p person, f int, chance float64) float64 {
				if f == at {
					return map[string]float64{"Day": 0.9, "Night": 0.15}[p.crew]
				}
				return chance
			}
		}, "Crew Night holds it less often than other people who are alike elsewhere: right in "},
	} {
		t.Run(string(c.kind), func(t *testing.T) {
			clean, planted := newWorld(11), newWorld(11)
			clean.people, planted.people = 90, 90
			c.plant(planted)
			if c.kind == NobodyMisses {
				clean.right = func(_ person, _ int, chance float64) float64 { return min(chance, 0.9) }
			}
			if got := clean.report(t).of(c.kind, true); len(got) > 0 {
				t.Errorf("nothing is wrong, and yet: %v", got)
			}
			got := planted.report(t).of(c.kind, true)
			if len(got) != 1 {
				t.Fatalf("one fault, and firm flags: %v", got)
			}
			for name, f := range got {
				if !strings.HasPrefix(name, "fact004") || !strings.Contains(f.Sentence, c.says) || f.Looked < 1 {
					t.Errorf("%s, looked %d times: %s", name, f.Looked, f.Sentence)
				}
			}
		})
	}
}

// A key that was wrong in revision A and is corrected in B is flagged on A's
// answers and not on B's.
func TestWrongKeyOfAnEarlierRevision(t *testing.T) {
	w := newWorld(3)
	w.people = 120
	w.value = func(f, revision int) string {
		if f == 4 {
			return []string{"wrong way round", "right way round"}[revision]
		}
		return "1"
	}
	w.right = func(p person, f int, chance float64) float64 {
		if f == 4 && p.revision == 0 {
			return 1 / (1 + math.Exp(2*p.ability))
		}
		return chance
	}
	r := w.report(t)
	if got := r.of(BetterMiss, true); len(got) != 1 || got["fact004/[A]"].Kind == "" {
		t.Errorf("flags: %v", got)
	}
	worst := r.Items[0]
	if worst.Lead != "fact004" || worst.Current || !slices.Equal(worst.Revisions, []string{"A"}) {
		t.Errorf("the worst is %s on %v, current %v", worst.Lead, worst.Revisions, worst.Current)
	}
	for _, h := range r.Items {
		if h.Lead == "fact004" && slices.Equal(h.Revisions, []string{"B"}) && (!h.Current || h.ItemTotal.Value < 0.1) {
			t.Errorf("on B: current %v, item-total %v", h.Current, h.ItemTotal)
		}
	}
}

// From 100 people in the smaller crew there is a size class; below there is none,
// and a shrunken odds ratio instead (measurement.md's table).
func TestSizeClassFromAHundred(t *testing.T) {
	for people, class := range map[int]bool{150: false, 260: true} {
		w := newWorld(5)
		w.people, w.facts = people, 20
		w.right = func(p person, f int, chance float64) float64 {
			if f == 4 && p.crew == "Night" {
				return chance / 5
			}
			return chance
		}
		got := w.report(t).of(CrewsDiffer, true)
		f, found := got["fact004/[A B]"]
		if !found {
			t.Fatalf("%d people: %v", people, got)
		}
		if (f.Difference.Size != "") != class || strings.Contains(f.Sentence, "size class C") != class {
			t.Errorf("%d people: class %q: %s", people, f.Difference.Size, f.Sentence)
		}
	}
}

// A flag on a fact stands on each of its families and is counted once.
func TestFlagsOfAFactAreCountedOnce(t *testing.T) {
	w := newWorld(8)
	w.people = 90
	w.right = func(p person, f int, chance float64) float64 {
		if f == 5 { // an odd one: by two models
			return map[string]float64{"Day": 0.95, "Night": 0.1}[p.crew]
		}
		return chance
	}
	first, again := 0, 0
	for _, h := range w.report(t).Items {
		for _, f := range h.Flags {
			if f.Kind == CrewsDiffer && h.Lead == "fact005" {
				if f.Again {
					again++
				} else {
					first++
				}
			}
		}
	}
	if first != 1 || again != 1 {
		t.Errorf("%d first, %d again", first, again)
	}
}

// The example of Benjamini and Hochberg (1995), 15 p-values from their section 4,
// from memory: at 0.05 the four smallest are rejected.
func TestAdjusted(t *testing.T) {
	p := []float64{0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459, 0.3240, 0.4262, 0.5719, 0.6528, 0.7590, 1.0000}
	rejected := 0
	for i, q := range adjusted(p) {
		if q <= 0.05 {
			rejected++
		}
		if i > 0 && q < adjusted(p)[i-1] {
			t.Errorf("the adjusted values fall at %d", i)
		}
	}
	if rejected != 4 {
		t.Errorf("%d rejected, want 4", rejected)
	}
	if q := adjusted([]float64{0.5}); q[0] != 0.5 || len(adjusted(nil)) != 0 {
		t.Errorf("one p-value: %v", q)
	}
}

// What may fail the wrong people comes first, what only wastes a question after it,
// and what a fact's other family says already last.
func TestRank(t *testing.T) {
	flagged := func(kind Kind, firm, again bool) Health {
		return Health{Flags: []Flag{{Kind: kind, Firm: firm, Again: again}}}
	}
	order := []Health{flagged(BetterMiss, true, false), flagged(Drifts, true, false), flagged(BetterMiss, false, false), flagged(CrewsDiffer, false, false),
		flagged(NobodyMisses, true, false), flagged(NobodyTakes, true, false), flagged(NobodyMisses, false, false), flagged(CrewsDiffer, true, true), {}}
	for i := 1; i < len(order); i++ {
		if Rank(order[i-1], order[i]) >= 0 || Rank(order[i], order[i-1]) <= 0 {
			t.Errorf("%v does not come before %v", order[i-1].Flags, order[i].Flags)
		}
	}
	if f, ok := order[1].Worst(); !ok || f.Kind != Drifts {
		t.Errorf("the worst flag: %v, %v", f, ok)
	}
	if _, ok := order[8].Worst(); ok {
		t.Error("a family without flags has a worst one")
	}
}
