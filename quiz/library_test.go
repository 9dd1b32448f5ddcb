package quiz_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"testing"

	"soloright/content"
	"soloright/content/library"
	"soloright/quiz"
	"soloright/quiz/itemmodel"
)

// edition is a procedure of the library for one build, ready to set forms from.
type edition struct {
	name string
	bank *quiz.Bank
	bp   content.Blueprint
}

// editions takes the whole library apart. The blueprint is the one beside the
// procedure, else the default; given is which.
func editions(t testing.TB) []edition {
	t.Helper()
	ps, err := library.Procedures()
	if err != nil || len(ps) == 0 {
		t.Fatalf("library: %d procedures, %v", len(ps), err)
	}
	var out []edition
	for _, p := range ps {
		builds := []string{""}
		if len(p.Builds) > 0 {
			builds = nil
		}
		for _, b := range p.Builds {
			builds = append(builds, b.ID)
		}
		for _, b := range builds {
			out = append(out, editionOf(p, b))
		}
	}
	return out
}

func editionOf(p *content.Procedure, build string) edition {
	src := quiz.NewSource(p, build)
	e := edition{name: p.ID + "/" + build, bank: quiz.NewBank(src, itemmodel.All())}
	bp, ok := library.Blueprint(p.ID)
	if !ok {
		e.bp = quiz.DefaultBlueprint(src.Procedure, e.bank)
		return e
	}
	e.bp = *bp
	e.bp.Always = slices.DeleteFunc(slices.Clone(bp.Always), func(id content.FactID) bool {
		_, here := src.Index.Fact(id)
		return !here
	})
	return e
}

func seedOf(n int) quiz.Seed {
	return quiz.Seed{byte(n), byte(n >> 8), byte(n >> 16), 'l', 'i', 'b'}
}

// faults checks a form against its blueprint, written apart from the assembler.
func faults(f *quiz.Form, bp content.Blueprint) (out []string) {
	note := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	if len(f.Items) != bp.Items {
		note("%d items, want %d", len(f.Items), bp.Items)
	}
	seconds, topics := 0, map[content.Topic]int{}
	leads, keyed := map[content.FactID]bool{}, map[content.FactID][]string{}
	for _, it := range f.Items {
		seconds += it.Seconds
		topics[it.Topic]++
		if leads[it.Lead] {
			note("two items lead with %s", it.Lead)
		}
		leads[it.Lead] = true
		for _, t := range it.Facts {
			keyed[t.Fact] = append(keyed[t.Fact], it.ID)
		}
	}
	for _, it := range f.Items {
		for _, s := range it.Shows {
			for _, id := range keyed[s] {
				if id != it.ID {
					note("%s on %s shows %s, which another item tests", it.Model, it.Lead, s)
				}
			}
		}
	}
	for _, r := range bp.Topics {
		if n := topics[r.Topic]; n < r.Min || r.Max > 0 && n > r.Max {
			note("topic %s has %d of %d to %d", r.Topic, n, r.Min, r.Max)
		}
	}
	for _, a := range bp.Always {
		if len(keyed[a]) == 0 {
			note("%s does not appear", a)
		}
	}
	if seconds > 60*bp.Minutes {
		note("takes %d s, allowed %d min", seconds, bp.Minutes)
	}
	return out
}

// 10 000 forms in all, by the blueprints beside the procedures and by the default
// ones: each meets its blueprint, nothing gives a key away, the same seed gives
// the same bytes, and by a default blueprint every fact comes up.
func TestLibraryForms(t *testing.T) {
	all := editions(t)
	n := 5000 / len(all)
	if testing.Short() {
		n /= 20
	}
	for _, e := range all {
		t.Run(e.name, func(t *testing.T) {
			seen := setForms(t, e.bank, e.bp, n)
			t.Logf("by the blueprint beside it %d of %d facts that can lead come up", len(seen), len(leads(e.bank)))
		})
		t.Run(e.name+"/default", func(t *testing.T) {
			seen := setForms(t, e.bank, quiz.DefaultBlueprint(e.bank.Source().Procedure, e.bank), n)
			for f := range leads(e.bank) {
				if !seen[f] && n > 500 {
					t.Errorf("no item tested %s in %d forms", f, n)
				}
			}
		})
	}
}

// setForms sets n forms, checks each and returns the facts that can lead and were
// tested.
func setForms(t *testing.T, bank *quiz.Bank, bp content.Blueprint, n int) map[content.FactID]bool {
	t.Helper()
	can, seen := leads(bank), map[content.FactID]bool{}
	for i := range n {
		f, err := quiz.Assemble(bank, bp, quiz.History{}, seedOf(i))
		if err != nil {
			t.Fatalf("seed %d: %v", i, err)
		}
		if bad := faults(f, bp); len(bad) > 0 {
			t.Fatalf("seed %d: %q", i, bad)
		}
		for _, it := range f.Items {
			for _, x := range it.Facts {
				if can[x.Fact] {
					seen[x.Fact] = true
				}
			}
		}
		if i%50 == 0 {
			again, _ := quiz.Assemble(bank, bp, quiz.History{}, seedOf(i))
			a, _ := json.Marshal(f)
			b, _ := json.Marshal(again)
			if string(a) != string(b) {
				t.Fatalf("seed %d gave two forms", i)
			}
		}
	}
	return seen
}

