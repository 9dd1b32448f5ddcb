package api

import (
	"context"
	"slices"
	"strings"
	"time"

	"soloright/content"
	"soloright/scoring/clearance"
)

// Signer is somebody who could assess, or why he or she could not.
type Signer struct {
	Person string
	Name   string
	May    bool
	Why    string // on what ground; else why not
}

// SignedFor is somebody who needs an assessor, with who could sign.
type SignedFor struct {
	RegisterLine
	Signers []Signer // of the assessors, each with whether he or she may
}

// SignersView says who could sign for whom on a procedure.
type SignersView struct {
	Procedure   string
	Title       string
	Revision    string   // in force
	Assessors   []Signer // whoever is cleared on it or appointed for it
	Technicians []SignedFor
	Total       int // technicians of the whole
}

// Signers says who could sign for whom on a procedure now, by name: the assessors,
// and limit of the technicians who need an assessor, from one on, counted from 1. It costs a walk for each technician and assessor shown.
func (a *App) Signers(ctx context.Context, c Caller, procedure string, from, limit int) (SignersView, error) {
	out := SignersView{Procedure: procedure, Assessors: []Signer{}, Technicians: []SignedFor{}}
	err := a.readRegister(ctx, c, func(f *registerCache, n names) error {
		rev, ok := f.inForce[procedure]
		if !ok {
			return notFound("procedure")
		}
		out.Title, out.Revision = n.title(procedure), rev
		now := a.now()
		out.Assessors = assessorsOf(f, n, procedure, rev, now)
		var all []clearance.Standing
		f.reg.Part(n.order, procedure, a.today(), time.Time{}, 0, -1, func(s clearance.Standing) {
			if needsSigner(s) {
				all = append(all, s)
			}
		})
		out.Total = len(all)
		all = all[min(max(0, from-1), len(all)):]
		for _, s := range all[:min(limit, len(all))] {
			t := SignedFor{RegisterLine: n.line(s)}
			for _, by := range out.Assessors {
				t.Signers = append(t.Signers, signerFor(f, by, s.Person, procedure, rev, now))
			}
			out.Technicians = append(out.Technicians, t)
		}
		return nil
	})
	return out, err
}

// needsSigner reports whether an assessor's observation or signature is missing.
func needsSigner(s clearance.Standing) bool {
	return slices.ContainsFunc(s.Tasks, func(t clearance.Task) bool {
		return t == clearance.TaskRebuild || t == clearance.TaskObserveAgain || t == clearance.TaskObserved
	})
}

// assessorsOf lists, by name, whoever may assess on a revision, and on what ground.
func assessorsOf(f *registerCache, n names, procedure, revision string, now time.Time) []Signer {
	out := []Signer{}
	for _, id := range f.reg.Assessors(procedure, revision, now) {
		by := Signer{Person: id, Name: n.person(id), May: true, Why: "appointed"}
		if s := f.reg.Standing(id, procedure, now, time.Time{}); s.Cleared && s.Revision == revision {
			by.Why = n.line(s).Reason
		}
		out = append(out, by)
	}
	slices.SortStableFunc(out, func(a, b Signer) int { return strings.Compare(a.Name, b.Name) })
	return out
}

// signerFor says whether an assessor may assess one technician.
func signerFor(f *registerCache, by Signer, technician, procedure, revision string, now time.Time) Signer {
	ok, why := f.reg.MayAssess(by.Person, technician, procedure, revision, now)
	if !ok {
		by.May, by.Why = false, why
	}
	return by
}

// Road is where one stands with a procedure, and what it takes to go on.
type Road struct {
	RegisterLine
	Sit     clearance.Sit // whether a qualifying sitting may be opened now
	Signers []Signer      // who could assess; where a rebuild is to be observed
	InForce string        // the revision in force
}

// Task is what comes first on the road; "" where nothing is missing.
func (r Road) Task() clearance.Task {
	if len(r.Tasks) == 0 {
		return ""
	}
	return r.Tasks[0]
}

// Roads says, for every procedure in force, where the caller stands now and what
// comes next. It needs no right.
func (a *App) Roads(ctx context.Context, c Caller) ([]Road, error) {
	out := []Road{}
	err := a.read(ctx, c, "", func(r Reader, w Actor) error {
		n, err := readNames(ctx, r)
		if err != nil || w.op {
			return err
		}
		return a.register.judge(ctx, r, func(f *registerCache) error {
			for id, rev := range f.inForce {
				out = append(out, a.road(f, n, w.Person.ID, id, rev))
			}
			slices.SortFunc(out, func(x, y Road) int { return strings.Compare(x.Title+x.Procedure, y.Title+y.Procedure) })
			return nil
		})
	})
	return out, err
}

func (a *App) road(f *registerCache, n names, person, procedure, revision string) Road {
	now := a.now()
	s := f.reg.Standing(person, procedure, now, time.Time{})
	out := Road{RegisterLine: n.line(s), Sit: f.reg.MaySit(person, procedure, now), InForce: revision}
	out.Sit.Reason = n.titled(out.Sit.Reason)
	if t := out.Task(); t != clearance.TaskRebuild && t != clearance.TaskObserveAgain && t != clearance.TaskObserved {
		return out
	}
	for _, by := range assessorsOf(f, n, procedure, revision, now) {
		if by = signerFor(f, by, person, procedure, revision, now); by.May {
			out.Signers = append(out.Signers, by)
		}
	}
	return out
}

// Today is the day at the site.
func (a *App) Today() content.Date { return a.today() }
