package quiz_test

import (
	"encoding/json"
	"errors"
	"math/big"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"soloright/content"
	"soloright/quiz"
)

// deltaFaults checks a delta form against measurement's rule, apart from the
// assembler: two items that test each fact, three where the chance mark of one
// that leads with it exceeds ¼; none twice; none that shows what another tests.
func deltaFaults(f *quiz.Form) (out []string) {
	seen, tested := map[string]bool{}, map[content.FactID][]int{}
	for i, it := range f.Items {
		if seen[it.ID] {
			out = append(out, it.ID+" stands twice")
		}
		seen[it.ID] = true
		for _, t := range it.Facts {
			tested[t.Fact] = append(tested[t.Fact], i)
		}
	}
	for _, fact := range f.Delta.Facts {
		need := 2
		for _, it := range f.Items {
			if it.Lead == fact && it.Chance.Mean.Rat.Cmp(big.NewRat(1, 4)) > 0 {
				need = 3
			}
		}
		if len(tested[fact]) < need {
			out = append(out, string(fact)+" is tested too seldom")
		}
	}
	for i, it := range f.Items {
		for _, shown := range it.Shows {
			if slices.ContainsFunc(tested[shown], func(n int) bool { return n != i }) {
				out = append(out, it.ID+" shows "+string(shown))
			}
		}
	}
	return out
}

// Any few facts of the library that change can be asked, on one form that keeps
// the rule, fresh, and the same again for the same arguments; what cannot be asked
// is named with a reason.
func TestDeltaFormsOfTheLibrary(t *testing.T) {
	draws := 6
	if testing.Short() {
		draws = 1
	}
	for _, e := range editions(t) {
		all := e.bank.Source().Index.Facts()
		rnd := rand.New(rand.NewPCG(5, uint64(len(all))))
		for n := range draws {
			var changed []content.FactID
			for _, i := range rnd.Perm(len(all))[:2+n] {
				changed = append(changed, all[i].ID)
			}
			asked, rest, err := quiz.Askable(e.bank, changed)
			if err != nil || len(asked)+len(rest) != len(changed) {
				t.Fatalf("%s: %v of %v and %v: %v", e.name, asked, changed, rest, err)
			}
			for _, r := range rest {
				if r.Why == "" {
					t.Errorf("%s: %s cannot be asked, without a reason", e.name, r.Fact)
				}
			}
			if len(asked) == 0 {
				continue
			}
			checkDelta(t, e, asked, n)
		}
	}
}

func checkDelta(t *testing.T, e edition, asked []content.FactID, n int) {
	t.Helper()
	d := quiz.Delta{From: "A", Facts: asked}
	var h quiz.History
	for try := range 2 {
		f, err := quiz.SetDelta(e.bank, d, h, seedOf(n))
		if err != nil || len(f.Delta.Facts) == 0 {
			t.Fatalf("%s: %v: %v", e.name, asked, err)
		}
		if wrong := deltaFaults(f); len(wrong) > 0 || f.Cut != 100 || f.Minutes < 1 {
			t.Errorf("%s: %v; cut %d, %d min", e.name, wrong, f.Cut, f.Minutes)
		}
		again, err := quiz.AssembleDelta(e.bank, *f.Delta, h, f.Seed)
		if err != nil {
			t.Fatal(err)
		}
		a, _ := json.Marshal(f)
		b, _ := json.Marshal(again)
		if string(a) != string(b) {
			t.Errorf("%s: the same arguments give another form", e.name)
		}
		var back quiz.Form
		if err := json.Unmarshal(a, &back); err != nil || cmp.Diff(*f.Delta, *back.Delta) != "" {
			t.Errorf("%s: there and back: %+v, %v", e.name, back.Delta, err)
		}
		for _, it := range f.Items {
			more := 0
			for _, fam := range e.bank.FamiliesOf(it.Lead) {
				more += fam.Count
			}
			if try == 1 && more > 50 && slices.Contains(h.Items, it.ID) {
				t.Errorf("%s: %s is not fresh, and %d others could be written", e.name, it.ID, more)
			}
			h.Items = append(h.Items, it.ID)
		}
	}
}

// Where everything changed, one form after another asks all that can be asked, and
// each keeps the rule.
func TestEverythingChanged(t *testing.T) {
	e := editions(t)[0]
	var left []content.FactID
	for i, f := range e.bank.Source().Index.Facts() {
		if !testing.Short() || i < 60 {
			left = append(left, f.ID)
		}
	}
	left, _, err := quiz.Askable(e.bank, left)
	if err != nil {
		t.Fatal(err)
	}
	forms := 0
	for ; len(left) > 0; forms++ {
		f, err := quiz.SetDelta(e.bank, quiz.Delta{From: "A", Facts: left}, quiz.History{}, seedOf(forms))
		if err != nil || len(f.Delta.Facts) == 0 || len(f.Delta.Facts) > quiz.MostTogether {
			t.Fatalf("form %d on %d facts: %v", forms, len(left), err)
		}
		if wrong := deltaFaults(f); len(wrong) > 0 {
			t.Errorf("form %d: %v", forms, wrong)
		}
		left = slices.DeleteFunc(left, func(id content.FactID) bool { return slices.Contains(f.Delta.Facts, id) })
	}
	t.Logf("%d forms", forms)
}

// Every fact of the library alone: how many cannot be asked, so that a change of a
// model that loses many is seen.
func TestHowManyFactsCannotBeAsked(t *testing.T) {
	if testing.Short() {
		return
	}
	for _, e := range editions(t) {
		var ids []content.FactID
		for _, f := range e.bank.Source().Index.Facts() {
			ids = append(ids, f.ID)
		}
		none := 0
		for _, id := range ids {
			_, rest, err := quiz.Askable(e.bank, []content.FactID{id})
			if err != nil {
				t.Fatal(err)
			}
			none += len(rest)
		}
		t.Logf("%s: %d of %d facts cannot be asked in a delta sitting", e.name, none, len(ids))
		if 3*none > len(ids) {
			t.Errorf("%s: more than a third of the facts cannot be asked", e.name)
		}
	}
}

func TestDeltaOfWhatIsNotThere(t *testing.T) {
	e := editions(t)[0]
	asked, rest, err := quiz.Askable(e.bank, []content.FactID{"target/none"})
	if err != nil || len(asked) != 0 || len(rest) != 1 {
		t.Errorf("%v, %v, %v", asked, rest, err)
	}
	_, err = quiz.AssembleDelta(e.bank, quiz.Delta{From: "A", Facts: []content.FactID{"target/none"}}, quiz.History{}, quiz.Seed{})
	var u *quiz.Unmet
	if !errors.As(err, &u) {
		t.Errorf("%v", err)
	}
}
