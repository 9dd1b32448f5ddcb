package api

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"soloright/scoring/clearance"
)

// TrailAct is one act of somebody's way on a procedure, in words.
type TrailAct struct {
	Entry   int64 // number of the ledger entry that attests it
	At      time.Time
	By      string // the name of who did it
	Kind    clearance.Kind
	Text    string // what happened
	Note    string // why it does not count, or what it means; may be empty
	Struck  bool   // it counts no more: struck out or withdrawn
	Sitting string // the sitting that it is about
	Rebuild string // the rebuild that it is about
	Sheet   bool   // that rebuild's sheet is kept
}

// TrailView is one person on one procedure: where the person stands and what is
// on the record, oldest first.
type TrailView struct {
	RegisterLine
	Acts  []TrailAct
	Trail clearance.Trail // what the standing rests on
	Own   bool            // the caller's own
	Last  clearance.Kind  // of the last suspension, reinstatement or withdrawal; "" for none
}

// Suspended reports whether the last of these acts suspended the person, whatever
// else stands in the way.
func (v TrailView) Suspended() bool { return v.Last == clearance.Suspended{}.Kind() }

// Withdrawable reports whether there is anything that could be withdrawn.
func (v TrailView) Withdrawable() bool {
	return v.Suspended() || slices.ContainsFunc(v.Acts, func(a TrailAct) bool { return a.Kind == clearance.SittingMarked{}.Kind() })
}

// PersonTrail returns the way of a person on a procedure so far: one's own, or
// anybody's for who may read the register.
func (a *App) PersonTrail(ctx context.Context, c Caller, person, procedure string) (TrailView, error) {
	var v TrailView
	err := a.read(ctx, c, "", func(r Reader, w Actor) error {
		v = TrailView{Own: !w.op && person == w.Person.ID, Acts: []TrailAct{}}
		if !v.Own {
			if err := w.may(ReadRegister); err != nil {
				return err
			}
		}
		n, err := readNames(ctx, r)
		if err != nil {
			return err
		}
		if _, ok := n.people[person]; !ok {
			return notFound("person")
		}
		if _, ok := n.titles[procedure]; !ok {
			return notFound("procedure")
		}
		acts, err := trailOf(ctx, r, person, procedure)
		if err != nil {
			return err
		}
		sheets, err := sheetsOf(ctx, r, acts)
		if err != nil {
			return err
		}
		return a.register.judge(ctx, r, func(f *registerCache) error {
			now := a.now()
			v.RegisterLine = n.line(f.reg.Standing(person, procedure, now, time.Time{}))
			v.Trail = f.reg.Trail(person, procedure, now, time.Time{})
			t := teller{n: n, f: f, now: now, out: &v}
			for _, e := range acts {
				t.tell(e)
			}
			for i := range v.Acts {
				v.Acts[i].Sheet = sheets[v.Acts[i].Rebuild]
			}
			return nil
		})
	})
	return v, err
}

// trailOf returns what is on the record of a person on a procedure: what is about
// both, and from the first of that on what is about either.
func trailOf(ctx context.Context, r Reader, person, procedure string) ([]clearance.Event, error) {
	own, err := r.ActsOfPerson(ctx, person)
	if err != nil {
		return nil, fmt.Errorf("read acts of %s: %w", person, err)
	}
	about := map[string]bool{} // what is signed is found by its rebuild
	own = slices.DeleteFunc(own, func(s StoredAct) bool {
		if s.Procedure == procedure {
			about[s.Subject] = true
			return false
		}
		comesOrGoes := s.Kind == clearance.PersonLeft{}.Kind() || s.Kind == clearance.PersonBack{}.Kind()
		signed := s.Kind == clearance.Signed{}.Kind() && about[s.Subject]
		return s.Procedure != "" || !comesOrGoes && !signed
	})
	first := slices.IndexFunc(own, func(s StoredAct) bool { return s.Procedure == procedure })
	if first < 0 {
		return nil, nil
	}
	own = own[first:]
	all, err := r.ActsOfProcedure(ctx, procedure)
	if err != nil {
		return nil, fmt.Errorf("read acts on %s: %w", procedure, err)
	}
	for _, s := range all {
		if s.Person == "" && s.Seq > own[0].Seq {
			own = append(own, s)
		}
	}
	slices.SortFunc(own, func(a, b StoredAct) int { return int(a.Seq - b.Seq) })
	events := make([]clearance.Event, len(own))
	for i, s := range own {
		if events[i], err = s.Event(); err != nil {
			return nil, fmt.Errorf("act %d: %w", s.Seq, err)
		}
	}
	return events, nil
}

// sheetsOf says of which rebuilds in the acts the sheet is kept.
func sheetsOf(ctx context.Context, r Reader, acts []clearance.Event) (map[string]bool, error) {
	kept := map[string]bool{}
	for _, e := range acts {
		act, ok := e.Act.(clearance.RebuildFinished)
		if !ok {
			continue
		}
		_, err := r.Rebuild(ctx, act.Rebuild)
		if err != nil && !errors.Is(err, ErrNone) {
			return nil, fmt.Errorf("read rebuild %s: %w", act.Rebuild, err)
		}
		kept[act.Rebuild] = err == nil
	}
	return kept, nil
}
