package quiz

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"soloright/content"
)

// meet adds a form to what a person has met.
func meet(h History, f *Form) History {
	for _, it := range f.Items {
		h.Items = append(h.Items, it.ID)
		for _, t := range it.Facts {
			h.Facts = append(h.Facts, t.Fact)
		}
	}
	return h
}

// familyOf is model and fact of a fake item's id.
func familyOf(id string) string { return id[:strings.LastIndex(id, "|")] }

// One person sits form after form. No item comes twice while its family has
// another: 6 of alpha, 5 of beta on each of 80 facts.
func TestNoItemTwice(t *testing.T) {
	alpha, beta := fakeModel{name: "alpha", count: 6, seconds: 60}, fakeModel{name: "beta", count: 5, seconds: 60}
	bank := fakeBank(10, alpha, beta)
	bp := content.Blueprint{Items: 24, Minutes: 60, Always: []content.FactID{"target/e0"}}
	size := map[string]int{"alpha": alpha.count, "beta": beta.count}
	met, used := map[string]bool{}, map[string]int{}
	var h History
	for i := range 60 {
		f, err := Assemble(bank, bp, h, seedOf(uint64(i)))
		if err != nil {
			t.Fatal(err)
		}
		for _, it := range f.Items {
			if fam := familyOf(it.ID); met[it.ID] && used[fam] < size[it.Model] {
				t.Fatalf("form %d: %s comes again, its family has %d of %d used", i, it.ID, used[fam], size[it.Model])
			}
		}
		for _, it := range f.Items {
			if !met[it.ID] {
				met[it.ID] = true
				used[familyOf(it.ID)]++
			}
		}
		h = meet(h, f)
	}
	if len(met) != 80*11 { // 60 forms of 24 are more than there is: everything came up
		t.Errorf("%d of %d items came up", len(met), 80*11)
	}
}

// An item met before stands on a form only where nothing new can take its place.
func TestRepeatsComeLast(t *testing.T) {
	bank := fakeBank(5, fakeModel{name: "alpha", count: 1, seconds: 60})
	bp := content.Blueprint{Items: 20, Minutes: 60, Always: []content.FactID{"target/e0"}}
	var h History
	for round := range 2 {
		f, err := Assemble(bank, bp, h, seedOf(uint64(round)))
		if err != nil {
			t.Fatal(err)
		}
		again := 0
		for _, it := range f.Items {
			if slices.Contains(h.Items, it.ID) {
				again++
			}
		}
		if want := round; again != want { // 40 facts: the second form has 19 new ones, and the one that always appears
			t.Errorf("round %d: %d repeated items, want %d", round, again, want)
		}
		h = meet(h, f)
	}
}

func TestUnmetFactsComeFirst(t *testing.T) {
	bank := fakeBank(5)
	bp := content.Blueprint{Items: 20, Minutes: 60}
	f, err := Assemble(bank, bp, History{}, seedOf(1))
	if err != nil {
		t.Fatal(err)
	}
	h := meet(History{}, f)
	g, err := Assemble(bank, bp, h, seedOf(2))
	if err != nil {
		t.Fatal(err)
	}
	for _, it := range g.Items {
		if slices.Contains(h.Facts, it.Lead) {
			t.Errorf("%s was met, and there are 20 facts that were not", it.Lead)
		}
	}
}

// With everything met, a topic gives first what was met longest ago.
func TestLongestAgoComesFirst(t *testing.T) {
	bank := fakeBank(6)
	var h History
	for i := range 6 { // the facts of the topic in order, the last met first
		h.Facts = append(h.Facts, content.FactID(fmt.Sprintf("target/e%d", 5-i)))
	}
	f, err := Assemble(bank, content.Blueprint{Items: 3, Minutes: 60, Topics: []content.TopicRule{{Topic: content.TopicTightening, Min: 3}}}, h, Seed{})
	if err != nil {
		t.Fatal(err)
	}
	for _, it := range f.Items {
		if !slices.Contains(h.Facts[:3], it.Lead) {
			t.Errorf("%s came before one that was met earlier", it.Lead)
		}
	}
}

func TestMissedFactsComeAgain(t *testing.T) {
	bank := fakeBank(8)
	bp := DefaultBlueprint(bank.Source().Procedure, bank)
	f, err := Assemble(bank, bp, History{}, seedOf(1))
	if err != nil {
		t.Fatal(err)
	}
	h := meet(History{}, f)
	for _, it := range f.Items[:12] {
		h.Missed = append(h.Missed, it.Lead, it.Lead)
	}
	for i := range 100 {
		g, err := Assemble(bank, bp, h, seedOf(uint64(i)))
		if err != nil {
			t.Fatal(err)
		}
		if bad := formFaults(g, bp); len(bad) > 0 {
			t.Fatal(bad)
		}
		for _, m := range h.Missed {
			if !slices.ContainsFunc(g.Items, func(it Item) bool { return lists(it, m) && !slices.Contains(h.Items, it.ID) }) {
				t.Errorf("%s was missed and does not come as a fresh item", m)
			}
		}
	}
}

// More missed than a form has room for: the blueprint goes before.
func TestMissedFactsGiveWayToTheBlueprint(t *testing.T) {
	bank := fakeBank(8)
	bp := DefaultBlueprint(bank.Source().Procedure, bank)
	var h History
	for _, l := range bank.leads {
		h.Missed = append(h.Missed, l.fact.ID)
	}
	f, err := Assemble(bank, bp, h, seedOf(1))
	if err != nil {
		t.Fatal(err)
	}
	if bad := formFaults(f, bp); len(bad) > 0 {
		t.Fatal(bad)
	}
}

func TestShuffleDealsEachOnce(t *testing.T) {
	a := newAssembler(fakeBank(1), History{}, seedOf(9))
	count := map[string]int{}
	n := 24_000
	if testing.Short() {
		n = 6000
	}
	for range n {
		s := newShuffle(4)
		var got []int
		for s.left() > 0 {
			got = append(got, s.deal(a.rnd))
		}
		count[fmt.Sprint(got)]++
	}
	chi, want := 0.0, float64(n)/24
	for _, c := range count {
		chi += (float64(c) - want) * (float64(c) - want) / want
	}
	// 0.999 quantile of chi-square with 23 degrees of freedom: 49.728 (NIST/SEMATECH handbook, table 1.3.6.7.4)
	if len(count) != 24 || chi > 49.728 {
		t.Errorf("%d orders of 24, chi-square %.1f", len(count), chi)
	}
}
