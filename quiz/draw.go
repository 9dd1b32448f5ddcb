package quiz

import (
	"math/rand/v2"
	"slices"
	"sort"

	"soloright/content"
)

// shuffle deals 0..n-1 in random order, each once, at the same cost for any n:
// a Fisher–Yates shuffle that remembers only what it moved.
type shuffle struct {
	n, dealt int
	moved    map[int]int
}

func newShuffle(n int) *shuffle { return &shuffle{n: n, moved: map[int]int{}} }

func (s *shuffle) left() int { return s.n - s.dealt }

// deal returns the next one; there must be one left.
func (s *shuffle) deal(rnd *rand.Rand) int {
	i := s.dealt + rnd.IntN(s.n-s.dealt)
	got := s.at(i)
	s.moved[i] = s.at(s.dealt)
	delete(s.moved, s.dealt)
	s.dealt++
	return got
}

func (s *shuffle) at(i int) int {
	if v, ok := s.moved[i]; ok {
		return v
	}
	return i
}

// tier says how welcome a lead is.
type tier int

const (
	tierUnmet  tier = iota // the person has not met its fact; dealt at random
	tierMet                // met, longest ago first
	tierTested             // an item of the form tests it already, beside its lead
	tierRepeat             // nothing new can be written on it
	tiers
)

// queue deals the leads of one topic by tiers.
type queue struct {
	leads  []int // of the topic, as the bank lists them
	fresh  *shuffle
	met    []metLead
	sorted bool // met is
	tested []int
	stale  []int
}

type metLead struct{ lead, when int }

func newQueue(leads []int) *queue { return &queue{leads: leads, fresh: newShuffle(len(leads))} }

// left is how many leads may still come in the tier. While some are undealt,
// the met ones among them are not yet known.
func (q *queue) left(t tier) int {
	switch t {
	case tierUnmet:
		return q.fresh.left()
	case tierMet:
		return len(q.met)
	case tierTested:
		return len(q.tested)
	}
	return len(q.stale)
}

// next deals a lead of the tier; ok is false where there is none left. A lead
// whose fact the form tests already is put off to a later tier. Met leads
// come only after every unmet one was dealt, or not in order.
func (q *queue) next(a *assembler, t tier) (at int, ok bool) {
	switch t {
	case tierUnmet:
		return q.nextUnmet(a)
	case tierMet:
		return q.nextMet(a)
	case tierTested:
		return first(&q.tested)
	}
	return first(&q.stale)
}

func first(list *[]int) (int, bool) {
	if len(*list) == 0 {
		return 0, false
	}
	at := (*list)[0]
	*list = (*list)[1:]
	return at, true
}

func (q *queue) nextUnmet(a *assembler) (at int, ok bool) {
	for q.fresh.left() > 0 {
		at := q.leads[q.fresh.deal(a.rnd)]
		fact := a.bank.leads[at].fact.ID
		when, seen := a.metFacts[fact]
		switch {
		case seen:
			q.met = append(q.met, metLead{at, when})
		case a.keyed[fact] > 0:
			q.tested = append(q.tested, at)
		default:
			return at, true
		}
	}
	return 0, false
}

func (q *queue) nextMet(a *assembler) (at int, ok bool) {
	if !q.sorted {
		sort.SliceStable(q.met, func(i, j int) bool { return q.met[i].when < q.met[j].when })
		q.sorted = true
	}
	for len(q.met) > 0 {
		at, q.met = q.met[0].lead, q.met[1:]
		if a.keyed[a.bank.leads[at].fact.ID] == 0 {
			return at, true
		}
		q.tested = append(q.tested, at)
	}
	return 0, false
}

// outcome says what came of an attempt to put a lead on the form.
type outcome int

const (
	placed outcome = iota
	enemy          // what was written gives something away, or is given away
	stale          // a family has nothing that the person has not met, and no other family will do
)

// tryLead writes an item on the lead and puts it on the form if it is no enemy
// of what is there. Families whose model stands least often on the form come
// first, at random among equals. In the tier of repeats an item that the person has
// met will do.
func (a *assembler) tryLead(at int, t tier) (outcome, error) {
	l := &a.bank.leads[at]
	if a.tooRisky(l.fact) {
		return enemy, nil
	}
	res := enemy
	for _, f := range a.inTurn(l.families) {
		for range 2 {
			it, fresh, err := a.write(l.fact, f)
			if err != nil {
				return 0, err
			}
			if !fresh && t != tierRepeat {
				res = stale
				break
			}
			if a.fits(it) {
				a.put(it, at)
				return placed, nil
			}
		}
	}
	return res, nil
}

// inTurn orders families by how often their model stands on the form; for a fact
// that always appears those answered on a drawing come first.
func (a *assembler) inTurn(fs []Family) []Family {
	out := slices.Clone(fs)
	a.rnd.Shuffle(len(out), func(i, j int) { out[i], out[j] = out[j], out[i] })
	slices.SortStableFunc(out, func(x, y Family) int { return a.models[x.Model.Name()] - a.models[y.Model.Name()] })
	if a.onDrawing {
		slices.SortStableFunc(out, func(x, y Family) int { return drawn(y) - drawn(x) })
	}
	return out
}

// drawn is 1 for a family whose items are answered on a drawing, else 0.
func drawn(f Family) int {
	if m, ok := f.Model.(OnDrawing); ok && m.OnDrawing() {
		return 1
	}
	return 0
}

// gives reports whether the item gives away a key of the form, or the form a
// key of the item.
func (a *assembler) gives(it Item) bool {
	for _, f := range it.Shows {
		if a.keyed[f] > 0 {
			return true
		}
	}
	for _, t := range it.Facts {
		if a.shown[t.Fact] > 0 {
			return true
		}
	}
	return false
}

// put puts an item on the form.
func (a *assembler) put(it Item, at int) {
	a.items = append(a.items, chosen{Item: it, at: at})
	a.count(it, at, 1)
}

// take takes item i off the form.
func (a *assembler) take(i int) chosen {
	c := a.items[i]
	a.items = slices.Delete(a.items, i, i+1)
	a.count(c.Item, c.at, -1)
	return c
}

func (a *assembler) count(it Item, at, by int) {
	a.used[at] += by
	a.topics[a.bank.leads[at].topic] += by
	a.models[it.Model] += by
	a.seconds += by * it.Seconds
	a.risky = a.risky.plus(riskOf(it), by)
	for _, f := range it.Shows {
		a.shown[f] += by
	}
	for _, t := range it.Facts {
		a.keyed[t.Fact] += by
	}
}

// lists reports whether an item tests the fact.
func lists(it Item, f content.FactID) bool {
	return slices.ContainsFunc(it.Facts, func(t Tested) bool { return t.Fact == f })
}
