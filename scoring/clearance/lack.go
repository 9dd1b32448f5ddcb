package clearance

import (
	"time"

	"soloright/content"
)

// Lack is what a person's sitting lacks to stand on the revision in force.
type Lack struct {
	Sitting string // the qualifying one that carries the clearance, or the road to it
	From    string // the revision that it stands on
	To      string // the revision in force
	Changed []content.FactID
	Removed []content.FactID
	Observe []ObserveAgain
}

// Lacks returns what a person lacks on a procedure at an instant because
// revisions were adopted since; false where there is nothing. It is about the
// sitting that carries the clearance, or, where there is none or it lapsed, about
// the one that carries the road. Unlike [Register.Standing] it says so whether or
// not the person is suspended or a prerequisite is missing: neither keeps anybody
// from sitting. Who left, and a procedure without a revision in force, lack nothing.
func (r *Register) Lacks(person, procedure string, instant time.Time) (Lack, bool) {
	p, q := r.index(person, procedure)
	if p < 0 || q < 0 {
		return Lack{}, false
	}
	w, a := &walk{r: r}, r.asked(instant, time.Time{})
	w.to(p, q, a.at, a.known)
	if w.left != 0 || w.withdrawn != 0 || w.current < 0 {
		return Lack{}, false
	}
	try := w.clearance()
	if try < 0 || a.today > w.tries[try].until {
		try = w.under()
	}
	if try < 0 || w.tries[try].on >= w.current {
		return Lack{}, false
	}
	d := w.delta(&w.tries[try])
	return Lack{Sitting: w.pair.tries[try].id, From: w.procedure.adoptions[w.tries[try].on].revision, To: d.revision,
		Changed: d.changed, Removed: d.removed, Observe: d.observe}, true
}

// MaySitDelta reports whether a person may open a delta sitting on the revision in
// force at an instant, as far as tries and waiting go. A delta sitting is a try
// like another: the policy's number and waiting time hold, so that nobody gets
// through by trying until luck comes. They count by themselves: failed delta
// sittings to the revision in force, since the last one passed, the last training
// given and the last withdrawal; those struck out do not count.
func (r *Register) MaySitDelta(person, procedure string, instant time.Time) Sit {
	p, q := r.index(person, procedure)
	if p < 0 || q < 0 {
		return Sit{Reason: "the person or the procedure is not on the record"}
	}
	w, a := &walk{r: r}, r.asked(instant, time.Time{})
	w.to(p, q, a.at, a.known)
	if w.left != 0 || w.withdrawn != 0 || w.current < 0 {
		return Sit{Reason: "no revision of the procedure is in force, or the person left"}
	}
	failed, last := w.failedDeltas()
	s := Sit{Failed: failed, Left: max(0, w.policy.Tries-failed)}
	if next := last + day(w.policy.WaitDays); failed > 0 && a.today < next {
		s.Wait = next.date()
	}
	switch {
	case s.Left == 0:
		s.Reason = number(failed) + " " + tries(failed) + " failed; training is due before the next one"
	case !s.Wait.IsZero():
		s.From = s.Wait
		s.Reason = "the next try may begin on " + s.From.String()
	default:
		s.May = true
	}
	return s
}

// failedDeltas counts the failed delta sittings that count, with the day of the
// last hand-in.
func (w *walk) failedDeltas() (n int, last day) {
	for i := len(w.tries) - 1; i >= w.fresh; i-- {
		t, kept := &w.tries[i], &w.pair.tries[i]
		if !t.delta || t.dead || !t.known || kept.to != w.current {
			continue
		}
		if t.passed {
			break
		}
		n, last = n+1, max(last, dayOf(kept.handedIn, w.r.zone))
	}
	return n, last
}
