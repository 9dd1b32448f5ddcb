package api

import (
	"context"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"soloright/scoring/clearance"
	"soloright/scoring/ledger"
	"soloright/scoring/rebuild"
)

// FinishRebuild is the command to finish a sheet. Digest is that of the sheet as it
// was shown; Seen is when the server showed it, to say what has changed since.
type FinishRebuild struct {
	Rebuild string    `json:"-" validate:"required,max=64"`
	Digest  string    `json:"digest" validate:"required,len=64,hexadecimal"`
	Seen    time.Time `json:"seen,omitempty,omitzero" validate:"-"`
}

// FinishRebuild puts the sheet on the record as it stands, for both people to sign.
// Only the assessor finishes it. It is a Conflict while a hold point has no outcome,
// while no times are stated or they do not fit the record, and where the sheet is
// not the one that was shown. What is missing or out of its limits does not stop
// it: the sheet then does not count, and says so. Finished twice is once.
func (a *App) FinishRebuild(ctx context.Context, c Caller, cmd FinishRebuild) (FinishedRebuild, error) {
	if err := check(cmd); err != nil {
		return FinishedRebuild{}, err
	}
	var f FinishedRebuild
	err := a.inTx(ctx, c, Observe, func(tx Tx, w Actor) (err error) {
		if f, err = a.finishedAlready(ctx, tx, w, cmd); err != nil || f.ID != "" {
			return err
		}
		o, err := a.writable(ctx, tx, w, cmd.Rebuild, tx.HoldRebuildAlone)
		if err != nil {
			return err
		}
		if _, err := tx.LockLedger(ctx); err != nil {
			return err
		}
		f, err = a.finish(ctx, tx, w, o, cmd)
		return err
	})
	return f, err
}

// finishedAlready finds the sheet where the very same one was finished before.
func (a *App) finishedAlready(ctx context.Context, r Reader, w Actor, cmd FinishRebuild) (FinishedRebuild, error) {
	f, err := r.Rebuild(ctx, cmd.Rebuild)
	if errors.Is(err, ErrNone) {
		return FinishedRebuild{}, nil
	}
	if err != nil {
		return FinishedRebuild{}, fmt.Errorf("read rebuild %s: %w", cmd.Rebuild, err)
	}
	if f.Assessor == w.Person.ID && hex.EncodeToString(f.Digest) == cmd.Digest {
		return f, nil
	}
	return FinishedRebuild{}, nil
}

func (a *App) finish(ctx context.Context, tx Tx, w Actor, o OpenRebuild, cmd FinishRebuild) (FinishedRebuild, error) {
	s, err := a.sheet(ctx, tx, o)
	if err != nil {
		return FinishedRebuild{}, err
	}
	if got := s.record.Digest(); got != cmd.Digest {
		return FinishedRebuild{}, conflict("changed", "The sheet has changed since it was shown to you: "+s.changedSince(cmd.Seen, a.zone)+". Read it over again.")
	}
	if n := len(s.record.Open); n > 0 {
		return FinishedRebuild{}, conflict("incomplete", fmt.Sprintf("%d hold points have no outcome yet. Write one at each: where work did not stop, that it was not done.", n))
	}
	started, ended := s.filled[rebuild.PlaceTimes].Times()
	if err := a.timesFit(ctx, tx, o, started, ended); err != nil {
		return FinishedRebuild{}, err
	}
	text := s.record.Text()
	raw, err := json.Marshal(s.record)
	if err != nil {
		return FinishedRebuild{}, fmt.Errorf("write the sheet: %w", err)
	}
	sum, err := hex.DecodeString(cmd.Digest)
	if err != nil {
		return FinishedRebuild{}, fmt.Errorf("read the digest: %w", err)
	}
	f := FinishedRebuild{OpenRebuild: o, Started: started, Ended: ended, Finished: a.now(), Fault: s.record.Fault(), Digest: sum, Record: raw, Sheet: text}
	if err := tx.AddRebuild(ctx, f, used(s.record)); err != nil {
		return FinishedRebuild{}, fmt.Errorf("keep rebuild %s: %w", o.ID, err)
	}
	act := s.record.Finished(started, ended)
	act.Digest = cmd.Digest
	return f, a.withActs(ctx, tx, w, []ledger.Entry{rebuildFinished(f, used(s.record), w.by())}, newAct{act: act})
}

// used lists the wrenches on a sheet.
func used(r rebuild.Record) []string {
	var out []string
	for _, u := range r.Wrenches {
		out = append(out, u.ID)
	}
	return out
}

// timesFit holds the stated times against the record: both there, in their order,
// not in the future, and a whole rebuild not begun before the sitting that it builds
// on was handed in. The record's own time is the server's, whatever is stated.
func (a *App) timesFit(ctx context.Context, r Reader, o OpenRebuild, started, ended time.Time) error {
	switch {
	case started.IsZero() || ended.IsZero():
		return conflict("no times", "State when the rebuild started and when it ended.")
	case ended.Before(started):
		return conflict("times", "The rebuild is stated to end before it starts.")
	case ended.After(a.now()):
		return conflict("times", "The rebuild is stated to end in the future.")
	case len(o.Holds) > 0:
		return nil
	}
	return a.register.judge(ctx, r, func(f *registerCache) error {
		now := a.now()
		if _, ok := f.reg.Ground(o.Technician, o.Procedure, o.Revision, started, now); ok {
			return nil
		}
		if g, ok := f.reg.Ground(o.Technician, o.Procedure, o.Revision, now, now); ok {
			return conflict("times", "The rebuild is stated to start before the sitting it builds on was handed in, on "+g.HandedIn.Format("2006-01-02 15:04")+".")
		}
		return conflict("no sitting", "The sitting that this rebuild built on stands no more. Give the sheet up; what was kept stays on the record.")
	})
}

