package itemmodel

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"soloright/content"
	"soloright/quiz"
)

// truth is what an oracle says of an item, from the raw procedure. The field of
// the item's interaction is set.
type truth struct {
	right  map[string]bool         // choice, multiple, hotspot, and the options of a numeric item: every option's id
	bins   map[string][]string     // match: the right bins of each row
	before map[[2]string]bool      // order: every pair of option ids of which the first must come first
	accept func(typed string) bool // numeric: whether the number, a decimal or a/b, is right
	judge  func(ids []string) bool // sequence: whether the order of option ids is right
}

// oracle recomputes the right answers of an item. It shares no code with the
// model: it reads the texts of the item and the raw procedure (for one build).
type oracle func(p *content.Procedure, it quiz.Item) (truth, error)

// oracles holds the oracle of each model by its name; test files add theirs in
// an init function. A model without one fails TestLaws.
var oracles = map[string]oracle{}

// scaled makes a number of runs smaller in short runs.
func scaled(n int) int {
	if testing.Short() {
		return max(1, n/10)
	}
	return n
}

// random returns the source of randomness number n.
func random(n int) *rand.Rand {
	return rand.New(rand.NewChaCha8([32]byte{byte(n), byte(n >> 8), byte(n >> 16), 'l', 'a', 'w'}))
}

// sources takes every procedure apart, for each of its builds.
func sources(t testing.TB) []*quiz.Source {
	t.Helper()
	var out []*quiz.Source
	for _, p := range procedures(t) {
		if len(p.Builds) == 0 {
			out = append(out, quiz.NewSource(p, ""))
		}
		for _, b := range p.Builds {
			out = append(out, quiz.NewSource(p, b.ID))
		}
	}
	return out
}

// eachSource runs the test for every procedure and build.
func eachSource(t *testing.T, run func(t *testing.T, src *quiz.Source)) {
	for i, src := range sources(t) {
		t.Run(fmt.Sprintf("%s-%d", src.Procedure.ID, i), func(t *testing.T) { run(t, src) })
	}
}

// TestLaws holds every model to the laws of items, on every fact of every
// procedure and build.
func TestLaws(t *testing.T) {
	for _, m := range All() {
		if oracles[m.Name()] == nil {
			t.Errorf("model %s has no oracle", m.Name())
		}
	}
	eachSource(t, func(t *testing.T, src *quiz.Source) {
		for _, m := range All() {
			t.Run(m.Name(), func(t *testing.T) {
				leads := leadsOf(src, m)
				for _, f := range leads {
					holdFact(t, src, m, f, scaled(min(80, max(20, 2000/len(leads)))))
				}
			})
		}
	})
}

// leadsOf returns the facts that the model says it can write on.
func leadsOf(src *quiz.Source, m quiz.Model) []content.Fact {
	var out []content.Fact
	for _, f := range src.Index.Facts() {
		if n, _ := m.Count(src, f); n > 0 {
			out = append(out, f)
		}
	}
	return out
}

// holdFact writes items of many seeds on one fact and checks each, and what must
// hold among them: one id for one item, and as many items as are counted.
func holdFact(t *testing.T, src *quiz.Source, m quiz.Model, f content.Fact, seeds int) {
	t.Helper()
	n, why := m.Count(src, f)
	if n > quiz.MaxCount || why != "" {
		t.Errorf("%s: count %d, reason %q", f.ID, n, why)
	}
	seen, faces := map[string]string{}, map[string]bool{} // what each id asks; all that was asked
	for seed := 0; seed < seeds || n <= 4 && len(seen) < n && seed < 200; seed++ {
		it := mustWrite(t, src, m, f, seed)
		if err := checkItem(src, m, f, it); err != nil {
			t.Fatalf("%s, seed %d: %v\n%s", f.ID, seed, err, asJSON(it))
		}
		if err := checkMarks(it, random(seed)); err != nil {
			t.Fatalf("%s, seed %d: %v\n%s", f.ID, seed, err, asJSON(it))
		}
		face := asked(it)
		if old, ok := seen[it.ID]; ok && old != face {
			t.Fatalf("%s: one id, two items\n%s\n%s", f.ID, old, face)
		}
		seen[it.ID], faces[face] = face, true
	}
	if len(faces) != len(seen) {
		t.Fatalf("%s: %d ids for %d different items", f.ID, len(seen), len(faces))
	}
	if n <= 4 && len(seen) < n {
		t.Errorf("%s: count %d, but 200 seeds gave %d items", f.ID, n, len(seen))
	}
}

