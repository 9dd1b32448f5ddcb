package clearance_test

import (
	"slices"
	"time"

	"soloright/content"
	"soloright/scoring/clearance"
)

// standing answers from the record as given, at an instant.
func (o *oracle) standing(list []clearance.Event, person, procedure string, t time.Time, asking ...string) where {
	left, suspended := false, false
	for _, e := range list {
		switch a := e.Act.(type) {
		case clearance.PersonLeft:
			left = left || a.Person == person
		case clearance.PersonBack:
			left = left && a.Person != person
		case clearance.Suspended:
			suspended = suspended || a.Person == person && a.Procedure == procedure
		case clearance.Reinstated:
			suspended = suspended && !(a.Person == person && a.Procedure == procedure)
		case clearance.Withdrawn:
			suspended = suspended && !(a.Person == person && a.Procedure == procedure)
		}
	}
	switch {
	case left:
		return where{State: clearance.StateLeft}
	case !o.active(list, procedure):
		return where{State: clearance.ProcedureNotActive}
	case suspended:
		return where{State: clearance.StateSuspended}
	}
	if g, ok := o.clearance(list, person, procedure, t); ok {
		return o.onClearance(list, g, t, asking)
	}
	return o.onRoad(list, person, procedure, t)
}

// clearance returns the grant, not ended, of the sitting that stands and was first
// cleared last.
func (o *oracle) clearance(list []clearance.Event, person, procedure string, t time.Time) (found grant, ok bool) {
	for _, g := range o.grants {
		if g.person == person && g.procedure == procedure && o.carried(list, g, t) && o.stands(list, g.sitting) && (!ok || o.first[g.sitting] > o.first[found.sitting]) {
			found, ok = g, true
		}
	}
	return found, ok
}

// given: the grant was there at an instant, by the list.
func (o *oracle) given(list []clearance.Event, g grant, t time.Time) bool {
	return !g.at.After(t) && !g.at.After(o.last(list))
}

// carried: it was given and no rebuild under it was struck out by then.
func (o *oracle) carried(list []clearance.Event, g grant, t time.Time) bool {
	return o.given(list, g, t) && (g.ended.IsZero() || g.ended.After(t) || g.ended.After(o.last(list)))
}

// last is the newest entry of a list that was recorded in order.
func (o *oracle) last(list []clearance.Event) time.Time {
	var t time.Time
	for _, e := range list {
		if e.At.After(t) {
			t = e.At
		}
	}
	return t
}

func (o *oracle) onClearance(list []clearance.Event, g grant, t time.Time, asking []string) where {
	all, at := o.adoptions(list, g.procedure)
	p := o.policy(list, g.procedure)
	_, on := o.reach(list, g.sitting)
	today := o.day(t)
	w := where{Revision: all[on].Revision, Until: dayText(g.until)}
	if today.After(g.until) {
		w.State = clearance.Lapsed
		w.Changed, w.Removed, w.Observe = o.unused(list, g.person, g.procedure, t)
		return w
	}
	w.State, w.Cleared = clearance.Cleared, true
	l := o.lacks(list, g.person, g.procedure, on, len(all)-1)
	if !l.nothing() {
		due := o.day(at[l.since]).AddDate(0, 0, p.GraceDays)
		w.State, w.Due, w.Cleared = clearance.Held, dayText(due), !today.After(due)
		w.Changed, w.Removed, w.Observe = unique(l.changed), unique(l.removed), unique(l.observe)
	}
	for _, q := range all[len(all)-1].Prerequisites {
		if slices.Contains(asking, q) || q == g.procedure || !o.standing(list, g.person, q, t, append(slices.Clone(asking), g.procedure)...).Cleared {
			w.State, w.Cleared = clearance.Held, false
		}
	}
	w.Lapsing = w.Cleared && !today.Before(g.until.AddDate(0, 0, -p.NoticeDays))
	return w
}

func (o *oracle) onRoad(list []clearance.Event, person, procedure string, t time.Time) where {
	w := where{State: clearance.NotCleared}
	started := false
	for _, s := range o.qualifying(list, person, procedure) {
		started = started || o.stands(list, s.Sitting) && !o.grantedBy(list, s.Sitting, t)
	}
	revoked := false
	for _, e := range list {
		if a, ok := e.Act.(clearance.Withdrawn); ok && a.Person == person && a.Procedure == procedure {
			revoked = true
			for _, g := range o.grants {
				if g.person == person && g.procedure == procedure && g.at.After(e.At) && o.given(list, g, t) {
					revoked = false
				}
			}
		}
	}
	if revoked && !started {
		w.State = clearance.StateWithdrawn
	}
	w.Changed, w.Removed, w.Observe = o.unused(list, person, procedure, t)
	return w
}

func (o *oracle) grantedBy(list []clearance.Event, sitting string, t time.Time) bool {
	return slices.ContainsFunc(o.grants, func(g grant) bool { return g.sitting == sitting && o.carried(list, g, t) })
}

