package api

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"sync"
	"time"

	"soloright/content"
	"soloright/scoring/held"
	"soloright/scoring/itemstat"
)

// analysis is what a crew holds, as of one place of the history. It never
// changes once it is made, but for used and for what it remembers of pairs.
type analysis struct {
	scope  lessonScope
	ground ground
	at     time.Time
	used   time.Time // guarded by the desk
	zone   *time.Location

	facts    []lessonFact   // by procedure, in the order of its facts
	people   []lessonPerson // by name
	place    map[factOf]int
	whose    map[string]int
	builds   map[string]map[string]bool // of each procedure
	heard    []heard                    // by fact, then person, then time
	from     []int                      // heard of fact f is heard[from[f]:from[f+1]]
	sittings []sittingAt
	models   []string
	chances  []float64
	model    *held.Model
	mean     [][]float32 // of each fact and person: posterior mean of h; −1 where the work is not theirs
	below    [][]float32
	held     []itemstat.Held // of each fact
	cost     []float64
	short    []float64 // of each fact: Σ of below
	answers  int       // within the period
	pairs    sync.Map  // of [2]int{fact, person}: itemstat.Held, as they were asked for
	asked    []int     // facts that were asked, worst first
	wanted   float64   // of the procedure asked about, or the site's
	groups   lessonGroups
}

// lessonFact is a fact as the revision in force states it.
type lessonFact struct {
	content.Fact
	procedure, title string
	wanted           float64
	timesAMonth      float64
	builds           map[string]bool // that it holds for
}

// lessonPerson is somebody who is with us, with the builds sat on of each procedure.
type lessonPerson struct {
	id, name, crew string
	builds         map[string]map[string]bool
}

// sittingAt is a sitting and when it was handed in.
type sittingAt struct {
	id string
	at time.Time
}

// heard is one answer of one person on one fact as it is stated now.
type heard struct {
	fact, person  int32
	model, chance uint16
	right, blank  bool
	early         bool // before the period: it counts as a meeting only
	sitting       int32
}

// newAnalysis works out what is held within a scope. What was answered on a fact
// whose value has changed since does not count.
func (a *App) newAnalysis(ctx context.Context, scope lessonScope) (*analysis, error) {
	x := &analysis{scope: scope, at: a.now(), used: a.now(), zone: a.zone, place: map[factOf]int{}, whose: map[string]int{}, builds: map[string]map[string]bool{}}
	_, end := scope.span(a.zone)
	sittings, place := a.lessons.memory.until(end)
	x.ground.place = place
	var same factsAsNow
	err := a.store.Read(ctx, func(r Reader) error {
		n, err := readNames(ctx, r)
		if err != nil {
			return err
		}
		if x.ground.policy, err = a.lessonPolicy(ctx, r, n); err != nil {
			return err
		}
		if err := a.lessonFacts(ctx, r, n, x); err != nil {
			return err
		}
		same, err = a.readFactsAsNow(ctx, r, x, sittings)
		if err != nil {
			return err
		}
		x.takePeople(n, sittings)
		return nil
	})
	if err != nil {
		return nil, err
	}
	x.hear(a.lessons.memory, sittings, same)
	if err := x.fit(); err != nil {
		return nil, fmt.Errorf("work out what is held: %w", err)
	}
	x.rank()
	if err := x.group(); err != nil {
		return nil, fmt.Errorf("work out what is held of each topic: %w", err)
	}
	return x, nil
}

// span is from the begin of the first day to the end of the last, at the site.
func (s lessonScope) span(zone *time.Location) (from, to time.Time) {
	day := func(d content.Date, days int) time.Time {
		t := d.Time()
		return time.Date(t.Year(), t.Month(), t.Day()+days, 0, 0, 0, 0, zone)
	}
	return day(s.From, 0), day(s.To, 1).Add(-time.Microsecond)
}

// hear takes in what the people of the scope answered.
func (x *analysis) hear(m *lessonMemory, sittings []heardSitting, same factsAsNow) {
	m.mu.Lock()
	x.models, x.chances = slices.Clone(m.models.all), slices.Clone(m.chances.all)
	names := m.facts.all[:len(m.facts.all):len(m.facts.all)]
	m.mu.Unlock()
	from, _ := x.scope.span(x.zone)
	x.sittings = make([]sittingAt, len(sittings))
	for i, s := range sittings {
		x.sittings[i] = sittingAt{s.id, s.at}
	}
	here := make([]int, len(names)) // of the facts of the memory; 0: not here
	for i, id := range names {
		if f, ok := x.place[id]; ok {
			here[i] = f + 1
		}
	}
	for i, s := range sittings {
		p, ok := x.whose[s.person]
		if !ok {
			continue
		}
		still := same[[2]string{s.procedure, s.revision}]
		for _, h := range s.facts {
			f := here[h.fact] - 1
			if f < 0 || !still[x.facts[f].ID] {
				continue
			}
			x.heard = append(x.heard, heard{fact: int32(f), person: int32(p), model: h.model, chance: h.chance, right: h.right, blank: h.blank,
				early: s.at.Before(from), sitting: int32(i)})
		}
	}
	slices.SortStableFunc(x.heard, func(a, b heard) int { return cmp.Or(cmp.Compare(a.fact, b.fact), cmp.Compare(a.person, b.person)) })
	x.from = make([]int, len(x.facts)+1)
	for _, h := range x.heard {
		x.from[h.fact+1]++
		if !h.early {
			x.answers++
		}
	}
	for f := range x.facts {
		x.from[f+1] += x.from[f]
	}
}

