package api

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"soloright/content"
	"soloright/scoring/clearance"
	"soloright/scoring/ledger"
)

// SignReading is the command to sign for what was read after a revision. Digest
// and Facts are as [App.CatchUp] showed them.
type SignReading struct {
	Procedure string           `json:"-" validate:"required,max=64"`
	Digest    string           `json:"digest" validate:"required,min=64,max=64"`
	Facts     []content.FactID `json:"facts" validate:"required"`
	Password  string           `json:"password" validate:"required,max=256"`
}

// SignReading signs, with the password given again, that the caller read what a
// revision removed and what it changed that is not asked. What is signed is exactly
// what was shown: where that has changed since, it is a Conflict that says what.
// Signed for already, it is no error.
func (a *App) SignReading(ctx context.Context, c Caller, cmd SignReading) error {
	if err := check(cmd); err != nil {
		return err
	}
	if err := a.allowed(ctx, c, Sit); err != nil {
		return err
	}
	if err := a.again(ctx, c, cmd.Password, "reading on "+cmd.Procedure); err != nil {
		return err
	}
	id, err := a.newID()
	if err != nil {
		return err
	}
	return a.inTx(ctx, c, Sit, func(tx Tx, w Actor) error {
		if err := w.named(); err != nil {
			return err
		}
		if _, err := tx.LockLedger(ctx); err != nil {
			return err
		}
		now, err := a.toSign(ctx, tx, w, cmd)
		if err != nil || now.Text == "" {
			return err
		}
		return a.signReading(ctx, tx, w, id, now)
	})
}

// toSign is what there is to read, where it is what was shown; without a text
// where it is signed for already.
func (a *App) toSign(ctx context.Context, tx Tx, w Actor, cmd SignReading) (CatchUp, error) {
	if err := procedureThere(ctx, tx, cmd.Procedure); err != nil {
		return CatchUp{}, err
	}
	if err := a.closedBook(ctx, tx, w, cmd.Procedure); err != nil {
		return CatchUp{}, err
	}
	now, err := a.catchUp(ctx, tx, w.Person.ID, cmd.Procedure)
	if err != nil || now.Text != "" && now.Digest == cmd.Digest {
		return now, err
	}
	all, err := tx.ActsOfPerson(ctx, w.Person.ID)
	if err != nil {
		return CatchUp{}, fmt.Errorf("read acts of %s: %w", w.Person.ID, err)
	}
	for _, s := range all {
		if r, ok, err := readingOf(s); err != nil {
			return CatchUp{}, err
		} else if ok && s.Procedure == cmd.Procedure && r.Digest == cmd.Digest {
			return CatchUp{}, nil
		}
	}
	return CatchUp{}, changedSince(cmd, now)
}

// readingOf is what an act says was read, of either kind.
func readingOf(s StoredAct) (r clearance.RemovedRead, ok bool, err error) {
	if s.Kind != (clearance.RemovedRead{}).Kind() && s.Kind != (clearance.ChangedRead{}).Kind() {
		return r, false, nil
	}
	e, err := s.Event()
	if err != nil {
		return r, false, err
	}
	switch act := e.Act.(type) {
	case clearance.RemovedRead:
		r = act
	case clearance.ChangedRead:
		r = clearance.RemovedRead(act)
	}
	return r, true, nil
}

// changedSince says how what is to be read differs from what was shown.
func changedSince(cmd SignReading, now CatchUp) error {
	var gone, come []string
	for _, f := range cmd.Facts {
		if !slices.ContainsFunc(now.Read, func(x FactChange) bool { return x.Fact == f }) {
			gone = append(gone, string(f))
		}
	}
	for _, f := range now.Read {
		if !slices.Contains(cmd.Facts, f.Fact) {
			come = append(come, string(f.Fact))
		}
	}
	message := "What is to be read has changed since it was shown. Nothing was signed."
	if len(come) > 0 {
		message += " To be read besides: " + strings.Join(come, ", ") + "."
	}
	if len(gone) > 0 {
		message += " No longer to be read: " + strings.Join(gone, ", ") + "."
	}
	if len(gone)+len(come) == 0 {
		message += " The facts are the same; their words, or the revisions, are not."
	}
	return conflict("changed since it was shown", message+" Read it again, then sign.")
}

// signReading puts the signature and what was read on the record.
func (a *App) signReading(ctx context.Context, tx Tx, w Actor, id string, now CatchUp) error {
	covers := clearance.Covered{Kind: clearance.CoversReading, ID: id, Digest: now.Digest}
	_, entry, signed, ok, err := a.sign(ctx, tx, w, covers, clearance.Read, w.Person.ID)
	if err != nil || !ok {
		return err
	}
	signed.procedure = now.Procedure.ID
	read := clearance.RemovedRead{Person: w.Person.ID, Procedure: now.Procedure.ID, Revision: now.Procedure.Revision, Digest: now.Digest, Shown: now.Text, Reading: id}
	removed, changed := read, read
	for _, f := range now.Read {
		if f.Is == "" {
			removed.Facts = append(removed.Facts, f.Fact)
		} else {
			changed.Facts = append(changed.Facts, f.Fact)
		}
	}
	acts := []newAct{signed}
	if len(removed.Facts) > 0 {
		acts = append(acts, newAct{act: removed})
	}
	if len(changed.Facts) > 0 {
		acts = append(acts, newAct{act: clearance.ChangedRead(changed)})
	}
	return a.withActs(ctx, tx, w, []ledger.Entry{entry}, acts...)
}
