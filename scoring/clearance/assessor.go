package clearance

import (
	"slices"
	"time"

	"soloright/content"
)

func (r *Register) trained(a TrainingGiven) {
	p := r.pair(a.Technician, a.Procedure)
	r.person(a.Trainer)
	m := p.extra()
	m.trainings = append(m.trainings, training{r.last, r.number[a.Trainer], calendar(a.Date)})
	r.own(p, stepTrained, 0, true)
}

// excepted keeps an exception, where its officer is a safety officer by the record.
func (r *Register) excepted(a ExceptionGranted) {
	i, known := r.number[a.Officer]
	if !known || r.people[i].role(r.last) != RoleSafetyOfficer {
		return
	}
	p := r.pair(a.Technician, a.Procedure)
	r.person(a.Assessor)
	m := p.extra()
	m.exceptions = append(m.exceptions, exception{r.last, r.number[a.Assessor], r.day})
}

func (r *Register) appointed(a AssessorAppointed) {
	if _, twice := r.appointments[a.Appointment]; twice {
		return
	}
	p := r.pair(a.Assessor, a.Procedure)
	m := p.extra()
	x := appointment{at: r.last, revision: a.Revision, from: calendar(a.From)}
	if !a.Until.IsZero() {
		x.until = calendar(a.Until)
	}
	r.appointments[a.Appointment] = place{p, int32(len(m.appointments))}
	m.appointments = append(m.appointments, x)
}

// MayAssess reports whether one person may assess another on a revision of a
// procedure at an instant. Otherwise reason says why not: they are one person;
// the assessor left, is suspended, is neither cleared on that revision nor
// appointed for it; or trained the technician within the policy's window, and no
// safety officer recorded an exception since.
func (r *Register) MayAssess(assessor, technician, procedure, revision string, instant time.Time) (ok bool, reason string) {
	return r.mayAssess(assessor, technician, procedure, revision, r.asked(instant, time.Time{}))
}

func (r *Register) mayAssess(assessor, technician, procedure, revision string, a asked) (bool, string) {
	if assessor == technician {
		return false, "nobody assesses himself or herself"
	}
	p, q := r.index(assessor, procedure)
	if p < 0 || q < 0 {
		return false, "not on the record"
	}
	w := &walk{r: r}
	if ok, why := w.entitled(p, q, revision, a); !ok {
		return false, why
	}
	t, ok := r.number[technician]
	if !ok {
		return true, ""
	}
	if d, trained := r.trainedWithin(p, r.people[t].on(q), window{w.policy.TrainingWindow, a.today, a.known, min(a.at, a.known)}); trained {
		return false, "trained the technician on " + d.date().String() + ", and there is no exception"
	}
	return true, ""
}

// entitled reports whether a person may assess on a revision whoever is not
// trained by him or her. The walk stands on the assessor afterwards.
func (w *walk) entitled(p, q int32, revision string, a asked) (bool, string) {
	w.to(p, q, a.at, a.known)
	v := w.judge(a)
	switch v.state {
	case StateLeft, ProcedureNotActive, StateSuspended:
		return false, w.sentence(&Standing{}, v)
	}
	if v.cleared && w.procedure.adoptions[w.tries[v.try].on].revision == revision {
		return true, ""
	}
	if w.pair != nil && w.pair.more != nil {
		for _, x := range w.pair.more.appointments {
			if x.holds(revision, a) {
				return true, ""
			}
		}
	}
	return false, "neither cleared on revision " + revision + " nor appointed for it"
}

func (x appointment) holds(revision string, a asked) bool {
	now := min(a.at, a.known)
	return x.at <= now && (x.ended == 0 || x.ended > now) &&
		(x.revision == "" || x.revision == revision) && x.from <= a.today && (x.until == 0 || a.today <= x.until)
}

// window is a question about trainings: none in so many days up to today, by the
// trainings and the exceptions recorded up to two instants.
type window struct {
	days                  int
	today                 day
	trainings, exceptions int64
}

// trainedWithin returns the day of a training within the window for which no
// exception was recorded on its day or after.
func (r *Register) trainedWithin(assessor int32, technician *pair, w window) (day, bool) {
	if technician == nil || technician.more == nil || w.days == 0 {
		return 0, false
	}
	for _, t := range technician.more.trainings {
		if t.trainer != assessor || t.at > w.trainings || t.day > w.today || w.today > t.day+day(w.days) {
			continue
		}
		excused := slices.ContainsFunc(technician.more.exceptions, func(e exception) bool {
			return e.assessor == assessor && e.at <= w.exceptions && e.day >= t.day
		})
		if !excused {
			return t.day, true
		}
	}
	return 0, false
}

// WhoCouldSign lists, by id, everybody who may assess a technician on a revision
// at an instant. It costs a walk for each person on the procedure.
func (r *Register) WhoCouldSign(technician, procedure, revision string, instant time.Time) []string {
	var out []string
	for _, id := range r.Assessors(procedure, revision, instant) {
		if ok, _ := r.MayAssess(id, technician, procedure, revision, instant); ok {
			out = append(out, id)
		}
	}
	return out
}

// Assessors lists, by id, everybody who is cleared on the revision or appointed
// for it at an instant, whomever he or she trained.
func (r *Register) Assessors(procedure, revision string, instant time.Time) []string {
	q, ok := r.numberQ[procedure]
	if !ok {
		return nil
	}
	var out []string
	w, a := &walk{r: r}, r.asked(instant, time.Time{})
	for _, x := range r.procedures[q].pairs {
		if ok, _ := w.entitled(x.person, q, revision, a); ok {
			out = append(out, r.people[x.person].id)
		}
	}
	slices.Sort(out)
	return out
}

// Trainings lists the days on which a trainer taught a technician on a procedure,
// as known at an instant, in the order of the record.
func (r *Register) Trainings(trainer, technician, procedure string, known time.Time) []content.Date {
	p, q := r.index(technician, procedure)
	t, ok := r.number[trainer]
	if p < 0 || q < 0 || !ok {
		return nil
	}
	x := r.people[p].on(q)
	if x == nil || x.more == nil {
		return nil
	}
	var out []content.Date
	for _, g := range x.more.trainings {
		if g.trainer == t && g.at <= known.UnixMicro() {
			out = append(out, g.day.date())
		}
	}
	return out
}
