package clearance

import (
	"time"

	"soloright/content"
)

// Sit says whether somebody may open a qualifying sitting.
type Sit struct {
	May    bool
	Reason string       // why not, in plain words
	From   content.Date // the first day on which the next try may begin, where waiting is all that is missing
	Left   int          // tries left before training is due
	Failed int          // tries that count and were not passed
	Wait   content.Date // the first day of the next try by the waiting time alone, whatever else is missing; zero: none to wait for
}

// MaySit reports whether a person may open a qualifying sitting on a procedure at
// an instant. Failed tries count since the last one passed, the last training
// given and the last withdrawal; those struck out do not count. The waiting time
// runs in days from the hand-in of the last failed one. A suspension does not keep
// anybody from sitting: it may be what the reinstatement waits for.
func (r *Register) MaySit(person, procedure string, instant time.Time) Sit {
	p, q := r.index(person, procedure)
	if p < 0 || q < 0 {
		return Sit{Reason: "the person or the procedure is not on the record"}
	}
	w, a := &walk{r: r}, r.asked(instant, time.Time{})
	w.to(p, q, a.at, a.known)
	failed, last := w.failed()
	s := Sit{Failed: failed, Left: max(0, w.policy.Tries-failed)}
	next := last + day(w.policy.WaitDays)
	if failed > 0 && a.today < next {
		s.Wait = next.date()
	}
	missing := w.missing(a)
	switch {
	case w.left != 0:
		s.Reason = "left on " + w.left.date().String()
	case w.withdrawn != 0 || w.current < 0:
		s.Reason = "no revision of the procedure is in force"
	case missing >= 0:
		s.Reason = "prerequisite " + r.procedures[missing].id + " is not cleared"
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

func tries(n int) string {
	if n == 1 {
		return "try"
	}
	return "tries"
}

// failed counts the failed tries that count, with the day of the last hand-in.
func (w *walk) failed() (n int, last day) {
	for i := len(w.tries) - 1; i >= w.fresh; i-- {
		t := &w.tries[i]
		if t.delta || t.dead || !t.known {
			continue
		}
		if t.passed {
			break
		}
		n, last = n+1, max(last, dayOf(w.pair.tries[i].handedIn, w.r.zone))
	}
	return n, last
}