// unused returns what the last sitting that stands and carries no clearance lacks.
func (o *oracle) unused(list []clearance.Event, person, procedure string, t time.Time) ([]content.FactID, []content.FactID, []clearance.ObserveAgain) {
	id := ""
	for _, s := range o.qualifying(list, person, procedure) {
		if o.stands(list, s.Sitting) && !o.grantedBy(list, s.Sitting, t) {
			id = s.Sitting
		}
	}
	if id == "" {
		return nil, nil, nil
	}
	all, _ := o.adoptions(list, procedure)
	_, on := o.reach(list, id)
	l := o.lacks(list, person, procedure, on, len(all)-1)
	return unique(l.changed), unique(l.removed), unique(l.observe)
}

func unique[T comparable](list []T) (out []T) {
	for _, x := range list {
		if !slices.Contains(out, x) {
			out = append(out, x)
		}
	}
	return out
}

// entitled: cleared on the revision at an instant, or appointed for it, and
// neither left nor suspended, as known at a later one.
func (o *oracle) entitled(list []clearance.Event, who, procedure, revision string, t, known time.Time) bool {
	var then []clearance.Event
	for _, e := range list {
		stated := e.At
		switch a := e.Act.(type) {
		case clearance.SittingMarked:
			stated = a.HandedIn
		case clearance.DeltaMarked:
			stated = a.HandedIn
		}
		if !e.At.After(t) || !stated.After(t) && !e.At.After(known) {
			then = append(then, e)
		}
	}
	s := o.standing(then, who, procedure, t)
	switch s.State {
	case clearance.StateLeft, clearance.ProcedureNotActive, clearance.StateSuspended:
		return false
	}
	if s.Cleared && s.Revision == revision {
		return true
	}
	today := o.day(t)
	for i, e := range list {
		a, ok := e.Act.(clearance.AssessorAppointed)
		if !ok || a.Assessor != who || a.Procedure != procedure || a.Revision != "" && a.Revision != revision || e.At.After(t) {
			continue
		}
		ended := false
		for _, x := range list[i:] {
			if end, ok := x.Act.(clearance.AppointmentEnded); ok && end.Appointment == a.Appointment && !x.At.After(t) {
				ended = true
			}
		}
		if !ended && !today.Before(a.From.Time()) && (a.Until.IsZero() || !today.After(a.Until.Time())) {
			return true
		}
	}
	return false
}

// taught: a training on a day up to that of t and within the window, with no
// exception on its day or after. Window, trainings and exceptions are those on
// the list.
func (o *oracle) taught(list []clearance.Event, trainer, technician, procedure string, t, known time.Time) bool {
	days := o.policy(list, procedure).TrainingWindow
	today := o.day(t)
	for _, e := range list {
		a, ok := e.Act.(clearance.TrainingGiven)
		if !ok || days == 0 || a.Trainer != trainer || a.Technician != technician || a.Procedure != procedure {
			continue
		}
		if a.Date.Time().After(today) || today.After(a.Date.Time().AddDate(0, 0, days)) {
			continue
		}
		excused := false
		for i, x := range list {
			if g, ok := x.Act.(clearance.ExceptionGranted); ok && g.Assessor == trainer && g.Technician == technician && g.Procedure == procedure {
				excused = excused || o.role(list[:i], g.Officer) == "safety officer" && !o.day(x.At).Before(a.Date.Time())
			}
		}
		if !excused {
			return true
		}
	}
	return false
}

// sits: may the person sit, and how many tries are left.
func (o *oracle) sits(list []clearance.Event, person, procedure string, t time.Time) (bool, int) {
	p := o.policy(list, procedure)
	from := 0
	for i, e := range list {
		switch a := e.Act.(type) {
		case clearance.TrainingGiven:
			if a.Technician == person && a.Procedure == procedure {
				from = i
			}
		case clearance.Withdrawn:
			if a.Person == person && a.Procedure == procedure {
				from = i
			}
		}
	}
	failed, wait := 0, false
	for _, s := range o.qualifying(list, person, procedure) {
		passed, dead := o.fate(list, s.Sitting)
		if first, _, _, _, _ := o.sat(list, s.Sitting); first < from || dead {
			continue
		}
		if passed {
			failed, wait = 0, false
			continue
		}
		failed++
		wait = wait || o.day(t).Before(o.day(s.HandedIn).AddDate(0, 0, p.WaitDays))
	}
	s := o.standing(list, person, procedure, t)
	may := failed < p.Tries && !wait && s.State != clearance.StateLeft && o.active(list, procedure)
	if all, _ := o.adoptions(list, procedure); may {
		for _, q := range all[len(all)-1].Prerequisites {
			may = may && o.standing(list, person, q, t, procedure).Cleared
		}
	}
	return may, max(0, p.Tries-failed)
}
