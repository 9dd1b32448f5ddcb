package api

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"soloright/scoring/clearance"
	"soloright/scoring/ledger"
)

// RecordException is the command to let an assessor assess somebody whom he or
// she trained up to today. It is signed: Password is asked for again.
type RecordException struct {
	Assessor   string `json:"assessor" validate:"required,max=64"`
	Technician string `json:"technician" validate:"required,max=64"`
	Procedure  string `json:"procedure" validate:"required,max=64"`
	Reason     string `json:"reason" validate:"required,min=10,max=1000"`
	Password   string `json:"password" validate:"required,max=256"`
}

// RecordException records an exception under the caller's own name and signature.
// The same one again changes nothing, unless training was recorded since. A wrong
// password is Invalid, goes on the record, and nothing else does.
func (a *App) RecordException(ctx context.Context, c Caller, cmd RecordException) error {
	if err := check(cmd); err != nil {
		return err
	}
	err := a.read(ctx, c, ManageAssessors, func(r Reader, w Actor) error {
		_, err := exceptable(ctx, r, w, cmd)
		return err
	})
	if err != nil {
		return err
	}
	if err := a.again(ctx, c, cmd.Password, "exception for "+cmd.Technician); err != nil {
		return err
	}
	id, err := a.newID()
	if err != nil {
		return err
	}
	return a.inTx(ctx, c, ManageAssessors, func(tx Tx, w Actor) error {
		if _, err := tx.LockLedger(ctx); err != nil {
			return err
		}
		told, err := exceptable(ctx, tx, w, cmd)
		if err != nil || told {
			return err
		}
		act := exceptionOf(w, cmd)
		covers := clearance.Covered{Kind: clearance.CoversException, ID: id, Digest: digest(ExceptionText(act))}
		_, entry, signed, _, err := a.sign(ctx, tx, w, covers, clearance.Exception, cmd.Technician)
		if err != nil {
			return err
		}
		signed.procedure = cmd.Procedure
		return a.withActs(ctx, tx, w, []ledger.Entry{entry}, newAct{act: act}, signed)
	})
}

func exceptionOf(w Actor, cmd RecordException) clearance.ExceptionGranted {
	return clearance.ExceptionGranted{Officer: w.Person.ID, Assessor: cmd.Assessor, Technician: cmd.Technician, Procedure: cmd.Procedure, Reason: cmd.Reason}
}

// ExceptionText is what an officer signs: "soloright exception 1", and a line each
// for the procedure, the assessor, the technician, by their ids, and the reason, with
// a tab after its name; white space in the reason is one space.
func ExceptionText(x clearance.ExceptionGranted) []byte {
	return fmt.Appendf(nil, "soloright exception 1\nprocedure\t%s\nassessor\t%s\ntechnician\t%s\nreason\t%s\n", x.Procedure, x.Assessor, x.Technician, strings.Join(strings.Fields(x.Reason), " "))
}

// exceptable says why an exception cannot be recorded, and whether the same one is
// on the record already.
func exceptable(ctx context.Context, r Reader, w Actor, cmd RecordException) (told bool, err error) {
	if err := w.named(); err != nil {
		return false, err
	}
	switch w.Person.ID {
	case cmd.Assessor, cmd.Technician:
		return false, &Error{Kind: Forbidden, Message: "Nobody grants himself or herself an exception."}
	}
	if cmd.Assessor == cmd.Technician {
		return false, invalid("assessor", "Assessor and technician are one person.")
	}
	if err := errors.Join(personThere(ctx, r, cmd.Assessor, "assessor"), personThere(ctx, r, cmd.Technician, "technician"), procedureThere(ctx, r, cmd.Procedure)); err != nil {
		return false, err
	}
	all, err := r.ActsOfPerson(ctx, cmd.Technician)
	if err != nil {
		return false, fmt.Errorf("read acts of %s: %w", cmd.Technician, err)
	}
	act := exceptionOf(w, cmd)
	last, _ := lastAct(all, func(s StoredAct) bool {
		return s.Procedure == cmd.Procedure && s.Subject == cmd.Assessor && (s.Kind == act.Kind() || s.Kind == clearance.TrainingGiven{}.Kind())
	})
	return sameAct(last, w, act), nil
}
