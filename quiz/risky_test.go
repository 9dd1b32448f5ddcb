package quiz

import (
	"errors"
	"fmt"
	"testing"

	"soloright/content"
)

// riskyBank has many critical facts and as many on isolation.
func riskyBank() *Bank {
	p := fakeProcedure(30)
	for i := range p.Hazards {
		p.Hazards[i].Critical = true
		id := fmt.Sprintf("o%d", i)
		p.Openings = append(p.Openings, content.Opening{ID: id, Title: id})
	}
	return NewBank(NewSource(p, ""), fakeModels())
}

func riskOfForm(f *Form) (r risky) {
	for _, it := range f.Items {
		r = r.plus(riskOf(it), 1)
	}
	return r
}

func TestRiskyItemsStayWithinTheirBounds(t *testing.T) {
	bank := riskyBank()
	free := content.Blueprint{Items: 30, Minutes: 120, Cut: 80, Topics: []content.TopicRule{{Topic: content.TopicIsolation, Min: 4}}}
	bound := free
	bound.MaxIsolation, bound.MaxCritical = 1, 5
	bound.Always = []content.FactID{"opening/o3"}
	over := 0
	for i := range uint64(200) {
		f, err := Assemble(bank, free, History{}, seedOf(i))
		if err != nil {
			t.Fatal(err)
		}
		if r := riskOfForm(f); r.isolation > 1 || r.critical > 5 {
			over++
		}
		if f, err = Assemble(bank, bound, History{}, seedOf(i)); err != nil {
			t.Fatal(err)
		}
		if bad := formFaults(f, bound); len(bad) > 0 {
			t.Fatalf("seed %d: %v", i, bad)
		}
		if r := riskOfForm(f); r.isolation != 1 || r.critical > 5 {
			t.Errorf("seed %d: %d items on isolation and %d critical ones, want 1 and at most 5", i, r.isolation, r.critical)
		}
	}
	if over < 100 {
		t.Errorf("only %d of 200 forms without bounds pass them: the test says nothing", over)
	}
}

func TestItemsBeyondTheMercyCountAsIsolation(t *testing.T) {
	item := func(n int, more ...Tested) Item {
		it := Item{Facts: more}
		for i := range n {
			it.Facts = append(it.Facts, Tested{Fact: content.FactID(fmt.Sprint(i)), Critical: true})
		}
		return it
	}
	for _, c := range []struct {
		name string
		it   Item
		want risky
	}{
		{"none critical", item(0, Tested{Fact: "a"}), risky{}},
		{"as many as can be confirmed", item(mercy), risky{0, 1}},
		{"one more", item(mercy + 1), risky{1, 1}},
		{"one, on isolation", item(0, Tested{Fact: "a", Critical: true, Isolation: true}), risky{1, 1}},
	} {
		if got := riskOf(c.it); got != c.want {
			t.Errorf("%s: got %v, want %v", c.name, got, c.want)
		}
	}
}

// A topic that needs critical items is served first, and the fact of it that
// always appears counts to its minimum, once.
func TestTightTopicHoldsItsAlwaysFactOnce(t *testing.T) {
	bank := riskyBank()
	bp := content.Blueprint{Items: 30, Minutes: 120, Cut: 80, MaxCritical: 5, Always: []content.FactID{"hazard/e3"},
		Topics: []content.TopicRule{{Topic: content.TopicIsolation, Min: 4, Max: 4}}}
	for i := range uint64(100) {
		f, err := Assemble(bank, bp, History{}, seedOf(i))
		if err != nil {
			t.Fatal(err)
		}
		if bad := formFaults(f, bp); len(bad) > 0 {
			t.Fatalf("seed %d: %v", i, bad)
		}
	}
}

func TestUnmetNamesTheRiskyBounds(t *testing.T) {
	p := &content.Procedure{ID: "fake"}
	for i := range 8 {
		p.Openings = append(p.Openings, content.Opening{ID: fmt.Sprint("o", i), Title: fmt.Sprint("o", i)})
	}
	bp := content.Blueprint{Items: 4, Minutes: 60, Cut: 80, MaxIsolation: 2}
	_, err := Assemble(NewBank(NewSource(p, ""), fakeModels()), bp, History{}, seedOf(1))
	want := "items: 4 wanted, the bank can write 2 within the topics' bounds that do not give each other away and keep to max_isolation and max_critical"
	if err == nil || err.Error() != want {
		t.Errorf("got  %v\nwant %s", err, want)
	}
}

func TestAlwaysBeyondTheRiskyBounds(t *testing.T) {
	bp := content.Blueprint{Items: 30, Minutes: 120, Cut: 80, MaxIsolation: 1, Always: []content.FactID{"opening/o3", "opening/o4"}}
	_, err := Assemble(riskyBank(), bp, History{}, seedOf(1))
	var u *Unmet
	if !errors.As(err, &u) || u.Constraint != "max_isolation" || u.Need != 2 || u.Have != 1 {
		t.Errorf("got %v, want max_isolation: 2 needed, 1 allowed", err)
	}
}
