package api

import (
	"context"
	"errors"
	"fmt"

	"soloright/scoring/ledger"
)

// RemarkQuery names the withdrawn subject that sittings would be marked again without.
type RemarkQuery struct{ ItemSubject }

// RemarkPreview shows who passes or fails, and whose clearance is touched, if every
// marked sitting on the record that holds a withdrawn subject were marked again
// without it. It changes nothing. What is not withdrawn is a Conflict. It costs a
// marking for each sitting that holds the subject, and a fold of the record.
func (a *App) RemarkPreview(ctx context.Context, c Caller, q RemarkQuery) (Remark, error) {
	if err := check(q); err != nil {
		return Remark{}, err
	}
	var plan Remark
	err := a.read(ctx, c, MarkAgain, func(r Reader, _ Actor) (err error) {
		if _, err := a.current(ctx, r, q.Procedure); err != nil {
			return err
		}
		plan, err = a.planRemark(ctx, r, q.ItemSubject)
		return err
	})
	return plan, err
}

// RemarkCommand is the command to mark again.
type RemarkCommand struct {
	ItemSubject
	Digest string `json:"digest" validate:"required,max=64"` // of the preview that was looked at
	Reason string `json:"reason" validate:"required,min=10,max=1000"`
}

// Remark marks sittings again without a withdrawn subject, as the preview showed it:
// each gets a marking after those it has, and where its try turns, that is on the
// record from now on, never earlier. Where anything is other than the preview
// showed it is a Conflict, and nothing is changed. All of it is one transaction.
func (a *App) Remark(ctx context.Context, c Caller, cmd RemarkCommand) (Remark, error) {
	if err := check(cmd); err != nil {
		return Remark{}, err
	}
	var plan Remark
	err := a.inTx(ctx, c, MarkAgain, func(tx Tx, w Actor) error {
		if _, err := a.current(ctx, tx, cmd.Procedure); err != nil {
			return err
		}
		if _, err := tx.LockLedger(ctx); err != nil { // nobody marks, strikes out or settles meanwhile
			return err
		}
		var err error
		if plan, err = a.planRemark(ctx, tx, cmd.ItemSubject); err != nil {
			return err
		}
		switch {
		case plan.Digest != cmd.Digest:
			return conflict("changed", "Something changed since you looked. Look again at who would change.")
		case len(plan.Changes) == 0:
			return conflict("nothing to do", "No sitting would be marked again.")
		case plan.own(w):
			return &Error{Kind: Forbidden, Message: "One of these sittings is your own. Ask another safety officer."}
		}
		return a.remark(ctx, tx, w, plan, cmd.Reason)
	})
	return plan, err
}

// own reports whether a sitting of the actor's is among those marked again.
func (p Remark) own(w Actor) bool {
	for _, c := range p.Changes {
		if c.Person.ID == w.Person.ID && !w.op {
			return true
		}
	}
	return false
}

func (a *App) remark(ctx context.Context, tx Tx, w Actor, plan Remark, reason string) error {
	var entries []ledger.Entry
	var acts []newAct
	for _, c := range plan.Changes {
		if c.Turns() {
			acts = append(acts, newAct{c.act(reason), c.Person.ID, plan.Withdrawal.Procedure})
		}
		if !c.changed() {
			continue
		}
		m, facts, err := marking(c.Sitting, c.n, a.now(), c.outcome)
		if err != nil {
			return err
		}
		m.Reason = reason
		err = tx.AddMarks(ctx, m, facts)
		if errors.Is(err, ErrExists) {
			return conflict("changed", "Somebody marked one of these sittings again just now. Look again.")
		}
		if err != nil {
			return fmt.Errorf("keep marking %d of %s: %w", m.N, c.Sitting, err)
		}
		if err := a.keepResponses(ctx, tx, c.Sitting); err != nil {
			return err
		}
		entries = append(entries, marked(m, w.by()))
	}
	return a.withActs(ctx, tx, w, entries, acts...)
}
