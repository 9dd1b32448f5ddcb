package api

import (
	"context"
	"encoding/hex"
	"errors"
	"fmt"

	"soloright/scoring/clearance"
	"soloright/scoring/ledger"
)

// SignRebuild is the command to sign a finished rebuild. Digest is that of the sheet
// as it was shown to the signer; Password is asked for again each time.
type SignRebuild struct {
	Rebuild  string            `json:"-" validate:"required,max=64"`
	Meaning  clearance.Meaning `json:"meaning" validate:"required,oneof=performed observed approved"`
	Digest   string            `json:"digest" validate:"required,len=64,hexadecimal"`
	Password string            `json:"password" validate:"required,max=256"`
}

// SignRebuild signs a finished rebuild in the caller's name: the technician that it
// was performed so, then the assessor that it was observed so, then, where the policy
// asks, a safety officer that it is approved. It is Forbidden to sign for another;
// a Conflict, with the reason, to sign before one's turn, while one may not assess,
// what is struck out, and what is not the sheet that was shown. A wrong password is
// Invalid, goes on the record, and nothing is signed. Signed twice is once.
//
// The assessor may sign a sheet that does not count. The signature then says that it
// was observed to be so, and nothing more.
func (a *App) SignRebuild(ctx context.Context, c Caller, cmd SignRebuild) (Signature, error) {
	if err := check(cmd); err != nil {
		return Signature{}, err
	}
	err := a.read(ctx, c, Observe, func(r Reader, w Actor) error {
		_, _, err := a.signable(ctx, r, w, cmd)
		return err
	})
	if err != nil {
		return Signature{}, err
	}
	if err := a.again(ctx, c, cmd.Password, "rebuild "+cmd.Rebuild); err != nil {
		return Signature{}, err
	}
	var s Signature
	err = a.inTx(ctx, c, Observe, func(tx Tx, w Actor) error {
		if _, err := tx.LockLedger(ctx); err != nil {
			return err
		}
		f, given, err := a.signable(ctx, tx, w, cmd)
		if err != nil {
			return err
		}
		if given.Signer != "" {
			s = given
			return nil
		}
		covers := clearance.Covered{Kind: clearance.CoversRebuild, ID: f.ID, Digest: cmd.Digest}
		var e ledger.Entry
		var act newAct
		if s, e, act, _, err = a.sign(ctx, tx, w, covers, cmd.Meaning, f.Technician); err != nil {
			return err
		}
		act.procedure = f.Procedure
		return a.withActs(ctx, tx, w, []ledger.Entry{e}, act)
	})
	return s, err
}

// signable returns the rebuild where the caller may sign it so now. Where it bears
// the caller's signature already, that one is returned.
func (a *App) signable(ctx context.Context, r Reader, w Actor, cmd SignRebuild) (f FinishedRebuild, given Signature, err error) {
	if err := w.named(); err != nil {
		return f, given, err
	}
	if f, err = r.Rebuild(ctx, cmd.Rebuild); errors.Is(err, ErrNone) {
		return f, given, a.notFinished(ctx, r, w, cmd.Rebuild)
	} else if err != nil {
		return f, given, fmt.Errorf("read rebuild %s: %w", cmd.Rebuild, err)
	}
	if !mayLook(w, f.OpenRebuild) {
		return f, given, notFound("finished rebuild")
	}
	if hex.EncodeToString(f.Digest) != cmd.Digest {
		return f, given, conflict("changed", "This is not the sheet that stands on the record: what you were shown has another digest. Read the sheet over again.")
	}
	all, err := r.Signatures(ctx, clearance.CoversRebuild, f.ID)
	if err != nil {
		return f, given, fmt.Errorf("read signatures: %w", err)
	}
	for _, s := range all {
		if s.Meaning == cmd.Meaning && s.Signer == w.Person.ID {
			return f, s, nil
		}
	}
	return f, given, a.maySign(ctx, r, w, f, cmd.Meaning)
}

// notFinished says why there is nothing to sign.
func (a *App) notFinished(ctx context.Context, r Reader, w Actor, id string) error {
	o, err := r.OpenRebuild(ctx, id)
	if err == nil && mayLook(w, o) {
		return conflict("open", "This sheet is not finished yet. Its assessor finishes it; then it is signed.")
	}
	if err == nil || errors.Is(err, ErrNone) {
		return notFound("finished rebuild")
	}
	return fmt.Errorf("read rebuild %s: %w", id, err)
}

// maySign refuses a signature that is not this person's to give, or not yet.
func (a *App) maySign(ctx context.Context, r Reader, w Actor, f FinishedRebuild, m clearance.Meaning) error {
	if !f.Voided.IsZero() {
		return conflict("struck out", "This rebuild was struck out. Nobody signs it any more.")
	}
	switch m {
	case clearance.Performed:
		if w.Person.ID != f.Technician {
			return &Error{Kind: Forbidden, Message: "That it was performed so, the technician alone signs. Nobody signs for another."}
		}
		return nil
	case clearance.Observed:
		return a.mayObserve(ctx, r, w, f)
	case clearance.Approved:
		return a.mayApprove(ctx, r, w, f)
	}
	return invalid("meaning", "A rebuild is not signed with this meaning.")
}

func (a *App) mayObserve(ctx context.Context, r Reader, w Actor, f FinishedRebuild) error {
	if w.Person.ID != f.Assessor {
		return &Error{Kind: Forbidden, Message: "That it was observed so, its assessor alone signs. Nobody signs for another, nor for himself or herself."}
	}
	if f.Performed.IsZero() {
		return conflict("technician first", "The technician signs first.")
	}
	return a.register.judge(ctx, r, func(c *registerCache) error {
		if ok, why := c.reg.MaySign(f.ID, a.now()); !ok {
			return conflict("may not assess", "You may not sign as the assessor now: "+why+".")
		}
		return nil
	})
}

func (a *App) mayApprove(ctx context.Context, r Reader, w Actor, f FinishedRebuild) error {
	if err := w.may(ApproveRebuild); err != nil {
		return err
	}
	if w.Person.ID == f.Technician || w.Person.ID == f.Assessor {
		return &Error{Kind: Forbidden, Message: "Nobody approves of a rebuild of their own. Ask another safety officer."}
	}
	if f.Observed.IsZero() {
		return conflict("assessor first", "The technician and the assessor sign first.")
	}
	return a.register.judge(ctx, r, func(c *registerCache) error {
		b, _ := c.reg.Rebuild(f.ID, a.now())
		switch {
		case !c.reg.PolicyAt(f.Procedure, a.now()).Officer:
			return conflict("not asked", "The policy of this procedure asks for no approval.")
		case !b.Counts:
			return conflict("does not count", "This rebuild does not count, so there is nothing to approve of: "+b.Reason+".")
		case !b.Follows:
			return conflict("no sitting", "This rebuild builds on no sitting that stands, so there is nothing to approve of.")
		case b.Approved:
			return conflict("approved", "The rebuilds of this sitting are approved already.")
		case !b.Ready:
			return conflict("not ready", "Not every rebuild that the policy asks for is signed yet. Approve the last one.")
		}
		return nil
	})
}
