package api

import (
	"context"
	"errors"
	"fmt"

	"soloright/scoring/ledger"
)

// VoidCommand is the command to strike a sitting out.
type VoidCommand struct {
	Sitting string `json:"-" validate:"required,max=64"`
	Reason  string `json:"reason" validate:"required,min=10,max=1000"`
}

// VoidSitting strikes a handed-in sitting out, with a reason. It stays in the
// record; it counts no more from now on, never earlier.
func (a *App) VoidSitting(ctx context.Context, c Caller, cmd VoidCommand) error {
	if err := check(cmd); err != nil {
		return err
	}
	return a.inTx(ctx, c, VoidSitting, func(tx Tx, w Actor) error {
		s, err := tx.Sitting(ctx, cmd.Sitting)
		if errors.Is(err, ErrNone) {
			return notFound("sitting")
		}
		if err != nil {
			return fmt.Errorf("read sitting %s: %w", cmd.Sitting, err)
		}
		if s.Person == w.Person.ID && !w.op {
			return &Error{Kind: Forbidden, Message: "Nobody strikes out a sitting of their own. Ask another safety officer."}
		}
		if s.State == StateOpen {
			return conflict(string(s.State), "This sitting is still open. It can be struck out once it is handed in.")
		}
		v := Void{Sitting: s.ID, At: a.now(), By: w.Person.ID, Reason: cmd.Reason}
		err = tx.AddVoid(ctx, v)
		if errors.Is(err, ErrExists) {
			return conflict(string(StateVoid), "This sitting is struck out already.")
		}
		if err != nil {
			return fmt.Errorf("strike out %s: %w", s.ID, err)
		}
		acts, err := a.voidActs(ctx, tx, s, cmd.Reason)
		if err != nil {
			return err
		}
		if err := a.keepResponses(ctx, tx, s.ID); err != nil {
			return err
		}
		return a.withActs(ctx, tx, w, []ledger.Entry{voided(v, w.by())}, acts...)
	})
}
