package clearance

import (
	"slices"
	"time"
)

// changedAt returns the last instant on the day asked about, up to the instant,
// at which the standing became what it is; zero where it did not change that day.
func (w *walk) changedAt(p, q int32, a asked, now Standing) time.Time {
	start := a.today.begins(w.r.zone)
	instants := w.instants(p, q, start, a, nil)
	slices.Sort(instants)
	for i := len(instants) - 1; i >= 0; i-- {
		at := instants[i]
		before := w.standing(p, q, a.moved(at-1, w.r.zone))
		if !same(now, before) {
			return time.UnixMicro(at).In(w.r.zone)
		}
	}
	return time.Time{}
}

// same compares what a standing says.
func same(a, b Standing) bool {
	return a.State == b.State && a.Cleared == b.Cleared && a.Revision == b.Revision && a.Until == b.Until && a.Due == b.Due && a.Reason == b.Reason
}

// instants collects, from the start of the day to the instant, when the standing
// may have changed: at the first moment of the day, when clearances lapse and a
// grace ends, and with each event about the pair or its prerequisites.
func (w *walk) instants(p, q int32, start int64, a asked, asking []int32) []int64 {
	if slices.Contains(asking, q) {
		return nil
	}
	person, procedure := w.r.people[p], w.r.procedures[q]
	out := []int64{start}
	lists := [][]step{procedure.steps, person.steps}
	if x := person.on(q); x != nil {
		lists = append(lists, x.steps)
		if a.later {
			out = append(out, x.statedWithin(start, a)...)
		}
	}
	for _, list := range lists {
		list = upTo(list, a.at)
		for i := len(list) - 1; i >= 0 && list[i].at >= start; i-- {
			out = append(out, list[i].at)
		}
	}
	for _, ad := range procedure.adoptions {
		for _, pre := range ad.prerequisites {
			out = append(out, w.instants(p, pre, start, a, append(asking, q))...)
		}
	}
	return out
}

func (p *pair) statedWithin(start int64, a asked) (out []int64) {
	for _, s := range upTo(p.steps, a.known) {
		if at, ok := p.stated(s); ok && start <= at && at <= a.at {
			out = append(out, at)
		}
	}
	return out
}