func rebuildFinished(f FinishedRebuild, wrenches []string, by string) ledger.Entry {
	return ledger.Entry{Kind: ledger.RebuildFinished, ID: f.ID, At: f.Finished, Attributes: map[string]string{
		"by": by, "technician": f.Technician, "assessor": f.Assessor, "procedure": label(f.Procedure), "revision": label(f.Revision),
		"sheet": digest(f.Sheet), "record": digest(f.Record), "wrenches": rowDigest(asAny(wrenches)...),
		"row": rowDigest(f.ID, f.Technician, f.Assessor, f.Procedure, f.Revision, f.Build, fmt.Sprint(f.Holds), f.Opened, f.Started, f.Ended, f.Finished, f.Fault, f.Digest)}}
}

func asAny(texts []string) []any {
	out := make([]any, len(texts))
	for i, t := range texts {
		out[i] = t
	}
	return out
}

// AbandonRebuild is the command to give an open sheet up.
type AbandonRebuild struct {
	Rebuild string `json:"-" validate:"required,max=64"`
	Reason  string `json:"reason" validate:"required,min=10,max=1000"`
}

// AbandonRebuild closes a sheet that will not be finished. What had been kept of it
// goes on the record with the reason: a rebuild that went badly does not vanish.
// Its assessor may, and a safety officer.
func (a *App) AbandonRebuild(ctx context.Context, c Caller, cmd AbandonRebuild) error {
	if err := check(cmd); err != nil {
		return err
	}
	return a.inTx(ctx, c, Observe, func(tx Tx, w Actor) error {
		o, err := a.writable(ctx, tx, w, cmd.Rebuild, tx.HoldRebuildAlone)
		officer := w.Person.Role.May(VoidRebuild) && o.ID != "" && o.Technician != w.Person.ID
		if err != nil && !(officer && KindOf(err) == Forbidden) {
			return err
		}
		if _, err := tx.LockLedger(ctx); err != nil {
			return err
		}
		kept, err := tx.RebuildEntries(ctx, o.ID)
		if err != nil {
			return fmt.Errorf("read entries of %s: %w", o.ID, err)
		}
		raw, err := json.Marshal(kept)
		if err != nil {
			return fmt.Errorf("write entries: %w", err)
		}
		g := AbandonedRebuild{OpenRebuild: o, At: a.now(), Reason: cmd.Reason, Entries: raw}
		if err := tx.AddAbandonedRebuild(ctx, g); err != nil {
			return fmt.Errorf("give up %s: %w", o.ID, err)
		}
		return a.attest(ctx, tx, rebuildAbandoned(g, w.by()))
	})
}

func rebuildAbandoned(g AbandonedRebuild, by string) ledger.Entry {
	return ledger.Entry{Kind: ledger.RebuildAbandoned, ID: g.ID, At: g.At, Attributes: map[string]string{
		"by": by, "reason": digest([]byte(g.Reason)), "entries": digest(g.Entries),
		"row": rowDigest(g.ID, g.Technician, g.Assessor, g.Procedure, g.Revision, g.Build, fmt.Sprint(g.Holds), g.Opened, g.At)}}
}

// VoidRebuildCommand is the command to strike a finished rebuild out.
type VoidRebuildCommand struct {
	Rebuild string `json:"-" validate:"required,max=64"`
	Reason  string `json:"reason" validate:"required,min=10,max=1000"`
}

// VoidRebuild strikes a finished rebuild out, with a reason. It stays in the record;
// from now on it counts no more, and a clearance in which it had part ends. Nobody
// strikes out one of his or her own.
func (a *App) VoidRebuild(ctx context.Context, c Caller, cmd VoidRebuildCommand) error {
	if err := check(cmd); err != nil {
		return err
	}
	return a.inTx(ctx, c, VoidRebuild, func(tx Tx, w Actor) error {
		if err := w.named(); err != nil {
			return err
		}
		if _, err := tx.LockLedger(ctx); err != nil {
			return err
		}
		f, err := tx.Rebuild(ctx, cmd.Rebuild)
		if errors.Is(err, ErrNone) {
			return notFound("finished rebuild")
		}
		if err != nil {
			return fmt.Errorf("read rebuild %s: %w", cmd.Rebuild, err)
		}
		if f.Technician == w.Person.ID || f.Assessor == w.Person.ID {
			return &Error{Kind: Forbidden, Message: "Nobody strikes out a rebuild of their own. Ask another safety officer."}
		}
		v := RebuildVoid{Rebuild: f.ID, At: a.now(), By: w.Person.ID, Reason: cmd.Reason}
		err = tx.AddRebuildVoid(ctx, v)
		if errors.Is(err, ErrExists) {
			return conflict("struck out", "This rebuild is struck out already.")
		}
		if err != nil {
			return fmt.Errorf("strike out %s: %w", f.ID, err)
		}
		return a.withActs(ctx, tx, w, []ledger.Entry{rebuildVoided(v, w.by())},
			newAct{clearance.RebuildVoided{Rebuild: f.ID, Reason: cmd.Reason}, f.Technician, f.Procedure})
	})
}

func rebuildVoided(v RebuildVoid, by string) ledger.Entry {
	return ledger.Entry{Kind: ledger.RebuildVoided, ID: v.Rebuild, At: v.At, Attributes: map[string]string{
		"by": by, "reason": digest([]byte(v.Reason)), "row": rowDigest(v.Rebuild, v.At, v.By)}}
}
