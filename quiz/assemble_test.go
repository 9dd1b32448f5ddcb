package quiz

import (
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"soloright/content"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

func seedOf(n uint64) Seed {
	var s Seed
	for i := range 8 {
		s[i] = byte(n >> (8 * i))
	}
	return s
}

// formFaults checks a form against its blueprint, written apart from the
// assembler: it returns what is wrong with it.
func formFaults(f *Form, bp content.Blueprint) []string {
	var out []string
	note := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	if len(f.Items) != bp.Items {
		note("%d items, want %d", len(f.Items), bp.Items)
	}
	seconds, topics := 0, map[content.Topic]int{}
	for i, it := range f.Items {
		seconds += it.Seconds
		topics[it.Topic]++
		for j, other := range f.Items {
			if i == j {
				continue
			}
			if it.Lead == other.Lead || it.ID == other.ID {
				note("items %d and %d share lead %s", i, j, it.Lead)
			}
			for _, s := range it.Shows {
				if lists(other, s) {
					note("%s gives away %s", it.ID, other.ID)
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
		if !slices.ContainsFunc(f.Items, func(it Item) bool { return lists(it, a) }) {
			note("%s does not appear", a)
		}
	}
	if seconds > 60*bp.Minutes {
		note("takes %d s, allowed %d min", seconds, bp.Minutes)
	}
	return out
}

func TestAssembleMeetsTheBlueprint(t *testing.T) {
	src := NewSource(fakeProcedure(12), "")
	bank := NewBank(src, append(fakeModels(), fakeModel{name: "delta", count: 8, seconds: 30, shows: neighbours(src)}))
	bp := DefaultBlueprint(src.Procedure, bank)
	if bp.Items != 30 || len(bp.Always) != 4 || bp.Cut != 80 {
		t.Fatalf("default blueprint %+v", bp)
	}
	n := 2000
	if testing.Short() {
		n = 500
	}
	used := map[content.FactID]int{}
	for i := range n {
		f, err := Assemble(bank, bp, History{}, seedOf(uint64(i)))
		if err != nil {
			t.Fatalf("seed %d: %v", i, err)
		}
		if bad := formFaults(f, bp); len(bad) > 0 {
			t.Fatalf("seed %d: %s", i, strings.Join(bad, "; "))
		}
		for _, it := range f.Items {
			used[it.Lead]++
		}
	}
	for _, l := range bank.leads {
		if used[l.fact.ID] == 0 {
			t.Errorf("%s never came up in %d forms", l.fact.ID, n)
		}
	}
}

// Facts of one topic that nothing sets apart come up equally often: chi-square
// over forms of one item from 20 facts. The 0.999 quantile with 19 degrees of
// freedom is 43.820 (NIST/SEMATECH handbook, table 1.3.6.7.4).
func TestAssembleUsesFactsEvenly(t *testing.T) {
	bank := fakeBank(20, fakeModel{name: "alpha", count: 6, seconds: 60})
	bp := content.Blueprint{Items: 1, Minutes: 10, Topics: []content.TopicRule{{Topic: content.TopicDiagnosis, Min: 1}}}
	n := 10_000
	if testing.Short() {
		n = 2000
	}
	seen := map[content.FactID]int{}
	for i := range n {
		f, err := Assemble(bank, bp, History{}, seedOf(uint64(i)))
		if err != nil {
			t.Fatal(err)
		}
		seen[f.Items[0].Lead]++
	}
	want, chi := float64(n)/20, 0.0
	for _, c := range seen {
		chi += (float64(c) - want) * (float64(c) - want) / want
	}
	if len(seen) != 20 || chi > 43.820 {
		t.Errorf("%d facts, chi-square %.1f", len(seen), chi)
	}
}

func TestAssembleIsDeterministic(t *testing.T) {
	h := History{Items: []string{"alpha|hold/e1|0"}, Facts: []content.FactID{"hold/e1"}, Missed: []content.FactID{"hold/e1"}}
	rapid.Check(t, func(t *rapid.T) {
		seed := seedOf(rapid.Uint64().Draw(t, "seed"))
		var bytes []string
		for range 2 {
			bank := fakeBank(8)
			f, err := Assemble(bank, DefaultBlueprint(bank.Source().Procedure, bank), h, seed)
			if err != nil {
				t.Fatal(err)
			}
			b, err := json.Marshal(f)
			if err != nil {
				t.Fatal(err)
			}
			bytes = append(bytes, string(b))
			var back Form
			if err := json.Unmarshal(b, &back); err != nil || back.Seed != seed {
				t.Fatalf("form does not read back: %v", err)
			}
			again, _ := json.Marshal(back)
			bytes = append(bytes, string(again))
		}
		if bytes[0] != bytes[1] || bytes[0] != bytes[2] || bytes[0] != bytes[3] {
			t.Fatal("the same seed gave two forms, or a form changed when it was read back")
		}
	})
}

// The form of one seed, kept: another form for it means another AssemblerVersion.
func TestAssemblerVersion(t *testing.T) {
	bank := fakeBank(6)
	f, err := Assemble(bank, content.Blueprint{Items: 10, Minutes: 60, Always: []content.FactID{"target/e0"}}, History{}, seedOf(1))
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, it := range f.Items {
		got = append(got, it.ID)
	}
	want := goldenForm[AssemblerVersion]
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("assembler %d sets another form (-kept +now):\n%s", AssemblerVersion, diff)
	}
}

func TestItemsStandByTopic(t *testing.T) {
	bank := fakeBank(12)
	f, err := Assemble(bank, DefaultBlueprint(bank.Source().Procedure, bank), History{}, seedOf(3))
	if err != nil {
		t.Fatal(err)
	}
	last := 0
	for _, it := range f.Items {
		at := slices.Index(content.Topics, it.Topic)
		if at < last {
			t.Fatalf("%s stands after %s", it.Topic, content.Topics[last])
		}
		last = at
	}
}

func TestAlwaysAppears(t *testing.T) {
	only := func(id content.FactID) func(content.Fact) bool {
		return func(f content.Fact) bool { return f.ID != id }
	}
	// No model leads with hazard/e3; only the item on hazard/e4 lists it.
	m := fakeModel{name: "alpha", count: 6, seconds: 60, takes: only("hazard/e3"), tests: func(f content.Fact) []content.FactID {
		if f.ID == "hazard/e4" {
			return []content.FactID{"hazard/e3"}
		}
		return nil
	}}
	bank := fakeBank(10, m)
	bp := content.Blueprint{Items: 12, Minutes: 60, Always: []content.FactID{"hazard/e3", "target/e7"}}
	for i := range 200 {
		f, err := Assemble(bank, bp, History{}, seedOf(uint64(i)))
		if err != nil {
			t.Fatal(err)
		}
		if bad := formFaults(f, bp); len(bad) > 0 {
			t.Fatal(bad)
		}
		if !slices.ContainsFunc(f.Items, func(it Item) bool { return it.Lead == "target/e7" }) {
			t.Fatal("a fact that can lead does not lead")
		}
	}
	want := Unwritten{Why: []string{"alpha does not take it"}}
	want.Fact, _ = bank.Source().Index.Fact("hazard/e3")
	if diff := cmp.Diff([]Unwritten{want}, bank.Unwritten()); diff != "" {
		t.Errorf("unwritten facts (-want +got):\n%s", diff)
	}
}

func TestUnmetNamesTheConstraint(t *testing.T) {
	// Diagnosis: each item shows all other diagnosis facts, so one at most fits.
	src := NewSource(fakeProcedure(6), "")
	all := func(f content.Fact, _ int) []content.FactID {
		var out []content.FactID
		for _, g := range src.Index.Of(content.KindObservation) {
			if f.Kind == g.Kind && g.ID != f.ID {
				out = append(out, g.ID)
			}
		}
		return out
	}
	bank := NewBank(src, []Model{fakeModel{name: "alpha", count: 6, seconds: 60, shows: all}})
	rule := func(topic content.Topic, lo, hi int) []content.TopicRule {
		return []content.TopicRule{{Topic: topic, Min: lo, Max: hi}}
	}
	for _, c := range []struct {
		name string
		bp   content.Blueprint
		want string
	}{
		{"enemies", content.Blueprint{Items: 10, Minutes: 60, Topics: rule(content.TopicDiagnosis, 4, 0)},
			"topic diagnosis: 4 wanted, the bank can write 1 that do not give each other away"},
		{"too few facts", content.Blueprint{Items: 10, Minutes: 60, Topics: rule(content.TopicTightening, 9, 0)},
			"topic tightening: 9 wanted, the bank can write on 6 facts of it"},
		{"no such topic", content.Blueprint{Items: 10, Minutes: 60, Topics: rule("weather", 1, 0)}, "topic weather: there is no such topic"},
		{"min above max", content.Blueprint{Items: 10, Minutes: 60, Topics: rule(content.TopicTightening, 5, 2)},
			"topic tightening: at least 5 wanted and at most 2 allowed"},
		{"too many items", content.Blueprint{Items: 60, Minutes: 90}, "items: 60 wanted, the bank can write on 48 facts"},
		{"minima above the total", content.Blueprint{Items: 3, Minutes: 90, Topics: rule(content.TopicTightening, 4, 0)},
			"items: 3 are set, and the topics' minima with the facts that always appear ask for 4"},
		{"enemies in the whole", content.Blueprint{Items: 44, Minutes: 90},
			"items: 44 wanted, the bank can write 43 within the topics' bounds that do not give each other away"},
		{"no time", content.Blueprint{Items: 10, Minutes: 9}, "time: the shortest form found takes 10 min, 9 min are allowed"},
		{"unknown fact", content.Blueprint{Items: 10, Minutes: 90, Always: []content.FactID{"target/none"}},
			"always target/none: the procedure does not state it for this build"},
		{"two that give each other away", content.Blueprint{Items: 10, Minutes: 90, Always: []content.FactID{"observation/e1", "observation/e2"}},
			"always observation/e1: every item on it gives away, or is given away by, another that the form must hold"},
		{"more always than allowed", content.Blueprint{Items: 10, Minutes: 90, Always: []content.FactID{"target/e1", "target/e2"}, Topics: rule(content.TopicTightening, 0, 1)},
			"topic tightening: at most 1 allowed, and more of its facts always appear"},
		{"no items", content.Blueprint{Minutes: 90}, "items: a form has at least one"},
	} {
		_, err := Assemble(bank, c.bp, History{}, Seed{})
		var u *Unmet
		if !errors.As(err, &u) || err.Error() != c.want {
			t.Errorf("%s: %v\nwant %s", c.name, err, c.want)
		}
	}
}

// A tight time is met by changing long items for shorter ones.
func TestAssembleFitsTheTime(t *testing.T) {
	bank := fakeBank(10)
	bp := content.Blueprint{Items: 24, Minutes: 24 * 44 / 60, Always: []content.FactID{"target/e0", "hold/e0"}}
	for i := range 200 {
		f, err := Assemble(bank, bp, History{}, seedOf(uint64(i)))
		if err != nil {
			t.Fatal(err)
		}
		if bad := formFaults(f, bp); len(bad) > 0 {
			t.Fatal(bad)
		}
	}
}

// A fact that an item of the form tests beside its lead does not lead another
// item as long as there are facts that no item tests.
func TestFormsTestManyFacts(t *testing.T) {
	first := func(f content.Fact) (out []content.FactID) {
		for i := 1; i <= 5 && f.ID == "observation/e0"; i++ {
			out = append(out, content.FactID(fmt.Sprintf("observation/e%d", i)))
		}
		return out
	}
	bank := fakeBank(10, fakeModel{name: "alpha", count: 6, seconds: 60, tests: first})
	for _, h := range []History{{}, {Facts: []content.FactID{"observation/e1", "observation/e6", "observation/e7", "observation/e8", "observation/e9"}}} {
		for _, n := range []int{5, 6} { // e0 and e6 to e9; a sixth must take one that e0's item tests
			bp := content.Blueprint{Items: n, Minutes: 60, Always: []content.FactID{"observation/e0"}, Topics: []content.TopicRule{{Topic: content.TopicDiagnosis, Min: n}}}
			f, err := Assemble(bank, bp, h, seedOf(uint64(n)))
			if err != nil {
				t.Fatal(err)
			}
			again := 0
			for _, it := range f.Items {
				if lists(f.Items[slices.IndexFunc(f.Items, func(x Item) bool { return x.Lead == "observation/e0" })], it.Lead) {
					again++
				}
			}
			if again != n-4 { // e0 lists itself
				t.Errorf("%d items, met %v: %d lead with what e0's item tests", n, h.Facts, again-1)
			}
		}
	}
}

// A defect of a model is an error and no Unmet.
type brokenModel struct{ fakeModel }

var errBroken = errors.New("broken")

func (brokenModel) Write(*Source, content.Fact, *rand.Rand) (Item, error) { return Item{}, errBroken }

func TestAssembleReportsDefects(t *testing.T) {
	bank := fakeBank(4, brokenModel{fakeModel{name: "broken", count: 1}})
	_, err := Assemble(bank, content.Blueprint{Items: 4, Minutes: 30}, History{}, Seed{})
	var u *Unmet
	if !errors.Is(err, errBroken) || errors.As(err, &u) {
		t.Errorf("got %v", err)
	}
}
