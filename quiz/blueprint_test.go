package quiz

import (
	"slices"
	"testing"

	"soloright/content"
)

// A default blueprint can be met whatever the bank is like.
func TestDefaultBlueprintIsMet(t *testing.T) {
	src := NewSource(fakeProcedure(8), "")
	allOfKind := func(f content.Fact, _ int) (out []content.FactID) { // at most one of a kind fits on a form
		for _, g := range src.Index.Of(f.Kind) {
			if g.ID != f.ID && f.Kind != content.KindSetting {
				out = append(out, g.ID)
			}
		}
		return out
	}
	for _, c := range []struct {
		name  string
		n     int
		model fakeModel
		items int // that the default asks for
	}{
		{"plenty", 8, fakeModel{name: "alpha", count: 6, seconds: 60}, 30},
		{"few facts", 2, fakeModel{name: "alpha", count: 6, seconds: 60}, 16},
		{"one of each kind", 8, fakeModel{name: "alpha", count: 6, seconds: 60, shows: allOfKind}, 15}, // 8 settings and 7 other kinds
		{"one fact", 1, fakeModel{name: "alpha", count: 1, seconds: 60, takes: func(f content.Fact) bool { return f.Kind == content.KindHold }}, 1},
	} {
		bank := NewBank(NewSource(fakeProcedure(c.n), ""), []Model{c.model})
		bp := DefaultBlueprint(bank.Source().Procedure, bank)
		if bp.Items != c.items || bp.Cut != 80 || bp.Procedure != "fake" {
			t.Errorf("%s: %+v, want %d items", c.name, bp, c.items)
		}
		for i := range 50 {
			f, err := Assemble(bank, bp, History{}, seedOf(uint64(i)))
			if err != nil {
				t.Fatalf("%s, seed %d: %v", c.name, i, err)
			}
			if bad := formFaults(f, bp); len(bad) > 0 {
				t.Fatalf("%s, seed %d: %v", c.name, i, bad)
			}
		}
	}
}

// What always appears is critical, not on isolation, and can be confirmed with two
// fresh items; the form allows one item on isolation and eight critical ones.
func TestDefaultBlueprintAsksForFewCriticals(t *testing.T) {
	few := func(f content.Fact) bool { return f.Kind != content.KindFacing }
	bank := fakeBank(12, fakeModel{name: "alpha", count: 3, seconds: 60, takes: few},
		fakeModel{name: "beta", count: 2, seconds: 60, takes: func(f content.Fact) bool { return !few(f) }})
	bp := DefaultBlueprint(bank.Source().Procedure, bank)
	if len(bp.Always) != 4 || bp.MaxIsolation != 1 || bp.MaxCritical != 8 {
		t.Errorf("%+v", bp)
	}
	topics := map[content.Topic]bool{}
	for _, id := range bp.Always {
		f, _ := bank.Source().Index.Fact(id)
		if !f.Critical || f.Isolation() || f.Kind == content.KindFacing || topics[f.Kind.Topic()] {
			t.Errorf("%s always appears", id)
		}
		topics[f.Kind.Topic()] = true
	}
}

// A fact that every item on another one shows does not always appear: the other
// could never be asked.
func TestDefaultBlueprintShutsNoFactOut(t *testing.T) {
	tells := func(f content.Fact, _ int) []content.FactID {
		if f.ID == "target/e3" {
			return []content.FactID{"inspection/e0/c"}
		}
		return nil
	}
	bank := fakeBank(8, fakeModel{name: "alpha", count: 6, seconds: 60, shows: tells})
	bp := DefaultBlueprint(bank.Source().Procedure, bank)
	if slices.Contains(bp.Always, "inspection/e0/c") || len(bp.Always) != 4 {
		t.Errorf("always %v", bp.Always)
	}
}

// Minutes are a quarter more than the items are given, rounded up to five.
func TestDefaultBlueprintMinutes(t *testing.T) {
	for seconds, want := range map[int]int{40: 25, 64: 40, 65: 45, 1: 5} {
		bank := fakeBank(8, fakeModel{name: "alpha", count: 6, seconds: seconds})
		if bp := DefaultBlueprint(bank.Source().Procedure, bank); bp.Minutes != want {
			t.Errorf("30 items of %d s: %d min, want %d", seconds, bp.Minutes, want)
		}
	}
}

// The bank knows every family, and which facts nothing can be written on.
func TestBank(t *testing.T) {
	bank := fakeBank(3)
	if n := len(bank.Families()); n != 2*24+7 { // alpha and beta on 24 facts, gamma on the critical ones
		t.Errorf("%d families", n)
	}
	if n := bank.Leads(content.TopicParts); n != 3 {
		t.Errorf("%d facts on parts can lead", n)
	}
	if bank.Leads("weather") != 0 || bank.FamiliesOf("target/none") != nil || len(bank.Unwritten()) != 0 {
		t.Error("the bank knows what is not there")
	}
	two := fakeBank(12, fakeModel{name: "alpha", count: 2, seconds: 60}, fakeModel{name: "beta", count: 1, seconds: 60, takes: func(f content.Fact) bool { return f.Kind == content.KindHold }})
	for _, f := range two.Unconfirmable() {
		if !f.Critical || f.Kind == content.KindHold {
			t.Errorf("%s is called unconfirmable", f.ID)
		}
	}
	if n := len(two.Unconfirmable()); n != 12 { // 2 of each of 6 kinds of critical facts: with hold it would be 14
		t.Errorf("%d unconfirmable facts", n)
	}
	names := []string{}
	for _, f := range bank.FamiliesOf("target/e0") {
		names = append(names, f.Model.Name())
	}
	if !slices.Equal(names, []string{"alpha", "beta", "gamma"}) {
		t.Errorf("families of a critical fact: %v", names)
	}
}

func TestUnasked(t *testing.T) {
	tells := func(f content.Fact, _ int) []content.FactID {
		if f.ID == "target/e3" {
			return []content.FactID{"inspection/e0/c"}
		}
		return nil
	}
	bank := fakeBank(6, fakeModel{name: "alpha", count: 6, seconds: 60, shows: tells})
	bp := content.Blueprint{Items: 20, Minutes: 60, Always: []content.FactID{"inspection/e0/c"}}
	got, err := Unasked(bank, bp, 200)
	if err != nil || len(got) != 1 || got[0].ID != "target/e3" {
		t.Errorf("%v, %v", got, err)
	}
	bp.Always = nil
	if got, err = Unasked(bank, bp, 200); err != nil || len(got) != 0 {
		t.Errorf("without the fact that shuts it out: %v, %v", got, err)
	}
	bp.Items = 4000
	if _, err = Unasked(bank, bp, 1); err == nil {
		t.Error("a blueprint that cannot be met: no error")
	}
}
