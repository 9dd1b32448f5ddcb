package quiz

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"soloright/content"
)

// simulated draws a Rasch difficulty for each family of a bank, in logits around
// −1.4 with a standard deviation of 1, so that somebody at 0 gets about 77 % right;
// every tenth family has no statistics.
func simulated(bank *Bank, target int, seed uint64) *Aim {
	rnd := rand.New(rand.NewPCG(seed, 7))
	aim := &Aim{Mark: target}
	for i := range bank.Families() {
		p := 1 / (1 + math.Exp(-1.4+rnd.NormFloat64()))
		mark, tells := int(math.Round(1000*p)), int(math.Round(1000*p*(1-p)))
		if i%10 == 9 {
			mark, tells = -1, -1
		}
		aim.Marks, aim.Tells = append(aim.Marks, mark), append(aim.Tells, tells)
	}
	return aim
}

// expected is the mean mark of a form, worked out apart from the assembler.
func expected(bank *Bank, f *Form, aim *Aim) (mark float64, tells int) {
	of := map[string]int{}
	for i, fam := range bank.Families() {
		of[string(fam.Lead)+" "+fam.Model.Name()] = i
	}
	for _, it := range f.Items {
		if i := of[string(it.Lead)+" "+it.Model]; aim.Marks[i] >= 0 {
			mark += float64(aim.Marks[i])
			tells += aim.Tells[i]
		} else {
			mark += float64(aim.Mark)
		}
	}
	return mark / float64(len(f.Items)) / 1000, tells
}

// apart is the largest difference between forms.
type apart struct{ lo, hi float64 }

func (a *apart) add(x float64) { a.lo, a.hi = min(a.lo, x), max(a.hi, x) }

func newApart() apart { return apart{math.Inf(1), math.Inf(-1)} }

// Forms that are steered come out as hard as each other, and meet everything that
// they met before.
func TestAimMakesFormsAlike(t *testing.T) {
	src := NewSource(fakeProcedure(12), "")
	bank := NewBank(src, append(fakeModels(), fakeModel{name: "delta", count: 8, seconds: 30, shows: neighbours(src)}))
	bp := DefaultBlueprint(src.Procedure, bank)
	aim := simulated(bank, 800, 1)
	n := 1000
	if testing.Short() {
		n = 200
	}
	before, after := newApart(), newApart()
	used := map[content.FactID]int{}
	for i := range n {
		plain, err := Assemble(bank, bp, History{}, seedOf(uint64(i)))
		if err != nil {
			t.Fatal(err)
		}
		f, err := AssembleTo(bank, bp, History{}, seedOf(uint64(i)), aim)
		if err != nil {
			t.Fatal(err)
		}
		if bad := formFaults(f, bp); len(bad) > 0 {
			t.Fatalf("seed %d: %s", i, strings.Join(bad, "; "))
		}
		was, _ := expected(bank, plain, aim)
		is, _ := expected(bank, f, aim)
		before.add(was)
		after.add(is)
		if mark, _, _, ok := f.Toward(bank); !ok || math.Abs(float64(mark)/1000-is) > 0.0011 {
			t.Errorf("the form says that it came to %d, and it is %.4f", mark, is)
		}
		for _, it := range f.Items {
			used[it.Lead]++
		}
	}
	t.Logf("expected mean mark at the cut over %d forms: from %.4f to %.4f (%.4f apart); steered: %.4f to %.4f (%.4f)", n, before.lo, before.hi, before.hi-before.lo, after.lo, after.hi, after.hi-after.lo)
	if after.hi-after.lo > 0.004 || before.hi-before.lo < 0.08 || math.Abs(after.lo-0.8) > 0.003 {
		t.Error("steered forms are not alike, or those before were")
	}
	for _, l := range bank.leads {
		if used[l.fact.ID] == 0 {
			t.Errorf("%s never came up", l.fact.ID)
		}
	}
}