// The default blueprint of every procedure is met, asks for 24 to 40 items and
// lets each of its facts that always appear be confirmed.
func TestLibraryDefaultBlueprints(t *testing.T) {
	for _, e := range editions(t) {
		bp := quiz.DefaultBlueprint(e.bank.Source().Procedure, e.bank)
		if bp.Items < 24 || bp.Items > 40 || bp.Cut != 80 || len(bp.Always) == 0 {
			t.Errorf("%s: %+v", e.name, bp)
		}
		for i := range 20 {
			f, err := quiz.Assemble(e.bank, bp, quiz.History{}, seedOf(i))
			if err != nil {
				t.Fatalf("%s, seed %d: %v", e.name, i, err)
			}
			if bad := faults(f, bp); len(bad) > 0 {
				t.Fatalf("%s, seed %d: %q", e.name, i, bad)
			}
		}
	}
}

// Every critical fact that a form tests can be confirmed with two items, fresh ones
// for somebody who has met one form as far as there are that many; but for those
// that the bank itself calls unconfirmable.
func TestLibraryCanBeConfirmed(t *testing.T) {
	for _, e := range editions(t) {
		var h quiz.History
		var met *quiz.Form
		critical := map[content.FactID]bool{}
		for i := range 5 {
			f, err := quiz.Assemble(e.bank, e.bp, quiz.History{}, seedOf(i))
			if err != nil {
				t.Fatal(err)
			}
			if i == 0 {
				met = f
			}
			for _, it := range f.Items {
				if i == 0 {
					h.Items = append(h.Items, it.ID)
				}
				for _, x := range it.Facts {
					if x.Critical && !x.Isolation {
						critical[x.Fact] = true
					}
				}
			}
		}
		for f := range critical {
			form, err := quiz.Confirming(e.bank, []content.FactID{f}, h, seedOf(1))
			var u *quiz.Unmet
			if errors.As(err, &u) {
				if !slices.ContainsFunc(e.bank.Unconfirmable(), func(x content.Fact) bool { return x.ID == f }) {
					t.Errorf("%s: %v", e.name, err)
				}
				continue
			}
			stale := 0
			for _, it := range form.Items {
				if slices.Contains(h.Items, it.ID) {
					stale++
				}
			}
			if left := unmetItems(e.bank, f, met); stale > max(0, 2-left) {
				t.Errorf("%s: %d items of 2 on %s are not fresh, and %d fresh ones could be written", e.name, stale, f, left)
			}
		}
	}
}

// unmetItems is how many items lead with the fact that are not on the form.
func unmetItems(b *quiz.Bank, f content.FactID, form *quiz.Form) int {
	n := 0
	for _, fam := range b.FamiliesOf(f) {
		n += fam.Count
	}
	for _, it := range form.Items {
		if it.Lead == f {
			n--
		}
	}
	return n
}

func BenchmarkAssembleLibrary40(b *testing.B) {
	for _, e := range editions(b) {
		bp := e.bp
		bp.Items, bp.Topics, bp.Minutes = min(40, len(leads(e.bank))), nil, 200
		b.Run(e.name, func(b *testing.B) {
			b.ReportAllocs()
			for i := 0; b.Loop(); i++ {
				if _, err := quiz.Assemble(e.bank, bp, quiz.History{}, seedOf(i)); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func leads(b *quiz.Bank) map[content.FactID]bool {
	out := map[content.FactID]bool{}
	for _, f := range b.Families() {
		out[f.Lead] = true
	}
	return out
}

// One person sits form after form: no item comes again while its family has one
// that the person has not met.
func TestLibraryItemsComeFresh(t *testing.T) {
	sittings := 25
	if testing.Short() {
		sittings = 5
	}
	for _, e := range editions(t) {
		count := map[string]int{}
		for _, f := range e.bank.Families() {
			count[f.Model.Name()+" on "+string(f.Lead)] = f.Count
		}
		var h quiz.History
		met := map[string]map[string]bool{} // by family
		repeats := 0
		for i := range sittings {
			f, err := quiz.Assemble(e.bank, e.bp, h, seedOf(i))
			if err != nil {
				t.Fatalf("%s, sitting %d: %v", e.name, i, err)
			}
			if bad := faults(f, e.bp); len(bad) > 0 {
				t.Fatalf("%s, sitting %d: %q", e.name, i, bad)
			}
			for _, it := range f.Items {
				fam := it.Model + " on " + string(it.Lead)
				if met[fam] == nil {
					met[fam] = map[string]bool{}
				}
				if met[fam][it.ID] {
					repeats++
					if len(met[fam]) < count[fam] {
						t.Errorf("%s, sitting %d: an item of %s again, %d of %d met", e.name, i, fam, len(met[fam]), count[fam])
					}
				}
				met[fam][it.ID] = true
				h.Items = append(h.Items, it.ID)
				for _, x := range it.Facts {
					h.Facts = append(h.Facts, x.Fact)
				}
			}
		}
		t.Logf("%s: %d of %d items in %d sittings were met before", e.name, repeats, sittings*e.bp.Items, sittings)
	}
}
