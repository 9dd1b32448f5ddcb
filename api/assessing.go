package api

import (
	"context"
	"fmt"
	"slices"
	"time"

	"soloright/content"
	"soloright/scoring/clearance"
)

// ActsQuery asks for a list of what is on the record about assessing. Zero fields
// do not filter.
type ActsQuery struct {
	Procedure string
	Person    string // the technician of a training or an exception, the assessor of an appointment
	Before    int64  // the Place of the last line of the list before
	Limit     int    // 0: 100; at most 1000
}

func (q ActsQuery) filter(k clearance.Kind) (ActFilter, error) {
	if q.Limit < 0 || q.Limit > 1000 || q.Before < 0 {
		return ActFilter{}, invalid("limit", "The limit must be from 1 to 1000, and the place from 0.")
	}
	if q.Limit == 0 {
		q.Limit = 100
	}
	return ActFilter{Kind: k, Procedure: q.Procedure, Person: q.Person, Before: q.Before, Limit: q.Limit}, nil
}

// Training is training given, as recorded.
type Training struct {
	Place      int64 // in the record
	At         time.Time
	By         string // name of who recorded it
	Trainer    Named
	Technician Named
	Procedure  Named
	Date       content.Date
	Verified   string // how it was verified that it was understood
}

// Named is an id with what it stands for.
type Named struct{ ID, Name string }

// Trainings lists training given, the last recorded first, for who may read the
// register.
func (a *App) Trainings(ctx context.Context, c Caller, q ActsQuery) ([]Training, error) {
	var out []Training
	err := a.actsOfKind(ctx, c, q, clearance.TrainingGiven{}.Kind(), func(e clearance.Event, n names) {
		act := e.Act.(clearance.TrainingGiven)
		out = append(out, Training{Place: e.Seq, At: e.At, By: n.person(e.By), Trainer: n.named(act.Trainer), Technician: n.named(act.Technician),
			Procedure: n.titledAs(act.Procedure), Date: act.Date, Verified: act.Verified})
	}, func() { out = nil })
	return out, err
}

// ExceptionLine is an exception, as recorded.
type ExceptionLine struct {
	Place      int64
	At         time.Time
	Officer    Named
	Assessor   Named
	Technician Named
	Procedure  Named
	Reason     string
}

// Exceptions lists exceptions with their reasons, the last recorded first, for who
// may read the register.
func (a *App) Exceptions(ctx context.Context, c Caller, q ActsQuery) ([]ExceptionLine, error) {
	var out []ExceptionLine
	err := a.actsOfKind(ctx, c, q, clearance.ExceptionGranted{}.Kind(), func(e clearance.Event, n names) {
		act := e.Act.(clearance.ExceptionGranted)
		out = append(out, ExceptionLine{Place: e.Seq, At: e.At, Officer: n.named(act.Officer), Assessor: n.named(act.Assessor), Technician: n.named(act.Technician),
			Procedure: n.titledAs(act.Procedure), Reason: act.Reason})
	}, func() { out = nil })
	return out, err
}

// Appointment is an appointment as it stands.
type Appointment struct {
	Place     int64
	At        time.Time
	By        string // name of who made it
	ID        string
	Assessor  Named
	Procedure Named
	Revision  string // "" for any
	From      content.Date
	Until     content.Date // zero: until ended
	Reason    string
	Ended     *Decided // nil: it was not ended
	Holds     bool     // today
}

// Appointments lists appointments with what became of them, the last made first,
// for who may read the register.
func (a *App) Appointments(ctx context.Context, c Caller, q ActsQuery) ([]Appointment, error) {
	var out []Appointment
	ended := map[string]*Decided{}
	made, err := q.filter(clearance.AssessorAppointed{}.Kind())
	if err != nil {
		return nil, err
	}
	ends := ActFilter{Kind: clearance.AppointmentEnded{}.Kind(), Procedure: q.Procedure, Person: q.Person}
	err = a.actsOfKinds(ctx, c, []ActFilter{ends, made}, func(e clearance.Event, n names) {
		switch act := e.Act.(type) {
		case clearance.AppointmentEnded:
			ended[act.Appointment] = &Decided{At: e.At, By: n.person(e.By), Reason: act.Reason}
		case clearance.AssessorAppointed:
			out = append(out, a.appointment(e, act, n, ended[act.Appointment]))
		}
	}, func() { out = nil; clear(ended) })
	return out, err
}

func (a *App) appointment(e clearance.Event, act clearance.AssessorAppointed, n names, ended *Decided) Appointment {
	today := a.today()
	return Appointment{Place: e.Seq, At: e.At, By: n.person(e.By), ID: act.Appointment, Assessor: n.named(act.Assessor), Procedure: n.titledAs(act.Procedure),
		Revision: act.Revision, From: act.From, Until: act.Until, Reason: act.Reason, Ended: ended,
		Holds: ended == nil && !today.Before(act.From) && (act.Until.IsZero() || !act.Until.Before(today))}
}

func (n names) named(id string) Named { return Named{id, n.person(id)} }

func (n names) titledAs(id string) Named { return Named{id, n.title(id)} }

func (a *App) actsOfKind(ctx context.Context, c Caller, q ActsQuery, k clearance.Kind, each func(clearance.Event, names), again func()) error {
	f, err := q.filter(k)
	if err != nil {
		return err
	}
	return a.actsOfKinds(ctx, c, []ActFilter{f}, each, again)
}

// actsOfKinds goes through what some filters choose, one after the other, for who
// may read the register. again is called before the first act: a read may be run
// twice.
func (a *App) actsOfKinds(ctx context.Context, c Caller, filters []ActFilter, each func(clearance.Event, names), again func()) error {
	return a.read(ctx, c, ReadRegister, func(r Reader, _ Actor) error {
		again()
		known, err := readNames(ctx, r)
		if err != nil {
			return err
		}
		for _, f := range filters {
			all, err := r.ActsOfKind(ctx, f)
			if err != nil {
				return fmt.Errorf("list acts %q: %w", f.Kind, err)
			}
			for _, s := range all {
				e, err := s.Event()
				if err != nil {
					return err
				}
				each(e, known)
			}
		}
		return nil
	})
}

// PolicyLine is a policy that was set.
type PolicyLine struct {
	Place     int64
	At        time.Time
	By        string // name
	Procedure string // "" for the site's
	Policy    clearance.Policy
	Panel     string // that found the cut; empty: nobody’s word but the officer’s
}

// Policies lists every policy that was set for the site and, where one is named,
// for a procedure, the last first. Anybody who is signed in may read them: they say
// what is asked of everybody.
func (a *App) Policies(ctx context.Context, c Caller, procedure string) ([]PolicyLine, error) {
	var out []PolicyLine
	err := a.read(ctx, c, "", func(r Reader, _ Actor) error {
		out = nil
		known, err := readNames(ctx, r)
		if err != nil {
			return err
		}
		if procedure != "" && known.titles[procedure] == "" {
			return notFound("procedure")
		}
		all, err := r.ActsOfKind(ctx, ActFilter{Kind: clearance.PolicySet{}.Kind()})
		if err != nil {
			return fmt.Errorf("list policies: %w", err)
		}
		for _, s := range all {
			e, err := s.Event()
			if err != nil {
				return err
			}
			act := e.Act.(clearance.PolicySet)
			if slices.Contains([]string{"", procedure}, act.Procedure) {
				out = append(out, PolicyLine{Place: e.Seq, At: e.At, By: known.person(e.By), Procedure: act.Procedure, Policy: act.Policy, Panel: act.Panel})
			}
		}
		return nil
	})
	return out, err
}