// mustWrite writes the item twice: the same seed must give the same bytes.
func mustWrite(t *testing.T, src *quiz.Source, m quiz.Model, f content.Fact, seed int) quiz.Item {
	t.Helper()
	it, err := m.Write(src, f, random(seed))
	if err != nil {
		t.Fatalf("%s, seed %d: %v", f.ID, seed, err)
	}
	again, err := m.Write(src, f, random(seed))
	if err != nil || asJSON(it) != asJSON(again) {
		t.Fatalf("%s, seed %d: the same seed gave another item (%v)", f.ID, seed, err)
	}
	return it
}

func asJSON(it quiz.Item) string {
	b, err := json.Marshal(it)
	if err != nil {
		return err.Error()
	}
	return string(b)
}

// asked writes what an item asks, arrangement left out: stem, texts in the order
// of the alphabet, figure without its mirroring, and what is right.
func asked(it quiz.Item) string {
	var parts []string
	for _, o := range slices.Concat(it.Interaction.Options, it.Interaction.Rows, it.Interaction.Bins) {
		parts = append(parts, face(o))
	}
	for _, k := range it.Key.Options {
		if k.Right && it.Interaction.Kind != quiz.Multiple {
			parts = append(parts, "right:"+face(option(it.Interaction.Options, k.ID)))
		}
	}
	if f := it.Figure; f != nil && f.Stack != nil {
		for _, o := range f.Stack.Placed {
			parts = append(parts, "placed:"+o.Text)
		}
	}
	slices.Sort(parts)
	return it.Stem + "\n" + strings.Join(parts, "\n")
}

func option(all []quiz.Option, id string) quiz.Option {
	for _, o := range all {
		if o.ID == id {
			return o
		}
	}
	return quiz.Option{}
}

// face is what can be told of an option by looking at it. Which way a drawn part
// looks is arrangement where the whole figure may be mirrored.
func face(o quiz.Option) string {
	if o.Drawn == nil {
		return o.Text
	}
	return fmt.Sprint(o.Text, " drawn ", o.Drawn.Shape)
}

// TestFactsWithoutItems lists every fact on which no model can write, with the
// reasons, and holds their share small.
func TestFactsWithoutItems(t *testing.T) {
	bare, all := 0, 0
	orphans := map[content.FactKind]int{} // kinds that no model writes on
	for _, src := range sources(t) {
		for _, f := range src.Index.Facts() {
			all++
			reasons, found := noItems(src, f)
			if found {
				continue
			}
			if len(reasons) == 0 {
				orphans[f.Kind]++
				continue
			}
			bare++
			t.Logf("%s, %s: %s", src.Procedure.ID, f.ID, strings.Join(reasons, "; "))
		}
	}
	t.Logf("%d of %d facts have no item", bare, all)
	if len(orphans) > 0 {
		t.Errorf("no model writes on facts of the kinds %v", orphans)
	}
	if 20*bare > all {
		t.Errorf("%d of %d facts have no item, more than one in twenty", bare, all)
	}
}

func noItems(src *quiz.Source, f content.Fact) (reasons []string, found bool) {
	for _, m := range All() {
		n, why := m.Count(src, f)
		if n > 0 {
			return nil, true
		}
		if why != "" {
			reasons = append(reasons, m.Name()+": "+why)
		}
	}
	return reasons, false
}
