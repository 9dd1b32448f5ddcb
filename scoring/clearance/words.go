package clearance

import (
	"slices"
	"strconv"
)

// describe puts a verdict into words.
func (w *walk) describe(v verdict, a asked) Standing {
	s := Standing{Person: w.person.id, Procedure: w.procedure.id, State: v.state, Cleared: v.cleared}
	if v.try >= 0 && (v.state == Cleared || v.state == Held || v.state == Lapsed) {
		t := &w.tries[v.try]
		s.Revision = w.procedure.adoptions[t.on].revision
		s.Until = w.date(t.until)
		s.Lapsing = v.cleared && a.today+day(w.policy.NoticeDays) >= t.until
	}
	if v.stale {
		s.Changed, s.Removed, s.Observe = v.delta.changed, v.delta.removed, v.delta.observe
		s.Due = w.date(v.due)
	}
	w.road(&s, v)
	s.Reason = w.sentence(&s, v)
	return s
}

func (w *walk) sentence(s *Standing, v verdict) string {
	switch v.state {
	case StateLeft:
		return "not cleared: left on " + w.left.date().String()
	case ProcedureNotActive:
		if w.withdrawn != 0 {
			return "not cleared: the procedure was withdrawn on " + w.withdrawn.date().String()
		}
		return "not cleared: no revision of the procedure is in force"
	case StateSuspended:
		return "suspended since " + w.suspended.day.date().String() + ": " + w.suspended.reason
	case StateWithdrawn:
		return "withdrawn on " + w.revoked.day.date().String() + ": " + w.revoked.reason
	case Lapsed:
		return "not cleared: lapsed after " + s.Until.String() + ", " + s.first()
	case Cleared:
		return w.said(phrase{w.tries[v.try].until, s.Revision}, s)
	case Held:
		return w.heldSentence(s, v)
	}
	return "not cleared: " + s.first()
}

// OnTheRoad reports whether the person is not cleared yet and has a sitting that
// carries the road.
func (s Standing) OnTheRoad() bool {
	return s.State == NotCleared && !slices.Contains(s.Tasks, TaskSitting)
}

// first is what comes next on the road.
func (s *Standing) first() string {
	if len(s.Next) == 0 {
		return "nothing outstanding"
	}
	return s.Next[0]
}

func (w *walk) heldSentence(s *Standing, v verdict) string {
	if v.missing >= 0 {
		return "held: prerequisite " + w.r.procedures[v.missing].id + " is not cleared"
	}
	text := "held: " + v.delta.change() + ", " + v.delta.task()
	if !v.cleared {
		return text + " was due by " + s.Due.String()
	}
	last := s.Due
	if s.Until.Before(last) {
		last = s.Until
	}
	return text + " due by " + s.Due.String() + "; cleared on revision " + s.Revision + " until " + last.String()
}

// change says what the revision in force did.
func (d delta) change() string {
	text := "revision " + d.revision
	switch {
	case len(d.changed) > 0 && len(d.removed) > 0:
		return text + " changed " + count(len(d.changed), "fact") + " and removed " + strconv.Itoa(len(d.removed))
	case len(d.changed) > 0:
		return text + " changed " + count(len(d.changed), "fact")
	case len(d.removed) > 0:
		return text + " removed " + count(len(d.removed), "fact")
	}
	return text + " has " + count(len(d.observe), "hold point") + " to be observed again"
}

// task says what comes first.
func (d delta) task() string {
	switch {
	case len(d.changed) > 0:
		return "delta sitting"
	case len(d.removed) > 0:
		return "signature for what was read"
	}
	return "observation"
}

// tasks lists all that is missing.
func (d delta) tasks(s *Standing) {
	if len(d.changed) > 0 {
		s.todo(TaskDelta, "delta sitting on "+count(len(d.changed), "changed fact")+" outstanding")
	}
	if len(d.removed) > 0 {
		s.todo(TaskRead, count(len(d.removed), "removed fact")+" to be read and signed for")
	}
	if len(d.observe) > 0 {
		s.todo(TaskObserveAgain, count(len(d.observe), "hold point")+" to be observed again and signed")
	}
}

// road fills in what is missing, in the order of the road.
func (w *walk) road(s *Standing, v verdict) {
	switch v.state {
	case StateLeft, ProcedureNotActive, Cleared:
		return
	}
	if v.missing >= 0 {
		s.Missing = w.r.procedures[v.missing].id
		s.todo(TaskPrerequisite, "prerequisite "+s.Missing+" outstanding")
	}
	switch {
	case v.state == StateSuspended:
		s.todo(TaskReinstate, "reinstatement by a safety officer")
	case v.state == Held:
		v.delta.tasks(s)
	default:
		w.roadTo(s, w.under())
	}
}

func (w *walk) roadTo(s *Standing, try int) {
	if try < 0 {
		s.todo(TaskSitting, sittingOutstanding)
		return
	}
	t := &w.tries[try]
	if t.on < w.current {
		d := w.delta(t)
		s.Changed, s.Removed, s.Observe = d.changed, d.removed, d.observe
		d.tasks(s)
	}
	w.signatures(s, int32(try))
}

// signatures names the rebuilds and signatures that a sitting still needs.
func (w *walk) signatures(s *Standing, try int32) {
	done, _ := w.signed(try)
	performed, waiting := 0, 0
	for i := range w.rebuilds {
		if b := &w.rebuilds[i]; b.try == try && w.counts(i) && !b.observed {
			waiting++
			if b.performed {
				performed++
			}
		}
	}
	waiting = min(waiting, w.policy.Rebuilds-done)
	if n := w.policy.Rebuilds - done - waiting; n > 0 {
		s.todo(TaskRebuild, number(n)+" observed "+plural(n, "rebuild")+" outstanding")
	}
	if waiting > performed {
		s.todo(TaskPerformed, "technician’s signature outstanding")
	}
	if waiting > 0 {
		s.todo(TaskObserved, "assessor’s signature outstanding")
	}
	if w.policy.Officer && !w.tries[try].approved {
		s.todo(TaskApproved, "safety officer’s signature outstanding")
	}
}

func count(n int, thing string) string { return strconv.Itoa(n) + " " + plural(n, thing) }

func plural(n int, thing string) string {
	if n == 1 {
		return thing
	}
	return thing + "s"
}

// number writes a small number as a word.
func number(n int) string {
	words := [...]string{"no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"}
	if n < len(words) {
		return words[n]
	}
	return strconv.Itoa(n)
}
