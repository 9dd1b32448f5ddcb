package api

import (
	"context"
	"slices"
	"time"

	"soloright/content"
	"soloright/scoring/clearance"
)

// StandingQuery asks where a person is with a procedure.
type StandingQuery struct {
	Person    string
	Procedure string
	On        content.Date // the end of that day at the site; zero: now
	Known     time.Time    // what was on the record by then counts; zero: by the end of the day asked about
}

// Standing returns where a person is with a procedure: one's own, or anybody's
// for who may read the register. It is for any date, past or coming.
func (a *App) Standing(ctx context.Context, c Caller, q StandingQuery) (clearance.Standing, error) {
	var s clearance.Standing
	err := a.read(ctx, c, "", func(r Reader, w Actor) error {
		if q.Person == "" || q.Person != w.Person.ID {
			if err := w.may(ReadRegister); err != nil {
				return err
			}
		}
		return a.register.judge(ctx, r, func(f *registerCache) error {
			at := a.now()
			if !q.On.IsZero() {
				at = f.reg.EndOf(q.On.Time())
			}
			s = f.reg.Standing(q.Person, q.Procedure, at, q.Known)
			return nil
		})
	})
	return s, err
}

// RegisterQuery asks for the register. Zero fields do not filter.
type RegisterQuery struct {
	On        content.Date // the end of that day at the site; zero: today
	Known     time.Time    // as in StandingQuery
	Procedure string
	Person    string
}

// Register returns the standing of everybody who has anything on the record of a
// procedure by a date, by person and procedure. It costs a walk for each.
func (a *App) Register(ctx context.Context, c Caller, q RegisterQuery) ([]clearance.Standing, error) {
	if q.On.IsZero() {
		q.On = a.today()
	}
	out := []clearance.Standing{}
	err := a.read(ctx, c, ReadRegister, func(r Reader, _ Actor) error {
		return a.register.judge(ctx, r, func(f *registerCache) error {
			all := f.reg.On(q.On, q.Known)
			if q.Procedure != "" {
				all = f.reg.OnProcedure(q.Procedure, q.On, q.Known)
			}
			for s := range all {
				if q.Person == "" || s.Person == q.Person {
					out = append(out, s)
				}
			}
			return nil
		})
	})
	return out, err
}

// WhoCouldSign returns the ids of everybody who could assess a technician on a
// procedure's revision now; an empty revision is the one in force. A technician
// may ask for himself or herself.
func (a *App) WhoCouldSign(ctx context.Context, c Caller, technician, procedure, revision string) ([]string, error) {
	var out []string
	err := a.read(ctx, c, "", func(r Reader, w Actor) error {
		if technician != w.Person.ID || w.op {
			if err := w.may(ReadRegister); err != nil {
				return err
			}
		}
		return a.register.judge(ctx, r, func(f *registerCache) error {
			if revision == "" {
				revision = f.inForce[procedure]
			}
			out = slices.Clone(f.reg.WhoCouldSign(technician, procedure, revision, a.now()))
			return nil
		})
	})
	return out, err
}