// A form tells at the cut what the blueprint asks for, where it can.
func TestAimAsksForInformation(t *testing.T) {
	bank := fakeBank(12)
	bp := DefaultBlueprint(bank.Source().Procedure, bank)
	aim := simulated(bank, 0, 2)
	plain, least := math.MaxInt, math.MaxInt
	aim.Information = 4800
	for i := range 100 {
		p, err := Assemble(bank, bp, History{}, seedOf(uint64(i)))
		if err != nil {
			t.Fatal(err)
		}
		f, err := AssembleTo(bank, bp, History{}, seedOf(uint64(i)), aim)
		if err != nil {
			t.Fatal(err)
		}
		_, was := expected(bank, p, aim)
		_, is := expected(bank, f, aim)
		plain, least = min(plain, was), min(least, is)
	}
	if plain > 4500 || least < 4800-closeEnough {
		t.Errorf("the least is %d, and was %d before", least, plain)
	}
}

// Without an aim, nothing changes to the byte; with one, the arguments fix the form.
func TestAimIsPartOfWhatFixesTheForm(t *testing.T) {
	bank := fakeBank(10)
	bp := DefaultBlueprint(bank.Source().Procedure, bank)
	text := func(aim *Aim, seed uint64) string {
		f, err := AssembleTo(bank, bp, History{}, seedOf(seed), aim)
		if err != nil {
			t.Fatal(err)
		}
		b, err := json.Marshal(f)
		if err != nil {
			t.Fatal(err)
		}
		var again Form
		if err := json.Unmarshal(b, &again); err != nil {
			t.Fatal(err)
		}
		if c, _ := json.Marshal(again); string(c) != string(b) {
			t.Error("the form does not come back as it was")
		}
		return string(b)
	}
	differ := 0
	for i := range uint64(20) {
		plain, err := Assemble(bank, bp, History{}, seedOf(i))
		if err != nil {
			t.Fatal(err)
		}
		b, _ := json.Marshal(plain)
		if text(nil, i) != string(b) || text(&Aim{}, i) != string(b) || strings.Contains(string(b), `"aim"`) {
			t.Fatal("a form without an aim is another one")
		}
		one, two := text(simulated(bank, 800, 1), i), text(simulated(bank, 800, 2), i)
		if one != text(simulated(bank, 800, 1), i) {
			t.Error("the same arguments give another form")
		}
		if one != two {
			differ++
		}
	}
	if differ < 15 {
		t.Errorf("other statistics gave another form %d times of 20", differ)
	}
	if _, err := AssembleTo(bank, bp, History{}, Seed{}, &Aim{Mark: 800, Marks: []int{1}, Tells: []int{1}}); err == nil {
		t.Error("statistics of another bank were taken")
	}
}

// Steering takes no fact that the person has met for one not yet met, and nothing
// that is needed off the form.
func TestAimKeepsFreshness(t *testing.T) {
	bank := fakeBank(12)
	bp := DefaultBlueprint(bank.Source().Procedure, bank)
	aim := simulated(bank, 800, 3)
	changed := 0
	for i := range uint64(60) {
		first, err := Assemble(bank, bp, History{}, seedOf(i+1000))
		if err != nil {
			t.Fatal(err)
		}
		var h History
		for _, it := range first.Items {
			h.Items, h.Facts = append(h.Items, it.ID), append(h.Facts, it.Lead)
		}
		h.Missed = []content.FactID{first.Items[3].Lead, first.Items[7].Lead}
		plain, err := Assemble(bank, bp, h, seedOf(i))
		if err != nil {
			t.Fatal(err)
		}
		f, err := AssembleTo(bank, bp, h, seedOf(i), aim)
		if err != nil {
			t.Fatal(err)
		}
		met := func(f *Form) (n int) {
			for _, it := range f.Items {
				if slices.Contains(h.Facts, it.Lead) {
					n++
				}
				if slices.Contains(h.Items, it.ID) {
					t.Errorf("seed %d: %s comes again", i, it.ID)
				}
			}
			return n
		}
		if met(f) > met(plain) {
			t.Errorf("seed %d: %d facts that were met, %d without the aim", i, met(f), met(plain))
		}
		for _, id := range append(slices.Clone(h.Missed), bp.Always...) {
			if !slices.ContainsFunc(f.Items, func(it Item) bool { return lists(it, id) }) {
				t.Errorf("seed %d: %s is gone", i, id)
			}
		}
		if fmt.Sprint(f.Items) != fmt.Sprint(plain.Items) {
			changed++
		}
	}
	if changed < 40 {
		t.Errorf("only %d of 60 forms were steered", changed)
	}
}
