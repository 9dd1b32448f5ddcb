package api

import (
	"context"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"time"

	"soloright/content"
	"soloright/scoring/clearance"
	"soloright/scoring/rebuild"
)

// RebuildView is a rebuild as it may be looked at: open, with what is kept so far,
// or finished, with its signatures.
type RebuildView struct {
	Open       bool
	Rebuild    FinishedRebuild // of an open one only what [OpenRebuild] has
	Plan       rebuild.Plan
	Entries    map[string]rebuild.Kept // of an open one
	Revisions  map[string]int64        // client revisions of its entries
	Record     rebuild.Record
	Digest     string // of Record's text, hex: what is signed
	Text       string // Record's text
	Signatures []Signature
	Technician Person
	Assessor   Person
	VoidedBy   Person
	Counts     clearance.Rebuild   // as the record has a finished one now
	Asks       bool                // the policy asks for a safety officer's approval
	Now        time.Time           // when the server shows this
	Mine       []clearance.Meaning // what the caller may sign now
	Writes     bool                // the caller writes on it
}

// Rebuild returns a rebuild to its two people and to who may read the register. It
// is a Conflict while the caller has a qualifying sitting on the procedure open.
func (a *App) Rebuild(ctx context.Context, c Caller, id string) (RebuildView, error) {
	var v RebuildView
	err := a.read(ctx, c, Observe, func(r Reader, w Actor) error {
		o, err := r.OpenRebuild(ctx, id)
		switch {
		case err == nil:
			v, err = a.viewOpen(ctx, r, w, o)
		case errors.Is(err, ErrNone):
			v, err = a.viewFinished(ctx, r, w, id)
		default:
			return fmt.Errorf("read rebuild %s: %w", id, err)
		}
		if err != nil {
			return err
		}
		v.Now = a.now()
		v.Digest, v.Text = v.Record.Digest(), string(v.Record.Text())
		if !v.Open {
			v.Digest, v.Text = hex.EncodeToString(v.Rebuild.Digest), string(v.Rebuild.Sheet)
		}
		for id, to := range map[string]*Person{v.Rebuild.Technician: &v.Technician, v.Rebuild.Assessor: &v.Assessor, v.Rebuild.VoidedBy: &v.VoidedBy} {
			if id == "" {
				continue
			}
			if *to, err = r.Person(ctx, id); err != nil {
				return fmt.Errorf("read person: %w", err)
			}
		}
		return nil
	})
	return v, err
}

func (a *App) viewOpen(ctx context.Context, r Reader, w Actor, o OpenRebuild) (RebuildView, error) {
	v := RebuildView{Open: true, Rebuild: FinishedRebuild{OpenRebuild: o}, Writes: o.Assessor == w.Person.ID, Revisions: map[string]int64{}}
	if !mayLook(w, o) {
		return v, notFound("rebuild")
	}
	if err := a.closedBook(ctx, r, w, o.Procedure); err != nil {
		return v, err
	}
	s, err := a.sheet(ctx, r, o)
	if err != nil {
		return v, err
	}
	v.Plan, v.Entries, v.Record = s.plan, s.filled, s.record
	for _, k := range s.kept {
		v.Revisions[k.Place] = k.Revision
	}
	return v, nil
}

func (a *App) viewFinished(ctx context.Context, r Reader, w Actor, id string) (RebuildView, error) {
	var v RebuildView
	var err error
	if v.Rebuild, err = r.Rebuild(ctx, id); errors.Is(err, ErrNone) || err == nil && !mayLook(w, v.Rebuild.OpenRebuild) {
		return v, notFound("rebuild")
	} else if err != nil {
		return v, fmt.Errorf("read rebuild %s: %w", id, err)
	}
	if err := a.closedBook(ctx, r, w, v.Rebuild.Procedure); err != nil {
		return v, err
	}
	if err := json.Unmarshal(v.Rebuild.Record, &v.Record); err != nil {
		return v, fmt.Errorf("read the sheet of %s: %w", id, err)
	}
	if v.Plan, err = a.plan(ctx, r, v.Rebuild.OpenRebuild); err != nil {
		return v, err
	}
	if v.Signatures, err = r.Signatures(ctx, clearance.CoversRebuild, id); err != nil {
		return v, fmt.Errorf("read signatures: %w", err)
	}
	for _, m := range []clearance.Meaning{clearance.Performed, clearance.Observed, clearance.Approved} {
		if slices.ContainsFunc(v.Signatures, func(s Signature) bool { return s.Meaning == m }) || w.op {
			continue
		}
		if err := a.maySign(ctx, r, w, v.Rebuild, m); err == nil {
			v.Mine = append(v.Mine, m)
		} else if KindOf(err) == "" {
			return v, err
		}
	}
	return v, a.register.judge(ctx, r, func(f *registerCache) error {
		v.Counts, _ = f.reg.Rebuild(id, a.now())
		v.Asks = f.reg.PolicyAt(v.Rebuild.Procedure, a.now()).Officer
		return nil
	})
}

