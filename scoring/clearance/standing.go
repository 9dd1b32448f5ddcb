package clearance

import (
	"time"

	"soloright/content"
)

// State is where a person is with a procedure.
type State string

// The states.
const (
	Cleared            State = "cleared"
	Held               State = "held"        // a revision or a prerequisite stands in between
	Lapsed             State = "lapsed"      // the clearance's last day is over
	NotCleared         State = "not cleared" // on the road, or not yet on it
	StateSuspended     State = "suspended"
	StateWithdrawn     State = "withdrawn"
	StateLeft          State = "left"
	ProcedureNotActive State = "no revision in force" // none adopted, or the procedure was withdrawn
)

// Standing is where a person is with a procedure at an instant.
type Standing struct {
	Person    string           `json:"person"`
	Procedure string           `json:"procedure"`
	State     State            `json:"state"`
	Cleared   bool             `json:"cleared"`             // may do it alone
	Revision  string           `json:"revision,omitempty"`  // that the clearance stands on
	Until     content.Date     `json:"until,omitzero"`      // its last day
	Due       content.Date     `json:"due,omitzero"`        // last day of the grace after a revision
	Lapsing   bool             `json:"lapsing,omitempty"`   // cleared, and within the days of notice
	Changed   []content.FactID `json:"changed,omitempty"`   // to be shown in a delta sitting
	Removed   []content.FactID `json:"removed,omitempty"`   // to be read and signed for
	Observe   []ObserveAgain   `json:"observe,omitempty"`   // hold points to be observed again
	Reason    string           `json:"reason"`              // one plain sentence, without a full stop
	Next      []string         `json:"next,omitempty"`      // what is missing, in the order of the road
	Tasks     []Task           `json:"tasks,omitempty"`     // the same, each by its kind
	Missing   string           `json:"missing,omitempty"`   // a prerequisite that is not cleared
	ChangedAt time.Time        `json:"changed_at,omitzero"` // last change on the day of the instant, if any
}

// Standing returns where a person is with a procedure at an instant, as known at
// another; a zero known means as known at the instant. It is for any instant,
// past or coming: a coming one is judged by what is on record. Who or what is
// not on the record is not cleared. It costs some tens of steps.
func (r *Register) Standing(person, procedure string, instant, known time.Time) Standing {
	p, q := r.index(person, procedure)
	switch {
	case q < 0:
		return Standing{Person: person, Procedure: procedure, State: ProcedureNotActive, Reason: "not cleared: no revision of the procedure is in force"}
	case p < 0:
		return Standing{Person: person, Procedure: procedure, State: NotCleared, Reason: "not cleared: the person is not on the record"}
	}
	a := r.asked(instant, known)
	w := &walk{r: r}
	s := w.standing(p, q, a)
	s.ChangedAt = w.changedAt(p, q, a, s)
	return s
}

// asked is an instant as known at another, with its day.
type asked struct {
	at, known int64
	today     day
	later     bool // known is another than the instant
}

func (r *Register) asked(instant, known time.Time) asked {
	a := asked{at: instant.UnixMicro(), known: known.UnixMicro(), later: true}
	if known.IsZero() || a.known == a.at {
		a.known, a.later = a.at, false
	}
	a.today = dayOf(a.at, r.zone)
	return a
}

// moved returns the same question about another instant.
func (a asked) moved(at int64, zone *time.Location) asked {
	b := asked{at: at, known: a.known, today: dayOf(at, zone), later: a.later}
	if !a.later {
		b.known = at
	}
	return b
}

// standing walks and describes, but for ChangedAt.
func (w *walk) standing(p, q int32, a asked) Standing {
	w.to(p, q, a.at, a.known)
	return w.describe(w.judge(a), a)
}

// verdict is a standing without its words.
type verdict struct {
	state   State
	cleared bool
	try     int // that carries the clearance, −1 for none
	stale   bool
	delta   delta // where stale
	due     day
	missing int32 // a prerequisite that is not cleared, −1 for none
}

// judge decides on the state. What stops the person comes first, then what stops
// everybody, then the clearance, then the road.
func (w *walk) judge(a asked) verdict {
	v := verdict{try: w.clearance(), missing: -1}
	switch {
	case w.left != 0:
		v.state = StateLeft
	case w.withdrawn != 0 || w.current < 0:
		v.state = ProcedureNotActive
	case w.suspended.on:
		v.state = StateSuspended
	case v.try >= 0:
		w.judgeClearance(&v, a)
	default:
		v.state = NotCleared
		v.missing = w.missing(a)
		if w.revoked.on && w.under() < 0 {
			v.state = StateWithdrawn
		}
	}
	return v
}

func (w *walk) judgeClearance(v *verdict, a asked) {
	t := &w.tries[v.try]
	if a.today > t.until {
		v.state = Lapsed
		v.missing = w.missing(a)
		return
	}
	if v.stale = t.on < w.current; v.stale {
		v.delta = w.delta(t)
		v.due = v.delta.since + day(w.policy.GraceDays)
	}
	v.missing = w.missing(a)
	switch {
	case v.missing >= 0:
		v.state = Held
	case v.stale:
		v.state, v.cleared = Held, a.today <= v.due
	default:
		v.state, v.cleared = Cleared, true
	}
}

// missing returns the first prerequisite that is not cleared, −1 for none. A
// circle of prerequisites is never cleared.
func (w *walk) missing(a asked) int32 {
	if w.current < 0 {
		return -1
	}
	for _, q := range w.procedure.adoptions[w.current].prerequisites {
		if !w.clearedToo(q, a) {
			return q
		}
	}
	return -1
}

func (w *walk) clearedToo(q int32, a asked) bool {
	for up := w; up != nil; up = up.within {
		if up.procedure == w.r.procedures[q] {
			return false
		}
	}
	if w.inner == nil {
		w.inner = &walk{r: w.r, within: w}
	}
	w.inner.to(w.r.number[w.person.id], q, a.at, a.known)
	return w.inner.judge(a).cleared
}
