package clearance

import (
	"slices"

	"soloright/content"
)

// carry brings every sitting that stands to the latest revision that it reaches:
// over revisions that touch nothing, and over others where the changed facts are
// shown, the removed ones read and the hold points observed again. It works from
// the sitting's own revision each time, so a delta sitting that is struck out
// takes back what it brought.
func (w *walk) carry() {
	for i := range w.tries {
		t := &w.tries[i]
		if !t.valid() || t.delta {
			continue
		}
		t.on = w.pair.tries[i].to
		for w.forward(t) {
		}
	}
}

// forward moves a sitting to the latest revision up to which nothing is lacking.
func (w *walk) forward(t *tryState) (moved bool) {
	for to := w.current; to > t.on; to-- {
		if w.reaches(t, to) {
			t.on = to
			return true
		}
	}
	return false
}

func (w *walk) reaches(t *tryState, to int16) bool {
	shown := w.shown(t, to)
	for i := t.on + 1; i <= to; i++ {
		if w.unmet(shown, i, to) {
			return false
		}
	}
	return true
}

// shown returns the revision up to which the facts are shown on the way to
// another: by delta sittings on all that changed, each begun where the ones before
// it end. One that goes beyond does not count: it need not have asked what a
// revision after took away again.
func (w *walk) shown(t *tryState, to int16) int16 {
	up := t.on
	for moved := true; moved; {
		moved = false
		for i := range w.tries {
			d, kept := &w.tries[i], &w.pair.tries[i]
			if d.delta && d.valid() && len(kept.facts) == 0 && 0 <= kept.from && kept.from <= up && kept.to > up && kept.to <= to {
				up, moved = kept.to, true
			}
		}
	}
	return up
}

// unmet reports whether the adoption i asks for something that a sitting lacks in
// order to stand on the adoption to.
func (w *walk) unmet(shown, i, to int16) bool {
	a := &w.procedure.adoptions[i]
	if !a.touches {
		return false
	}
	for _, f := range a.changed {
		if w.toShow(shown, i, to, f) {
			return true
		}
	}
	for _, f := range a.removed {
		if w.toRead(i, to, f) {
			return true
		}
	}
	for _, o := range a.observe {
		if w.toObserve(i, to, o) {
			return true
		}
	}
	return false
}

// toShow: a fact changed by the adoption i is to be shown, unless a later one
// removed it, or it was read as one that no question asks.
func (w *walk) toShow(shown, i, to int16, f content.FactID) bool {
	return shown < i && !w.removedLater(i, to, f) && !w.read(i, f, true) && !w.asked(i, to, f)
}

// asked reports whether a delta sitting that stands asked a fact as the adoption i
// states it, or a later one up to another.
func (w *walk) asked(i, to int16, f content.FactID) bool {
	for k := range w.tries {
		d, kept := &w.tries[k], &w.pair.tries[k]
		if d.delta && d.valid() && i <= kept.to && kept.to <= to && slices.Contains(kept.facts, f) {
			return true
		}
	}
	return false
}

// read reports whether a fact was read, as changed or as removed, on the adoption
// i or a later one.
func (w *walk) read(i int16, f content.FactID, changed bool) bool {
	return slices.ContainsFunc(w.reads, func(r read) bool {
		return r.changed == changed && r.revision >= i && slices.Contains(r.facts, f)
	})
}

// toRead: a fact removed by the adoption i is to be read, unless a later one
// states it again: then it is to be shown.
func (w *walk) toRead(i, to int16, f content.FactID) bool {
	if w.read(i, f, false) {
		return false
	}
	for _, a := range w.procedure.adoptions[i+1 : to+1] {
		if slices.Contains(a.changed, f) {
			return false
		}
	}
	return true
}

func (w *walk) toObserve(i, to int16, o ObserveAgain) bool {
	for _, s := range w.seen {
		if s.revision >= i && s.hold == o.Hold {
			return false
		}
	}
	return !w.removedLater(i, to, o.Fact)
}

func (w *walk) removedLater(i, to int16, f content.FactID) bool {
	for _, a := range w.procedure.adoptions[i+1 : to+1] {
		if slices.Contains(a.removed, f) {
			return true
		}
	}
	return false
}

// delta is what a sitting lacks to stand on the revision in force.
type delta struct {
	revision string // in force
	changed  []content.FactID
	removed  []content.FactID
	observe  []ObserveAgain
	since    day // of the first adoption that asks for any of it
}

// delta collects what a sitting lacks; each fact stands once.
func (w *walk) delta(t *tryState) delta {
	d := delta{revision: w.procedure.adoptions[w.current].revision}
	shown := w.shown(t, w.current)
	for i := t.on + 1; i <= w.current; i++ {
		a := &w.procedure.adoptions[i]
		if d.since == 0 && w.unmet(shown, i, w.current) {
			d.since = a.day
		}
		for _, f := range a.changed {
			if w.toShow(shown, i, w.current, f) && !slices.Contains(d.changed, f) {
				d.changed = append(d.changed, f)
			}
		}
		for _, f := range a.removed {
			if w.toRead(i, w.current, f) && !slices.Contains(d.removed, f) {
				d.removed = append(d.removed, f)
			}
		}
		for _, o := range a.observe {
			if w.toObserve(i, w.current, o) && !slices.Contains(d.observe, o) {
				d.observe = append(d.observe, o)
			}
		}
	}
	return d
}
