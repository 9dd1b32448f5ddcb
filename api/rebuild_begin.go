package api

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"soloright/content"
	"soloright/scoring/clearance"
)

// BeginRebuild is the command to begin observing somebody's rebuild, by the
// revision in force.
type BeginRebuild struct {
	Technician string `json:"technician" validate:"required,max=64"`
	Procedure  string `json:"procedure" validate:"required,max=64"`
	Build      string `json:"build,omitempty" validate:"max=64"`
}

// BeginRebuild opens the assessor's sheet; the assessor is the caller. It is a
// Conflict, with the reason in its message, where the caller may not assess the
// technician, where there is no passed sitting to build on, and where somebody else
// observes the technician on that procedure. The caller's own open sheet is
// returned as it is.
func (a *App) BeginRebuild(ctx context.Context, c Caller, cmd BeginRebuild) (OpenRebuild, error) {
	if err := check(cmd); err != nil {
		return OpenRebuild{}, err
	}
	id, err := a.newID()
	if err != nil {
		return OpenRebuild{}, err
	}
	var o OpenRebuild
	err = a.inTx(ctx, c, Observe, func(tx Tx, w Actor) (err error) {
		if err := w.named(); err != nil {
			return err
		}
		if o, err = a.beingObserved(ctx, tx, w, cmd); err != nil || o.ID != "" {
			return err
		}
		o = OpenRebuild{ID: id, Technician: cmd.Technician, Assessor: w.Person.ID, Procedure: cmd.Procedure, Build: cmd.Build, Opened: a.now()}
		if err := a.mayBegin(ctx, tx, &o); err != nil {
			return err
		}
		return tx.AddOpenRebuild(ctx, o)
	})
	if errors.Is(err, ErrExists) { // another device was faster
		return a.BeginRebuild(ctx, c, cmd)
	}
	return o, err
}

// beingObserved finds an open rebuild of the technician on the procedure.
func (a *App) beingObserved(ctx context.Context, r Reader, w Actor, cmd BeginRebuild) (OpenRebuild, error) {
	open, err := r.OpenRebuilds(ctx, cmd.Technician)
	if err != nil {
		return OpenRebuild{}, fmt.Errorf("find open rebuilds: %w", err)
	}
	for _, o := range open {
		switch {
		case o.Technician != cmd.Technician || o.Procedure != cmd.Procedure:
		case o.Assessor != w.Person.ID:
			return OpenRebuild{}, conflict("open", "Somebody else observes this technician on this procedure already.")
		case o.Build != cmd.Build:
			return OpenRebuild{}, conflict("open", "You observe this technician on another build of this procedure. Finish that sheet, or give it up, first.")
		default:
			return o, nil
		}
	}
	return OpenRebuild{}, nil
}

// mayBegin fills in the revision and, for a partial one, the hold points, or says
// why the rebuild cannot begin.
func (a *App) mayBegin(ctx context.Context, r Reader, o *OpenRebuild) error {
	if err := personThere(ctx, r, o.Technician, "technician"); err != nil {
		return err
	}
	rev, err := a.current(ctx, r, o.Procedure)
	if err != nil {
		return err
	}
	o.Revision = rev.Revision
	p, err := a.content.whole(ctx, r, rev.Procedure, rev.Revision)
	if err != nil {
		return err
	}
	if !hasBuild(p, o.Build) {
		return invalid("build", "This procedure has no such build.")
	}
	return a.register.judge(ctx, r, func(f *registerCache) error {
		return a.judgeBegin(f.reg, o)
	})
}

func (a *App) judgeBegin(reg *clearance.Register, o *OpenRebuild) error {
	now := a.now()
	if ok, why := reg.MayAssess(o.Assessor, o.Technician, o.Procedure, o.Revision, now); !ok {
		return conflict("may not assess", "You may not assess this technician on revision "+o.Revision+": "+why+".")
	}
	s := reg.Standing(o.Technician, o.Procedure, now, now)
	switch s.State {
	case clearance.StateSuspended, clearance.StateLeft, clearance.ProcedureNotActive:
		return conflict(string(s.State), "This rebuild cannot be observed: "+s.Reason+".")
	}
	g, grounded := reg.Ground(o.Technician, o.Procedure, o.Revision, now, now)
	switch {
	case grounded && !g.Cleared:
		return nil
	case len(s.Observe) > 0:
		for _, again := range s.Observe {
			if !slices.Contains(o.Holds, again.Hold) {
				o.Holds = append(o.Holds, again.Hold)
			}
		}
		return nil
	case grounded:
		return conflict("cleared", "This technician is cleared by the last sitting already. A rebuild counts again after a new sitting.")
	}
	return conflict("no sitting", "There is no passed sitting on revision "+o.Revision+" to build on: "+s.Reason+".")
}

// Observable is somebody whose rebuild the caller could observe now.
type Observable struct {
	Technician Person
	Procedure  *content.Procedure // by the revision in force
	Partial    bool
}

// Observables lists whom the caller could observe now, by procedure and name. It
// costs a walk for everybody on the procedures on which the caller may assess.
func (a *App) Observables(ctx context.Context, c Caller) ([]Observable, error) {
	out := []Observable{}
	err := a.read(ctx, c, Observe, func(r Reader, w Actor) error {
		revs, err := r.CurrentRevisions(ctx)
		if err != nil {
			return fmt.Errorf("list procedures: %w", err)
		}
		people, err := r.People(ctx)
		if err != nil {
			return fmt.Errorf("list people: %w", err)
		}
		open, err := r.OpenRebuilds(ctx, "")
		if err != nil {
			return fmt.Errorf("list open rebuilds: %w", err)
		}
		out = out[:0]
		for _, rev := range revs {
			p, err := a.inForce(ctx, r, rev)
			if err != nil {
				return err
			}
			if err := a.observable(ctx, r, w, p, people, open, &out); err != nil {
				return err
			}
		}
		return nil
	})
	return out, err
}

func (a *App) observable(ctx context.Context, r Reader, w Actor, p *content.Procedure, people []Person, open []OpenRebuild, out *[]Observable) error {
	return a.register.judge(ctx, r, func(f *registerCache) error {
		if !slices.Contains(f.reg.Assessors(p.ID, p.Revision, a.now()), w.Person.ID) {
			return nil
		}
		for _, t := range people {
			busy := slices.ContainsFunc(open, func(o OpenRebuild) bool { return o.Technician == t.ID && o.Procedure == p.ID })
			if busy || !t.Left.IsZero() {
				continue
			}
			o := OpenRebuild{Technician: t.ID, Assessor: w.Person.ID, Procedure: p.ID, Revision: p.Revision}
			if a.judgeBegin(f.reg, &o) == nil {
				*out = append(*out, Observable{t, p, len(o.Holds) > 0})
			}
		}
		return nil
	})
}