// of is what was heard of a fact.
func (x *analysis) of(fact int) []heard { return x.heard[x.from[fact]:x.from[fact+1]] }

// pair is what was heard of a fact from one person, oldest first.
func (x *analysis) pair(fact, person int) []heard {
	all := x.of(fact)
	at, _ := slices.BinarySearchFunc(all, int32(person), func(h heard, p int32) int { return cmp.Compare(h.person, p) })
	end := at
	for end < len(all) && all[end].person == int32(person) {
		end++
	}
	return all[at:end]
}

// tallies counts answers within the period by their chance of being luck.
func (x *analysis) tallies(all []heard) []itemstat.Tally {
	var out []itemstat.Tally
	var chance []uint16
	for _, h := range all {
		if h.early {
			continue
		}
		i := slices.Index(chance, h.chance)
		if i < 0 {
			i = len(chance)
			chance = append(chance, h.chance)
			out = append(out, itemstat.Tally{Guess: x.chances[h.chance]})
		}
		out[i].Answered++
		if h.right {
			out[i].Right++
		}
	}
	slices.SortFunc(out, func(a, b itemstat.Tally) int { return cmp.Compare(a.Guess, b.Guess) })
	return out
}

// fit works out what each person holds of each fact.
func (x *analysis) fit() error {
	crew := held.Crew{People: len(x.people), Facts: len(x.facts)}
	for f := range x.facts {
		all := x.of(f)
		for len(all) > 0 {
			end := 1
			for end < len(all) && all[end].person == all[0].person {
				end++
			}
			if ts := x.tallies(all[:end]); len(ts) > 0 {
				crew.Pairs = append(crew.Pairs, held.Pair{Person: int(all[0].person), Fact: f, Tallies: ts})
			}
			all = all[end:]
		}
	}
	var err error
	if x.model, err = held.Fit(crew); err != nil {
		return err
	}
	x.held = x.model.Facts(func(f int) float64 { return x.facts[f].wanted })
	return x.chanceOfEach()
}

// chanceOfEach works out the chance that somebody holds less than is wanted, for
// everybody whose work a fact is part of.
func (x *analysis) chanceOfEach() error {
	x.mean, x.below = make([][]float32, len(x.facts)), make([][]float32, len(x.facts))
	x.cost, x.short = make([]float64, len(x.facts)), make([]float64, len(x.facts))
	for f := range x.facts {
		x.mean[f], x.below[f] = make([]float32, len(x.people)), make([]float32, len(x.people))
		var below []float64
		for p := range x.people {
			if !x.concerns(f, p) {
				x.mean[f][p], x.below[f][p] = -1, -1
				continue
			}
			mean, b, err := x.model.Chance(p, f, x.facts[f].wanted)
			if err != nil {
				return err
			}
			x.mean[f][p], x.below[f][p] = float32(mean), float32(b)
			below = append(below, b)
			x.short[f] += b
		}
		x.cost[f] = held.Cost(x.facts[f].Critical, below, x.facts[f].timesAMonth)
	}
	return nil
}

// concerns reports whether a fact is part of a person's work: of a procedure and
// a build that the person has sat a form on.
func (x *analysis) concerns(fact, person int) bool {
	f := &x.facts[fact]
	sat, known := x.people[person].builds[f.procedure], false
	for build := range sat {
		if f.builds[build] {
			return true
		}
		known = known || x.builds[f.procedure][build]
	}
	return len(sat) > 0 && !known // a build that there is no more says nothing
}

// rank sorts the facts that were asked within the period, the costliest first. A
// fact that nobody missed is no lesson: it stands behind those that somebody did.
func (x *analysis) rank() {
	var missed, fine []int
	for f := range x.facts {
		switch n, wrong := x.counts(x.of(f)); {
		case wrong > 0:
			missed = append(missed, f)
		case n > 0:
			fine = append(fine, f)
		}
	}
	for _, list := range [][]int{missed, fine} {
		held.Rank(list, func(f int) float64 { return x.cost[f] }, func(f int) string { return string(x.facts[f].ID) }, func(f int) string { return x.facts[f].procedure })
	}
	x.asked = append(missed, fine...)
}

// counts counts answers within the period, and those that were missed.
func (x *analysis) counts(all []heard) (n, missed int) {
	for _, h := range all {
		if h.early {
			continue
		}
		if n++; !h.right {
			missed++
		}
	}
	return n, missed
}
