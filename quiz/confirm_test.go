package quiz

import (
	"errors"
	"slices"
	"testing"

	"soloright/content"
)

func TestConfirming(t *testing.T) {
	src := NewSource(fakeProcedure(12), "")
	bank := NewBank(src, append(fakeModels(), fakeModel{name: "delta", count: 8, seconds: 30, shows: neighbours(src)}))
	missed := []content.FactID{"target/e0", "hold/e10"}
	var h History
	for i := range 300 {
		f, err := Confirming(bank, missed, h, seedOf(uint64(i)))
		if err != nil {
			t.Fatal(err)
		}
		if len(f.Items) != 4 || f.Cut != 100 {
			t.Fatalf("%d items at cut %d", len(f.Items), f.Cut)
		}
		seconds, seen := 0, map[string]bool{}
		for _, m := range missed {
			models := map[string]bool{}
			for _, it := range f.Items {
				if it.Lead == m {
					models[it.Model] = true
				}
			}
			if len(models) != 2 {
				t.Errorf("%s: models %v, want two", m, models)
			}
		}
		for _, it := range f.Items {
			seconds += it.Seconds
			if seen[it.ID] {
				t.Errorf("%s stands twice", it.ID)
			}
			seen[it.ID] = true
		}
		if f.Minutes*60 < seconds || f.Minutes*60 >= seconds+60 {
			t.Errorf("%d min for %d s", f.Minutes, seconds)
		}
	}
}

func TestConfirmingIsFresh(t *testing.T) {
	bank := fakeBank(4, fakeModel{name: "alpha", count: 5, seconds: 60})
	var h History
	for round, want := range []int{0, 0, 1, 2} { // 5 items: two, two, one new and one old, two old
		f, err := Confirming(bank, []content.FactID{"target/e0"}, h, seedOf(uint64(round)))
		if err != nil {
			t.Fatal(err)
		}
		old := 0
		for _, it := range f.Items {
			if slices.Contains(h.Items, it.ID) {
				old++
			}
		}
		if old != want || f.Items[0].ID == f.Items[1].ID {
			t.Errorf("round %d: %d met before, want %d (%s, %s)", round, old, want, f.Items[0].ID, f.Items[1].ID)
		}
		h = meet(h, f)
	}
}

func TestConfirmingOfAFactThatOnlyOthersList(t *testing.T) {
	m := fakeModel{name: "alpha", count: 6, seconds: 60, takes: func(f content.Fact) bool { return f.ID != "hazard/e3" },
		tests: func(f content.Fact) []content.FactID { return []content.FactID{"hazard/e3"} }}
	f, err := Confirming(fakeBank(4, m), []content.FactID{"hazard/e3"}, History{}, Seed{})
	if err != nil || len(f.Items) != 2 || !lists(f.Items[0], "hazard/e3") || !lists(f.Items[1], "hazard/e3") {
		t.Errorf("%+v, %v", f, err)
	}
}

func TestTwoOrThree(t *testing.T) {
	half := Item{Chance: Chance{Mean: Frac(1, 2)}}
	quarter := Item{Chance: Chance{Mean: Frac(1, 4)}}
	for _, c := range []struct {
		written []Item
		want    int
	}{{nil, 2}, {[]Item{quarter}, 2}, {[]Item{half}, 3}, {[]Item{quarter, half}, 3}, {[]Item{quarter, quarter}, 2}} {
		if got := TwoOrThree(c.written); got != c.want {
			t.Errorf("%d written: %d, want %d", len(c.written), got, c.want)
		}
	}
	bank := fakeBank(4)
	f, err := AssembleFor(bank, []content.FactID{"quantity/e1", "quantity/e2"}, TwoOrThree, History{}, Seed{})
	if err != nil || len(f.Items) != 4 {
		t.Errorf("chance ¼: %v", err)
	}
}

func TestConfirmingUnmet(t *testing.T) {
	for _, c := range []struct {
		name   string
		count  int
		missed []content.FactID
		want   string
	}{
		{"one item only", 1, []content.FactID{"target/e0", "target/e1"}, "fact target/e0: 2 items wanted, the bank can write 1 that do not give each other away"},
		{"unknown", 2, []content.FactID{"target/none"}, "fact target/none: the procedure does not state it for this build"},
		{"none", 2, nil, "items: there is no fact to write on"},
	} {
		_, err := Confirming(fakeBank(4, fakeModel{name: "alpha", count: c.count}), c.missed, History{}, Seed{})
		var u *Unmet
		if !errors.As(err, &u) || err.Error() != c.want {
			t.Errorf("%s: %v, want %s", c.name, err, c.want)
		}
	}
}

// An item whose stem gives its own fact never stands on a confirming form: the other
// item on that fact would be given away.
func TestConfirmingLeavesOutWhatGivesItsOwnFact(t *testing.T) {
	src := NewSource(fakeProcedure(12), "")
	own := func(f content.Fact, v int) []content.FactID {
		if v%2 == 0 {
			return nil
		}
		return []content.FactID{f.ID}
	}
	bank := NewBank(src, []Model{fakeModel{name: "half", count: 8, seconds: 30, shows: own},
		fakeModel{name: "all", count: 8, seconds: 30, shows: func(f content.Fact, _ int) []content.FactID { return []content.FactID{f.ID} }}})
	for i := range 100 {
		f, err := Confirming(bank, []content.FactID{"target/e0"}, History{}, seedOf(uint64(i)))
		if err != nil {
			t.Fatal(err)
		}
		for _, it := range f.Items {
			if len(it.Shows) > 0 {
				t.Fatalf("%s shows %v", it.ID, it.Shows)
			}
		}
	}
}
