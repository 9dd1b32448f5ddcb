package quiz

import (
	"math/rand/v2"
	"sync"

	"soloright/content"
)

// Source is what item models write from: one procedure, for one build, taken
// apart once and then only read; safe for concurrent use. It must not be copied.
type Source struct {
	Procedure *content.Procedure // for one build: content.ForBuild
	Build     string             // its id; "" where the procedure has no builds
	Index     *content.Index     // its facts and elements by id

	kept sync.Map // what Keep made
}

// Keep returns what make makes for the key, which it does when it is first asked
// for; later calls give the same value. It holds what item models work out once
// for each procedure. Several goroutines that ask first may each call make; all
// get the same result, which must not be changed. Of two callers with one key
// both must ask for the same type, so a key is a value of a type of its own.
func Keep[T any](src *Source, key any, make func() T) T {
	if v, ok := src.kept.Load(key); ok {
		return v.(T)
	}
	v, _ := src.kept.LoadOrStore(key, make())
	return v.(T)
}

// Model is an item model: code that writes items from one kind of fact. It is a
// pure function of its arguments and never writes an item with two right
// answers or none.
type Model interface {
	// Name is the model's id, "build-the-stack". It never changes.
	Name() string
	// Version counts up whenever the same arguments would give another item.
	Version() int
	// Count says how many distinct items (by ID) the model can write on the
	// fact, at most MaxCount; 0 where it can write none, with the reason in plain
	// words, or without one where it does not write on facts of the kind at all.
	Count(src *Source, lead content.Fact) (n int, why string)
	// Write writes one item on a fact for which Count is not 0. The result depends
	// on the arguments only. Errors mean a defect in the model.
	Write(src *Source, lead content.Fact, rnd *rand.Rand) (Item, error)
}

// OnDrawing is what a model may also be: one whose items are answered on a
// drawing. Facts that always appear are asked so first, while it is fresh.
type OnDrawing interface{ OnDrawing() bool }

// MaxCount is the largest count that a model reports.
const MaxCount = 1 << 20

// NewSource takes the procedure apart for one build; build is "" where the
// procedure has no builds. The cost is linear in the procedure.
func NewSource(p *content.Procedure, build string) *Source {
	q := content.ForBuild(p, build)
	return &Source{Procedure: q, Build: build, Index: content.NewIndex(q)}
}
