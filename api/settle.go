package api

import (
	"context"
	"errors"
	"fmt"

	"soloright/scoring"
	"soloright/scoring/clearance"
	"soloright/scoring/ledger"
)

// verdictActs are the acts that follow from a marking: the final verdict of a
// qualifying or delta sitting. One that is to confirm has none yet and is noted as
// unsettled; the marking of its confirming step gives it.
func (a *App) verdictActs(ctx context.Context, tx Tx, s Sitting, m Marking) ([]newAct, error) {
	if s.Mode == Practice {
		return nil, nil
	}
	if _, err := tx.LockLedger(ctx); err != nil { // nobody strikes it out or settles it meanwhile
		return nil, err
	}
	if now, err := tx.Sitting(ctx, s.ID); err != nil || now.State == StateVoid {
		return nil, err
	}
	switch {
	case s.Mode == DeltaSitting:
		return a.deltaAct(ctx, tx, s, m)
	case s.Confirms == "" && m.Verdict == string(scoring.ToConfirm):
		h, err := tx.HandIn(ctx, s.ID)
		if err != nil {
			return nil, fmt.Errorf("read hand-in of %s: %w", s.ID, err)
		}
		return nil, tx.AddUnsettled(ctx, s.ID, h.At)
	case s.Confirms == "":
		return a.finalAct(ctx, tx, s, clearance.Verdict(m.Verdict), "", digest(m.Outcome))
	}
	first, err := tx.Sitting(ctx, s.Confirms)
	if err != nil {
		return nil, fmt.Errorf("read sitting %s: %w", s.Confirms, err)
	}
	if first.State == StateVoid {
		return nil, nil
	}
	return a.finalAct(ctx, tx, first, clearance.Verdict(m.Verdict), s.ID, digest(m.Outcome))
}

// finalAct is the final verdict of a qualifying sitting; none where it has one.
func (a *App) finalAct(ctx context.Context, tx Tx, s Sitting, v clearance.Verdict, confirming, outcome string) ([]newAct, error) {
	if _, has, err := finalOf(ctx, tx, s.ID); err != nil || has {
		return nil, err
	}
	if err := tx.DropUnsettled(ctx, s.ID); err != nil {
		return nil, err
	}
	h, err := tx.HandIn(ctx, s.ID)
	if err != nil {
		return nil, fmt.Errorf("read hand-in of %s: %w", s.ID, err)
	}
	return []newAct{{act: clearance.SittingMarked{Sitting: s.ID, Person: s.Person, Procedure: s.Procedure, Revision: s.Revision, HandedIn: h.At,
		Verdict: v, Confirming: confirming, Digest: outcome}}}, nil
}

// finalOf is the final verdict of a sitting on the record.
func finalOf(ctx context.Context, r Reader, sitting string) (clearance.Verdict, bool, error) {
	acts, err := r.ActsAbout(ctx, sitting)
	if err != nil {
		return "", false, fmt.Errorf("read the verdict on %s: %w", sitting, err)
	}
	var v clearance.Verdict
	for _, s := range acts {
		act, err := s.Event()
		if err != nil {
			return "", false, fmt.Errorf("read the verdict on %s: %w", sitting, err)
		}
		switch act := act.Act.(type) {
		case clearance.SittingMarked:
			v = act.Verdict
		case clearance.DeltaMarked:
			v = act.Verdict
		case clearance.SittingRemarked:
			v = act.Verdict
		}
	}
	return v, v != "", nil
}

// settleIfDue puts the final verdict of a qualifying sitting on the record whose
// hour for the confirming step is over without one: it counts as failed. It
// costs two reads where there is nothing to do.
func (a *App) settleIfDue(ctx context.Context, id string) (done bool, err error) {
	if err := a.confirmIfDue(ctx, id); err != nil {
		return false, err
	}
	err = a.store.InTx(ctx, func(tx Tx) error {
		done = false
		if _, err := tx.LockLedger(ctx); err != nil { // nobody begins the confirming step meanwhile
			return err
		}
		s, err := tx.Sitting(ctx, id)
		if err != nil || s.State != StateMarked || s.Mode != Qualifying || s.Confirms != "" {
			return err
		}
		m, err := lastMarking(ctx, tx, id)
		if err != nil {
			return err
		}
		v, confirming, err := a.settled(ctx, tx, s, m)
		if err != nil || v == scoring.ToConfirm {
			return err
		}
		acts, err := a.finalAct(ctx, tx, s, clearance.Verdict(v), confirming, digest(m.Outcome))
		if err != nil || len(acts) == 0 {
			return err
		}
		done = true
		return a.attestActs(ctx, tx, "", byProgram, a.now(), nil, acts...)
	})
	return done, err
}