// RebuildLine is a rebuild in a list.
type RebuildLine struct {
	FinishedRebuild
	Open       bool
	Title      string // of the procedure
	Technician Person
	Assessor   Person
	Waits      string // whose signature it waits for: "technician", "assessor", "safety officer"; else empty
}

// RebuildList is the caller's rebuilds, or everybody's.
type RebuildList struct {
	Open     []RebuildLine // being observed, the oldest first
	Finished []RebuildLine // the last finished first
}

// mostListed is how many finished rebuilds a list goes back: more than a site of
// hundreds of people finishes in years. The evidence goes back to the first.
const mostListed = 10_000

// Rebuilds lists the rebuilds in which the caller is technician or assessor; with
// everybody those of all, for who may read the register.
func (a *App) Rebuilds(ctx context.Context, c Caller, everybody bool) (RebuildList, error) {
	out := RebuildList{Open: []RebuildLine{}, Finished: []RebuildLine{}}
	err := a.read(ctx, c, Observe, func(r Reader, w Actor) error {
		person := w.Person.ID
		if everybody {
			if err := w.may(ReadRegister); err != nil {
				return err
			}
			person = ""
		}
		open, err := r.OpenRebuilds(ctx, person)
		if err != nil {
			return fmt.Errorf("list open rebuilds: %w", err)
		}
		done, err := r.Rebuilds(ctx, RebuildFilter{Person: person, Limit: mostListed})
		if err != nil {
			return fmt.Errorf("list rebuilds: %w", err)
		}
		names, err := a.names(ctx, r, done, open)
		if err != nil {
			return err
		}
		out.Open, out.Finished = out.Open[:0], out.Finished[:0]
		line := func(f FinishedRebuild, open bool) (RebuildLine, error) {
			p, err := a.content.whole(ctx, r, f.Procedure, f.Revision)
			if err != nil {
				return RebuildLine{}, err
			}
			return RebuildLine{FinishedRebuild: f, Open: open, Title: p.Title, Technician: names[f.Technician], Assessor: names[f.Assessor]}, nil
		}
		for _, o := range open {
			l, err := line(FinishedRebuild{OpenRebuild: o}, true)
			if err != nil {
				return err
			}
			out.Open = append(out.Open, l)
		}
		for _, f := range done {
			l, err := line(f, false)
			if err != nil {
				return err
			}
			out.Finished = append(out.Finished, l)
		}
		return a.waits(ctx, r, out.Finished)
	})
	return out, err
}

// waits says whose signature each waits for.
func (a *App) waits(ctx context.Context, r Reader, lines []RebuildLine) error {
	return a.register.judge(ctx, r, func(f *registerCache) error {
		now := a.now()
		for i := range lines {
			l := &lines[i]
			switch {
			case !l.Voided.IsZero():
			case l.Performed.IsZero():
				l.Waits = "technician"
			case l.Observed.IsZero():
				l.Waits = "assessor"
			case l.Approved.IsZero() && f.reg.PolicyAt(l.Procedure, now).Officer:
				if b, _ := f.reg.Rebuild(l.ID, now); b.Counts && b.Follows && b.Ready && !b.Approved {
					l.Waits = string(SafetyOfficer)
				}
			}
		}
		return nil
	})
}

// names reads the people of rebuilds, each once.
func (a *App) names(ctx context.Context, r Reader, done []FinishedRebuild, open []OpenRebuild) (map[string]Person, error) {
	out := map[string]Person{}
	for _, f := range done {
		open = append(open, f.OpenRebuild)
	}
	for _, o := range open {
		for _, id := range []string{o.Technician, o.Assessor} {
			if _, known := out[id]; known {
				continue
			}
			p, err := r.Person(ctx, id)
			if err != nil {
				return nil, fmt.Errorf("read person: %w", err)
			}
			out[id] = p
		}
	}
	return out, nil
}

// Day is the day of an instant at the site.
func (a *App) Day(t time.Time) content.Date { return content.DateOf(t.In(a.zone)) }
