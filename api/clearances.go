package api

import (
	"context"
	"errors"
	"fmt"

	"soloright/scoring/clearance"
)

// StandingCommand is the command to suspend, reinstate or withdraw.
type StandingCommand struct {
	Person    string `json:"person" validate:"required,max=64"`
	Procedure string `json:"procedure" validate:"required,max=64"`
	Reason    string `json:"reason" validate:"required,min=10,max=1000"`
}

// Suspend stops a person from working alone on a procedure, from now on, until
// reinstated. What is on the record stays.
func (a *App) Suspend(ctx context.Context, c Caller, cmd StandingCommand) error {
	return a.notice(ctx, c, cmd, clearance.Suspended{Person: cmd.Person, Procedure: cmd.Procedure, Reason: cmd.Reason})
}

// Reinstate ends a suspension from now on; one's own is for somebody else to end.
func (a *App) Reinstate(ctx context.Context, c Caller, cmd StandingCommand) error {
	return a.notice(ctx, c, cmd, clearance.Reinstated{Person: cmd.Person, Procedure: cmd.Procedure, Reason: cmd.Reason})
}

// Withdraw takes from now on whatever clears a person on a procedure: the road
// begins anew with a sitting.
func (a *App) Withdraw(ctx context.Context, c Caller, cmd StandingCommand) error {
	return a.notice(ctx, c, cmd, clearance.Withdrawn{Person: cmd.Person, Procedure: cmd.Procedure, Reason: cmd.Reason})
}

// notice puts one of the three on the record. What was the last of them on this
// person and procedure, by the same officer for the same reason, is there
// already and no error; what the state does not allow is a Conflict.
func (a *App) notice(ctx context.Context, c Caller, cmd StandingCommand, act clearance.Act) error {
	if err := check(cmd); err != nil {
		return err
	}
	return a.decide(ctx, c, ManageClearances, func(tx Tx, w Actor) ([]newAct, error) {
		if err := w.named(); err != nil {
			return nil, err
		}
		if _, err := tx.Person(ctx, cmd.Person); errors.Is(err, ErrNone) {
			return nil, invalid("person", "There is no such person.")
		} else if err != nil {
			return nil, fmt.Errorf("read person: %w", err)
		}
		if err := procedureThere(ctx, tx, cmd.Procedure); err != nil {
			return nil, err
		}
		all, err := tx.ActsOfPerson(ctx, cmd.Person)
		if err != nil {
			return nil, fmt.Errorf("read acts of %s: %w", cmd.Person, err)
		}
		last, _ := lastAct(all, func(s StoredAct) bool { return s.Procedure == cmd.Procedure && isNotice(s.Kind) })
		if sameAct(last, w, act) {
			return nil, nil
		}
		onRecord := false
		for _, s := range all {
			onRecord = onRecord || s.Procedure == cmd.Procedure && s.Kind == clearance.SittingMarked{}.Kind()
		}
		if err := noticeFits(act, last.Kind, onRecord, w.Person.ID == cmd.Person); err != nil {
			return nil, err
		}
		return []newAct{{act: act}}, nil
	})
}

func isNotice(k clearance.Kind) bool {
	return k == clearance.Suspended{}.Kind() || k == clearance.Reinstated{}.Kind() || k == clearance.Withdrawn{}.Kind()
}

// noticeFits says whether a notice can follow the last one.
func noticeFits(act clearance.Act, last clearance.Kind, onRecord, own bool) error {
	suspended := last == clearance.Suspended{}.Kind()
	switch act.(type) {
	case clearance.Suspended:
		if suspended {
			return conflict(string(clearance.StateSuspended), "This person is suspended on this procedure already.")
		}
	case clearance.Reinstated:
		if !suspended {
			return conflict("not suspended", "This person is not suspended on this procedure.")
		}
		if own {
			return &Error{Kind: Forbidden, Message: "Nobody reinstates himself or herself."}
		}
	case clearance.Withdrawn:
		if !onRecord && !suspended {
			return conflict("nothing to withdraw", "This person has nothing on the record of this procedure that could be withdrawn.")
		}
	}
	return nil
}
