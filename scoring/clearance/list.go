package clearance

import (
	"iter"
	"slices"
	"time"

	"soloright/content"
)

// On returns the register at the end of a day: the standing of everybody who has
// anything on the record of a procedure by then, by person and procedure. A zero
// known means as known at the end of that day. It costs a walk for each of them.
func (r *Register) On(d content.Date, known time.Time) iter.Seq[Standing] {
	return func(yield func(Standing) bool) {
		a := r.asked(time.UnixMicro(calendar(d).ends(r.zone)), known)
		l := newLister(r, a)
		for _, p := range r.byID() {
			for _, x := range l.of(p) {
				if !yield(l.standing(x)) {
					return
				}
			}
		}
	}
}

// OnProcedure is [Register.On] for one procedure, by person.
func (r *Register) OnProcedure(procedure string, d content.Date, known time.Time) iter.Seq[Standing] {
	return func(yield func(Standing) bool) {
		q, ok := r.numberQ[procedure]
		if !ok {
			return
		}
		a := r.asked(time.UnixMicro(calendar(d).ends(r.zone)), known)
		l := newLister(r, a)
		pairs := slices.DeleteFunc(slices.Clone(r.procedures[q].pairs), func(x *pair) bool { return !l.has(x) })
		slices.SortFunc(pairs, func(a, b *pair) int { return compare(r.people[a.person].id, r.people[b.person].id) })
		for _, x := range pairs {
			if !yield(l.standing(x)) {
				return
			}
		}
	}
}

// Part yields lines from one on, counted from 0, of the register at the end of a
// day, in the order of the people given and then by procedure; an empty procedure
// is any, a negative limit all. It returns how many lines there are in all. A walk
// is taken for the lines yielded only.
func (r *Register) Part(people []string, procedure string, d content.Date, known time.Time, from, limit int, yield func(Standing)) (all int) {
	a := r.asked(time.UnixMicro(calendar(d).ends(r.zone)), known)
	l := newLister(r, a)
	only, named := r.numberQ[procedure]
	if procedure != "" && !named {
		return 0
	}
	for _, id := range people {
		i, there := r.number[id]
		if !there {
			continue
		}
		for _, x := range l.of(r.people[i]) {
			if procedure != "" && x.procedure != only {
				continue
			}
			if all >= from && (limit < 0 || all < from+limit) {
				yield(l.standing(x))
			}
			all++
		}
	}
	return all
}

// Pairs returns how many people on how many procedures have anything on the
// record: the most lines that a register can have.
func (r *Register) Pairs() int { return r.pairs }

// Lapsing returns, of the register on a day, whoever is cleared then and will not
// be days later as the record stands, because a clearance or a grace runs out:
// soonest first.
func (r *Register) Lapsing(d content.Date, days int, known time.Time) []Standing {
	var out []Standing
	last := (calendar(d) + day(days)).date()
	for s := range r.On(d, known) {
		if s.Cleared && s.Last().Before(last) {
			out = append(out, s)
		}
	}
	slices.SortStableFunc(out, func(a, b Standing) int { return a.Last().Time().Compare(b.Last().Time()) })
	return out
}

// Last is the last day on which somebody cleared is cleared as the record stands.
func (s Standing) Last() content.Date {
	if !s.Due.IsZero() && s.Due.Before(s.Until) {
		return s.Due
	}
	return s.Until
}

// Only returns, of the register on a day, whoever is the only one cleared on a
// procedure: when that one is away, nobody can do it alone.
func (r *Register) Only(d content.Date, known time.Time) []Standing {
	cleared := map[string][]Standing{}
	for s := range r.On(d, known) {
		if s.Cleared && len(cleared[s.Procedure]) < 2 {
			cleared[s.Procedure] = append(cleared[s.Procedure], s)
		}
	}
	var out []Standing
	for _, list := range cleared {
		if len(list) == 1 {
			out = append(out, list[0])
		}
	}
	slices.SortFunc(out, func(a, b Standing) int { return compare(a.Procedure, b.Procedure) })
	return out
}

func compare(a, b string) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// byID returns the people by their ids.
func (r *Register) byID() []*person {
	people := slices.Clone(r.people)
	slices.SortFunc(people, func(a, b *person) int { return compare(a.id, b.id) })
	return people
}

// lister makes many standings of one instant.
type lister struct {
	w       walk
	a       asked
	start   int64
	touched []bool // procedures that changed on the day, or have prerequisites
	found   []*pair
}

func newLister(r *Register, a asked) *lister {
	l := &lister{w: walk{r: r, memo: &memo{}}, a: a, start: a.today.begins(r.zone), touched: make([]bool, len(r.procedures))}
	for i, q := range r.procedures {
		l.touched[i] = l.any(q.steps) || slices.ContainsFunc(q.adoptions, func(x adoption) bool { return len(x.prerequisites) > 0 })
	}
	return l
}

// any reports whether one of the steps was on the day.
func (l *lister) any(steps []step) bool {
	steps = upTo(steps, l.a.at)
	return len(steps) > 0 && steps[len(steps)-1].at >= l.start
}

// has reports whether a pair has anything on the record by the instant.
func (l *lister) has(x *pair) bool {
	return len(x.steps) > 0 && x.steps[0].at <= l.a.known && (l.a.later || x.steps[0].at <= l.a.at)
}

// of returns the pairs of a person that are on the record, by procedure.
func (l *lister) of(p *person) []*pair {
	l.found = l.found[:0]
	for _, x := range p.pairs {
		if l.has(x) {
			l.found = append(l.found, x)
		}
	}
	slices.SortFunc(l.found, func(a, b *pair) int {
		return compare(l.w.r.procedures[a.procedure].id, l.w.r.procedures[b.procedure].id)
	})
	return l.found
}

// standing is the whole standing of a pair; it looks for the change only where
// there can be one.
func (l *lister) standing(x *pair) Standing {
	s := l.w.standing(x.person, x.procedure, l.a)
	yesterday := l.a.today - 1
	ended := !s.Until.IsZero() && calendar(s.Until) == yesterday || !s.Due.IsZero() && calendar(s.Due) == yesterday
	if ended || l.a.later || l.touched[x.procedure] || l.any(x.steps) || l.any(l.w.r.people[x.person].steps) {
		s.ChangedAt = l.w.changedAt(x.person, x.procedure, l.a, s)
	}
	return s
}
