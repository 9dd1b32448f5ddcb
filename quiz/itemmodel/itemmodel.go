// Package itemmodel holds the item models, one file each: code that writes
// items from one kind of fact. A model is a pure function of its lead fact, the
// procedure and a source of randomness; it says how many distinct items it can
// write, and it never writes an item with two right answers or none.
//
// A distractor is wrong because the procedure states it wrong, never because
// the file is silent; each leads to its own feedback.
package itemmodel

import (
	"crypto/sha256"
	"encoding/hex"
	"math/rand/v2"
	"slices"

	"soloright/content"
	"soloright/quiz"
)

// All returns every item model, in the order of their names.
func All() []quiz.Model {
	all := slices.Concat(benchModels, torqueModels)
	slices.SortFunc(all, func(a, b quiz.Model) int {
		if a.Name() < b.Name() {
			return -1
		}
		return 1
	})
	return all
}

// finish fills in what every item has in common: its id, model, lead fact, topic and
// the facts it tests (the lead first, each once).
func finish(m quiz.Model, src *quiz.Source, lead content.Fact, it quiz.Item, tested ...content.FactID) quiz.Item {
	it.Model, it.Version, it.Lead, it.Topic = m.Name(), m.Version(), lead.ID, lead.Kind.Topic()
	seen := map[content.FactID]bool{}
	for _, id := range append([]content.FactID{lead.ID}, tested...) {
		f, ok := src.Index.Fact(id)
		if !ok || seen[id] {
			continue
		}
		seen[id] = true
		it.Facts = append(it.Facts, quiz.Tested{Fact: id, Critical: f.Critical, Isolation: f.Isolation(), Text: f.Text, Step: f.Step})
	}
	it.ID = itemID(it)
	return it
}

// itemID is the first 16 bytes, in hex, of SHA-256 over model, lead fact and
// signature, each ended by a zero byte.
func itemID(it quiz.Item) string {
	h := sha256.New()
	for _, s := range []string{it.Model, string(it.Lead), it.Signature} {
		h.Write([]byte(s))
		h.Write([]byte{0})
	}
	return hex.EncodeToString(h.Sum(nil)[:16])
}

// letter returns the id of the option in place i: "a", "b" … "z", "aa" …
func letter(i int) string {
	if i < 26 {
		return string(rune('a' + i))
	}
	return letter(i/26-1) + letter(i%26)
}

// shuffled returns a shuffled copy.
func shuffled[T any](rnd *rand.Rand, s []T) []T {
	out := slices.Clone(s)
	rnd.Shuffle(len(out), func(i, j int) { out[i], out[j] = out[j], out[i] })
	return out
}
