package quiz

import (
	"encoding/json"
	"errors"
	"slices"
	"strings"
	"testing"

	"soloright/content"

	"github.com/google/go-cmp/cmp"
)

// No form holds what is withdrawn, whoever has met what, and each says what it
// was set without; the same withdrawal set again gives the same bytes.
func TestNothingWithdrawnIsWritten(t *testing.T) {
	whole := fakeBank(3)
	fact := whole.leads[0].fact.ID
	gone := []Withdrawn{{Fact: fact, Model: "beta"}}
	for v := range 5 { // of the six that alpha writes
		gone = append(gone, Withdrawn{Fact: fact, Model: "alpha", Item: "alpha|" + string(fact) + "|" + string(rune('0'+v))})
	}
	bank := whole.Without(append(slices.Clone(gone), Withdrawn{Fact: "nowhere/x", Model: "alpha"}))
	bp := content.Blueprint{Items: 12, Minutes: 60, Always: []content.FactID{fact}}
	var h History
	for i := range 30 {
		f, err := Assemble(bank, bp, h, seedOf(uint64(i)))
		if err != nil {
			t.Fatal(err)
		}
		if len(f.Without) != len(gone) {
			t.Fatalf("the form says that it was set without %v", f.Without)
		}
		led := false
		for _, it := range f.Items {
			if slices.ContainsFunc(gone, func(w Withdrawn) bool { return w.Covers(it) }) {
				t.Fatalf("form %d holds %s", i, it.ID)
			}
			led = led || it.ID == "alpha|"+string(fact)+"|5"
		}
		if !led {
			t.Fatalf("form %d lacks the one item on %s that is left", i, fact)
		}
		again, err := Assemble(whole.Without(f.Without), bp, h, seedOf(uint64(i)))
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(encoded(t, f), encoded(t, again)); diff != "" {
			t.Fatal(diff)
		}
		h = meet(h, f)
	}
}

// The confirming step writes nothing withdrawn either.
func TestConfirmingWithoutWithdrawn(t *testing.T) {
	whole := fakeBank(3)
	fact := whole.leads[0].fact.ID
	f, err := Confirming(whole.Without([]Withdrawn{{Fact: fact, Model: "alpha"}, {Fact: fact, Model: "gamma"}}), []content.FactID{fact}, History{}, seedOf(1))
	if err != nil {
		t.Fatal(err)
	}
	for _, it := range f.Items {
		if it.Model != "beta" {
			t.Errorf("the form holds %s", it.ID)
		}
	}
}

// Without a withdrawal that it has, a bank is itself and its forms keep their bytes.
func TestWithoutNothing(t *testing.T) {
	bank := fakeBank(3)
	if bank.Without(nil) != bank || bank.Without([]Withdrawn{{Fact: "nowhere/x", Model: "alpha"}}) != bank {
		t.Error("a bank without nothing is another bank")
	}
	f, err := Assemble(bank, content.Blueprint{Items: 12, Minutes: 60}, History{}, seedOf(1))
	if err != nil {
		t.Fatal(err)
	}
	if strings.Contains(encoded(t, f), "without") {
		t.Error("a form set from the whole bank says what it was set without")
	}
}

// A fact whose every model is withdrawn leads no item, and a blueprint that needs
// it says so.
func TestWithoutEveryModel(t *testing.T) {
	whole := fakeBank(3)
	fact := whole.leads[0].fact.ID
	bank := whole.Without([]Withdrawn{{Fact: fact, Model: "alpha"}, {Fact: fact, Model: "beta"}, {Fact: fact, Model: "gamma"}})
	if n := len(bank.FamiliesOf(fact)); n > 0 || len(whole.FamiliesOf(fact)) == 0 {
		t.Errorf("%d families are left, the whole bank has %d", n, len(whole.FamiliesOf(fact)))
	}
	if len(bank.Unwritten()) != len(whole.Unwritten())+1 {
		t.Errorf("unwritten: %v", bank.Unwritten())
	}
	if _, err := Assemble(bank, content.Blueprint{Items: 12, Minutes: 60, Always: []content.FactID{fact}}, History{}, seedOf(1)); err == nil {
		t.Error("a fact that nothing can be written on always appears")
	}
}

// A family of which every single item is withdrawn leaves no hole on a form: the
// blueprint that needs its fact is not met.
func TestWithoutEveryItem(t *testing.T) {
	whole := fakeBank(2, fakeModel{name: "one", count: 1, seconds: 60})
	fact, all := whole.leads[0].fact.ID, len(whole.leads)
	bank := whole.Without([]Withdrawn{{Fact: fact, Model: "one", Item: "one|" + string(fact) + "|0"}})
	if _, err := Assemble(whole, content.Blueprint{Items: all, Minutes: 60}, History{}, seedOf(1)); err != nil {
		t.Fatal(err)
	}
	var u *Unmet
	f, err := Assemble(bank, content.Blueprint{Items: all, Minutes: 60}, History{}, seedOf(1))
	if !errors.As(err, &u) {
		t.Errorf("%v, a form %v", err, f != nil)
	}
}

func encoded(t *testing.T, f *Form) string {
	t.Helper()
	b, err := json.Marshal(f)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}
