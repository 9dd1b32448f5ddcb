// Package itemmodel holds the item models, one file each: code that writes
// items from one kind of fact. A model is a pure function of its lead fact, the
// procedure and a source of randomness; it says how many distinct items it can
// write, and it never writes an item with two right answers or none.
//
// A distractor is wrong because the procedure states it wrong, never because
// the file is silent; each leads to its own feedback.
//
// A model works out what does not depend on the randomness once for each source
// and fact, as a plan ([quiz.Keep]); writing an item then takes microseconds.
package itemmodel

import (
	"crypto/sha256"
	"encoding/hex"
	"math/rand/v2"
	"slices"
	"strings"

	"soloright/content"
	"soloright/quiz"
)

// All returns every item model, in the order of their names.
func All() []quiz.Model {
	all := slices.Concat(benchModels, torqueModels)
	slices.SortFunc(all, func(a, b quiz.Model) int { return strings.Compare(a.Name(), b.Name()) })
	return all
}

// notMine is the reason that Count gives for a fact of a kind that the model does
// not write on: none. Any other says what the procedure would have to state.
const notMine = ""

// plan is what a model works out for one fact, once for each source. It is only
// read afterwards and so safe for concurrent use.
type plan interface {
	// count is Count of [quiz.Model].
	count() (n int, why string)
	// write writes an item but for what finish fills in. It is called only where
	// count is not 0.
	write(rnd *rand.Rand) (quiz.Item, error)
}

// model is an item model that writes by plans.
type model struct {
	name    string
	version int
	kinds   []content.FactKind
	plan    func(src *quiz.Source, lead content.Fact) plan

	// states says that the stem of an item gives the value of its own lead fact, and so
	// tests only what is done with it. Such an item says that it shows its lead, which
	// keeps another item on the same fact off the sheet. nil: none does.
	states func(it *quiz.Item) bool

	onDrawing bool // its items are answered on a drawing, see [quiz.OnDrawing]
}

func (m *model) Name() string { return m.name }

func (m *model) Version() int { return m.version }

func (m *model) OnDrawing() bool { return m.onDrawing }

type planKey struct {
	model string
	fact  content.FactID
}

func (m *model) planFor(src *quiz.Source, lead content.Fact) plan {
	return quiz.Keep(src, planKey{m.name, lead.ID}, func() plan { return m.plan(src, lead) })
}

func (m *model) Count(src *quiz.Source, lead content.Fact) (int, string) {
	if !slices.Contains(m.kinds, lead.Kind) {
		return 0, notMine
	}
	n, why := m.planFor(src, lead).count()
	return min(n, quiz.MaxCount), why
}

func (m *model) Write(src *quiz.Source, lead content.Fact, rnd *rand.Rand) (quiz.Item, error) {
	it, err := m.planFor(src, lead).write(rnd)
	if err != nil {
		return quiz.Item{}, err
	}
	it = finish(m, src, lead, it)
	if m.states != nil && m.states(&it) {
		it.Shows = append(it.Shows, lead.ID)
	}
	return it, nil
}

// none is the plan for a fact on which there is no item, with the reason.
type none string

func (n none) count() (int, string) { return 0, string(n) }

func (n none) write(*rand.Rand) (quiz.Item, error) { return quiz.Item{}, noItem(n) }

// noItem reports that an item was asked for where Count is 0.
type noItem string

func (e noItem) Error() string { return "no item can be written: " + string(e) }

// finish fills in what every item has in common: its id, model, lead fact, topic and
// the facts it tests, which are the lead, those of its key, and those given, each once.
// The lead is left out of Shows: no other item of a form has it. (Where the stem gives
// the very value of the lead, Write puts it back: see states of model.)
func finish(m quiz.Model, src *quiz.Source, lead content.Fact, it quiz.Item, tested ...content.FactID) quiz.Item {
	it.Model, it.Version, it.Lead, it.Topic = m.Name(), m.Version(), lead.ID, lead.Kind.Topic()
	it.Facts = testedFacts(src, &it, tested)
	it.Shows = slices.DeleteFunc(it.Shows, func(id content.FactID) bool { return id == lead.ID })
	it.ID = itemID(it)
	return it
}

func testedFacts(src *quiz.Source, it *quiz.Item, more []content.FactID) []quiz.Tested {
	ids := append(make([]content.FactID, 0, 16), it.Lead)
	add := func(id content.FactID) {
		if !slices.Contains(ids, id) {
			ids = append(ids, id)
		}
	}
	for i := range it.Key.Options {
		add(it.Key.Options[i].Fact)
	}
	for i := range it.Key.Rows {
		add(it.Key.Rows[i].Fact)
	}
	for i := range it.Key.Pairs {
		add(it.Key.Pairs[i].Fact)
	}
	for _, id := range more {
		add(id)
	}
	out := make([]quiz.Tested, 0, len(ids))
	for _, id := range ids {
		if f, ok := src.Index.Fact(id); ok {
			out = append(out, quiz.Tested{Fact: id, Critical: f.Critical, Isolation: f.Isolation(), Text: f.Text, Step: f.Step})
		}
	}
	return out
}

// itemID is the first 16 bytes, in hex, of SHA-256 over model, lead fact and
// signature, each ended by a zero byte.
func itemID(it quiz.Item) string {
	b := make([]byte, 0, 256)
	for _, s := range [...]string{it.Model, string(it.Lead), it.Signature} {
		b = append(append(b, s...), 0)
	}
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:16])
}

// letters are the ids of the first options.
const letters = "abcdefghijklmnopqrstuvwxyz"

// letter returns the id of the option in place i: "a", "b" … "z", "aa" …
func letter(i int) string {
	if i < len(letters) {
		return letters[i : i+1]
	}
	return letter(i/26-1) + letter(i%26)
}

// shuffled returns a shuffled copy.
func shuffled[T any](rnd *rand.Rand, s []T) []T {
	out := slices.Clone(s)
	rnd.Shuffle(len(out), func(i, j int) { out[i], out[j] = out[j], out[i] })
	return out
}
