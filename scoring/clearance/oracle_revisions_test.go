package clearance_test

import (
	"slices"

	"soloright/content"
	"soloright/scoring/clearance"
)

// reach returns the revisions on which a sitting stands: the first, and every one
// to which nothing is lacking from another of them. The largest counts.
func (o *oracle) reach(list []clearance.Event, id string) (first, last int) {
	if !o.isRecord(list) {
		return o.reached(list, id) // nothing to remember
	} else if n := len(list); n != o.length {
		o.length, o.known = n, map[string][2]int{}
	}
	if r, ok := o.known[id]; ok {
		return r[0], r[1]
	}
	first, last = o.reached(list, id)
	o.known[id] = [2]int{first, last}
	return first, last
}

func (o *oracle) reached(list []clearance.Event, id string) (first, last int) {
	i, person, procedure, _, to := o.sat(list, id)
	then, _ := o.adoptions(list[:i], procedure)
	all, _ := o.adoptions(list, procedure)
	first = place(then, to)
	stands := map[int]bool{first: true}
	for grew := true; grew; {
		grew = false
		for a := range len(all) {
			for b := a + 1; stands[a] && b < len(all); b++ {
				if !stands[b] && o.lacks(list, person, procedure, a, b).nothing() {
					stands[b], grew = true, true
				}
			}
		}
	}
	for a := range stands {
		last = max(last, a)
	}
	return first, last
}

type lack struct {
	changed, removed []content.FactID
	observe          []clearance.ObserveAgain
	since            int // first adoption that asks for any of it
}

func (l lack) nothing() bool { return len(l.changed)+len(l.removed)+len(l.observe) == 0 }

// lacks lists what somebody on one revision lacks to stand on a later one.
func (o *oracle) lacks(list []clearance.Event, person, procedure string, from, to int) lack {
	all, _ := o.adoptions(list, procedure)
	after := func(i int, f content.FactID, of func(clearance.RevisionAdopted) []content.FactID) bool {
		for j := i + 1; j <= to; j++ {
			if slices.Contains(of(all[j]), f) {
				return true
			}
		}
		return false
	}
	changed := func(a clearance.RevisionAdopted) []content.FactID { return a.Changed }
	removed := func(a clearance.RevisionAdopted) []content.FactID { return a.Removed }
	l := lack{since: -1}
	ask := func(i int) {
		if l.since < 0 {
			l.since = i
		}
	}
	for i := from + 1; i <= to; i++ {
		tested := len(all[i].Changed) == 0 || o.tested(list, person, procedure, from, i, to)
		for _, f := range all[i].Changed {
			if !tested && !after(i, f, removed) && !o.readChanged(list, person, procedure, f, i) && !o.testedFact(list, person, procedure, f, i, to) {
				l.changed = append(l.changed, f)
				ask(i)
			}
		}
		for _, f := range all[i].Removed {
			if !after(i, f, changed) && !o.read(list, person, procedure, f, i) {
				l.removed = append(l.removed, f)
				ask(i)
			}
		}
		for _, h := range all[i].Observe {
			if !after(i, h.Fact, removed) && !o.watched(list, person, procedure, h.Hold, i) {
				l.observe = append(l.observe, h)
				ask(i)
			}
		}
	}
	return l
}

// tested: delta sittings that stand lead from a revision, step by step, to the
// adoption i or past it, none past the last.
func (o *oracle) tested(list []clearance.Event, person, procedure string, from, i, last int) bool {
	if from >= i {
		return true
	}
	for k, e := range list {
		a, ok := e.Act.(clearance.DeltaMarked)
		if !ok || a.Person != person || a.Procedure != procedure || len(a.Facts) > 0 || !o.stands(list, a.Sitting) {
			continue
		}
		if first, _, _, _, _ := o.sat(list, a.Sitting); first != k {
			continue
		}
		then, _ := o.adoptions(list[:k], procedure)
		f, t := place(then, a.From), place(then, a.To)
		if 0 <= f && f <= from && t > from && t <= last && o.tested(list, person, procedure, t, i, last) {
			return true
		}
	}
	return false
}

// testedFact: a delta sitting that stands and names the fact among those it asked is
// to the adoption i or to one between it and the last.
func (o *oracle) testedFact(list []clearance.Event, person, procedure string, f content.FactID, i, last int) bool {
	for k, e := range list {
		a, ok := e.Act.(clearance.DeltaMarked)
		if !ok || a.Person != person || a.Procedure != procedure || !slices.Contains(a.Facts, f) || !o.stands(list, a.Sitting) {
			continue
		}
		first, _, _, _, _ := o.sat(list, a.Sitting)
		then, _ := o.adoptions(list[:k], procedure)
		if t := place(then, a.To); first == k && i <= t && t <= last {
			return true
		}
	}
	return false
}

// since returns the record after the person's last withdrawal.
func (o *oracle) sinceWithdrawal(list []clearance.Event, person, procedure string) int {
	n := 0
	for i, e := range list {
		if a, ok := e.Act.(clearance.Withdrawn); ok && a.Person == person && a.Procedure == procedure {
			n = i
		}
	}
	return n
}

func (o *oracle) read(list []clearance.Event, person, procedure string, f content.FactID, i int) bool {
	for k := o.sinceWithdrawal(list, person, procedure); k < len(list); k++ {
		a, ok := list[k].Act.(clearance.RemovedRead)
		if !ok || a.Person != person || a.Procedure != procedure || !slices.Contains(a.Facts, f) {
			continue
		}
		if then, _ := o.adoptions(list[:k], procedure); place(then, a.Revision) >= i {
			return true
		}
	}
	return false
}

// readChanged: the fact was read as one that changed and that no question asks, on
// that revision or a later one, since the last withdrawal.
func (o *oracle) readChanged(list []clearance.Event, person, procedure string, f content.FactID, i int) (yes bool) {
	for k := o.sinceWithdrawal(list, person, procedure); k < len(list); k++ {
		a, ok := list[k].Act.(clearance.ChangedRead)
		if ok && a.Person == person && a.Procedure == procedure && slices.Contains(a.Facts, f) {
			then, _ := o.adoptions(list[:k], procedure)
			yes = yes || place(then, a.Revision) >= i
		}
	}
	return yes
}

// watched: the hold point was unaided in a rebuild on that revision or a later
// one, which counts and whose assessor's signature is good.
func (o *oracle) watched(list []clearance.Event, person, procedure, hold string, i int) bool {
	gone := o.sinceWithdrawal(list, person, procedure)
	for k, e := range list {
		b, ok := e.Act.(clearance.RebuildFinished)
		if !ok || b.Technician != person || b.Procedure != procedure || !o.judged[k] || o.struckOut(list, b.Rebuild) {
			continue
		}
		at := -1
		for n := k; n < len(list); n++ {
			if a, ok := list[n].Act.(clearance.Signed); ok && at < 0 && a.Covers.ID == b.Rebuild && a.Meaning == clearance.Observed && o.judged[n] {
				at = n
			}
		}
		then, _ := o.adoptions(list[:k], procedure)
		if at < gone || at < 0 || place(then, b.Revision) < i {
			continue
		}
		for _, h := range b.Holds {
			if h.Step == hold && h.Outcome == clearance.Unaided && wanted(then, hold) {
				return true
			}
		}
	}
	return false
}

// wanted: some revision adopted by then asks for the hold point.
func wanted(list []clearance.RevisionAdopted, hold string) bool {
	for _, a := range list {
		for _, o := range a.Observe {
			if o.Hold == hold {
				return true
			}
		}
	}
	return false
}
