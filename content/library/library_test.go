package library_test

import (
	"slices"
	"testing"

	"soloright/content"
	"soloright/content/library"
)

func TestProcedures(t *testing.T) {
	all, err := library.Procedures()
	if err != nil {
		t.Fatal(err)
	}
	if len(all) == 0 {
		t.Fatal("the library is empty")
	}
	if !slices.IsSortedFunc(all, func(a, b *content.Procedure) int {
		if a.ID < b.ID {
			return -1
		}
		return 1
	}) {
		t.Error("the procedures do not stand in the order of their ids")
	}
	for _, p := range all {
		if one, err := library.Procedure(p.ID); err != nil || one != p {
			t.Errorf("Procedure(%q) = %v, %v", p.ID, one, err)
		}
		if text, err := library.Source(p.ID); err != nil || len(text) == 0 {
			t.Errorf("Source(%q): %d bytes, %v", p.ID, len(text), err)
		}
		b, ok := library.Blueprint(p.ID)
		if ok != (library.BlueprintSource(p.ID) != nil) || ok && b.Procedure != p.ID {
			t.Errorf("Blueprint(%q) = %v, %t", p.ID, b, ok)
		}
	}
	all[0] = nil
	if again, _ := library.Procedures(); again[0] == nil {
		t.Error("a caller can change the library's list")
	}
}

func TestWhatIsNotThere(t *testing.T) {
	if p, err := library.Procedure("no-such-pump"); err == nil {
		t.Errorf("Procedure gave %v", p)
	}
	if text, err := library.Source("no-such-pump"); err == nil {
		t.Errorf("Source gave %d bytes", len(text))
	}
	if b, ok := library.Blueprint("no-such-pump"); ok || b != nil {
		t.Errorf("Blueprint gave %v", b)
	}
	if library.BlueprintSource("no-such-pump") != nil {
		t.Error("BlueprintSource gave a text")
	}
}