// settled is the verdict of a marked sitting by now, with its confirming sitting.
func (a *App) settled(ctx context.Context, r Reader, s Sitting, m Marking) (scoring.Verdict, string, error) {
	v, confirm, err := a.final(ctx, r, scoring.Verdict(m.Verdict), s.ID, s.HandedIn)
	if err != nil || confirm == nil {
		return v, "", err
	}
	return v, confirm.ID, nil
}

func lastMarking(ctx context.Context, r Reader, id string) (Marking, error) {
	marks, err := r.Marks(ctx, id)
	if err != nil || len(marks) == 0 {
		return Marking{}, fmt.Errorf("read marks of %s: %w", id, errors.Join(err, ErrNone))
	}
	return marks[len(marks)-1], nil
}

// settleTries brings the caller's last tries of a mode on a procedure up to date:
// handed in where the time is up, marked, and settled where nothing is left to
// confirm.
func (a *App) settleTries(ctx context.Context, c Caller, procedure string, m Mode) error {
	var last []Sitting
	err := a.read(ctx, c, Sit, func(r Reader, w Actor) (err error) {
		last, err = r.Sittings(ctx, SittingFilter{Person: w.Person.ID, Procedure: procedure, Mode: m, Limit: 4})
		return err
	})
	if err != nil {
		return err
	}
	for _, s := range last {
		due := s.State == StateHandedIn || s.State == StateOpen && !a.now().Before(s.Deadline)
		if due {
			if err := a.handInIfDue(ctx, s.ID); err != nil {
				return err
			}
		}
		if s.Confirms == "" && (due || s.State == StateMarked && s.Verdict == string(scoring.ToConfirm)) {
			if _, err := a.settleIfDue(ctx, s.ID); err != nil {
				return err
			}
		}
	}
	return nil
}

// voidActs are the acts that follow when a sitting is struck out. A confirming
// step that is struck out was not passed.
func (a *App) voidActs(ctx context.Context, tx Tx, s Sitting, reason string) ([]newAct, error) {
	if s.Mode == Practice {
		return nil, nil
	}
	if s.Confirms == "" {
		return []newAct{{clearance.SittingVoided{Sitting: s.ID, Reason: reason}, s.Person, s.Procedure}}, tx.DropUnsettled(ctx, s.ID)
	}
	if _, err := tx.LockLedger(ctx); err != nil {
		return nil, err
	}
	first, err := tx.Sitting(ctx, s.Confirms)
	if err != nil {
		return nil, fmt.Errorf("read sitting %s: %w", s.Confirms, err)
	}
	v, has, err := finalOf(ctx, tx, first.ID)
	switch {
	case err != nil || first.State == StateVoid || v == clearance.Failed:
		return nil, err
	case has:
		return []newAct{{clearance.SittingRemarked{Sitting: first.ID, Verdict: clearance.Failed, Reason: "confirming step struck out: " + reason}, s.Person, s.Procedure}}, nil
	}
	m, err := lastMarking(ctx, tx, first.ID)
	if err != nil {
		return nil, err
	}
	return a.finalAct(ctx, tx, first, clearance.Failed, s.ID, digest(m.Outcome))
}

// accountActs are the acts that follow from a change of an account.
func accountActs(old, p Person) []newAct {
	var acts []newAct
	if p.Role != old.Role {
		acts = append(acts, newAct{act: clearance.RoleSet{Person: p.ID, Role: string(p.Role)}})
	}
	switch {
	case p.Left.IsZero() == old.Left.IsZero():
	case p.Left.IsZero():
		acts = append(acts, newAct{act: clearance.PersonBack{Person: p.ID}})
	default:
		acts = append(acts, newAct{act: clearance.PersonLeft{Person: p.ID}})
	}
	return acts
}

// withActs is attestActs for who acts now.
func (a *App) withActs(ctx context.Context, tx Tx, w Actor, entries []ledger.Entry, acts ...newAct) error {
	return a.attestActs(ctx, tx, w.Person.ID, w.by(), a.now(), entries, acts...)
}
