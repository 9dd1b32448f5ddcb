package api

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"sync"
	"time"

	"soloright/scoring/ledger"
)

// A check of the whole record may take minutes, so it runs beside the requests.
// How far it has come and what it found is kept in the database: every instance
// shows the same.

const (
	checkTick  = time.Second      // how often a check keeps how far it has come
	checkQuiet = 30 * time.Second // a check that kept nothing for so long runs no more
	mostFound  = 50               // sentences kept of what a check found
)

// checkRuns are the checks that this application runs.
type checkRuns struct {
	ctx  context.Context
	stop context.CancelFunc
	all  sync.WaitGroup
}

func newCheckRuns() *checkRuns {
	ctx, stop := context.WithCancel(context.Background())
	return &checkRuns{ctx: ctx, stop: stop}
}

// EndChecks breaks off the checks that run here and waits for them. It is called
// before the store is closed; no check begins after it.
func (a *App) EndChecks() {
	a.checks.stop()
	a.checks.all.Wait()
}

// RecordCheckView is a check of the whole record, as far as it has come.
type RecordCheckView struct {
	StoredCheck
	By    string // name of who asked for it
	Found []string
	Runs  bool
}

// Sound reports whether the check came to its end and found nothing.
func (v RecordCheckView) Sound() bool { return !v.Ended.IsZero() && v.Broke == "" && v.Disagree == 0 }

// BrokeOff reports whether it did not come to its end.
func (v RecordCheckView) BrokeOff() bool { return !v.Runs && (v.Ended.IsZero() || v.Broke != "") }

// LastCheck returns the check of the record that was begun last, for who may read
// the ledger; false where there was none.
func (a *App) LastCheck(ctx context.Context, c Caller) (RecordCheckView, bool, error) {
	var v RecordCheckView
	var there bool
	err := a.read(ctx, c, ReadLedger, func(r Reader, _ Actor) error {
		all, err := r.LastChecks(ctx, 1)
		if err != nil || len(all) == 0 {
			return err
		}
		there = true
		v, err = a.checkView(ctx, r, all[0])
		return err
	})
	return v, there, err
}

func (a *App) checkView(ctx context.Context, r Reader, s StoredCheck) (RecordCheckView, error) {
	v := RecordCheckView{StoredCheck: s, Found: []string{}, By: "the program"}
	v.Runs = s.Ended.IsZero() && a.now().Sub(s.Seen) < checkQuiet
	if err := json.Unmarshal(s.Found, &v.Found); err != nil {
		return v, fmt.Errorf("read what the check %s found: %w", s.ID, err)
	}
	if s.By == "" {
		return v, nil
	}
	p, err := r.Person(ctx, s.By)
	if err != nil {
		return v, fmt.Errorf("read who asked for a check: %w", err)
	}
	v.By = p.Name
	return v, nil
}

// StartCheck begins a check of the whole record beside the requests, and returns
// at once. Where one runs already, on any instance, that is the one. Older is a
// checkpoint kept elsewhere, nil for none; one that is not a checkpoint is Invalid.
func (a *App) StartCheck(ctx context.Context, c Caller, older []byte) (RecordCheckView, error) {
	s := StoredCheck{Begun: a.now(), Seen: a.now(), Part: "entries", Total: -1, Found: []byte("[]")}
	if len(older) > 0 {
		at, err := ledger.ParseCheckpoint(older)
		if err != nil {
			return RecordCheckView{}, invalid("older", "This is not a checkpoint. Put in the whole text that was kept, from the name of the ledger to the end of the signature.")
		}
		s.Older = at.Size
	} else {
		older = nil
	}
	var err error
	if s.ID, err = a.newID(); err != nil {
		return RecordCheckView{}, err
	}
	var v RecordCheckView
	begun := false
	err = a.inTx(ctx, c, ReadLedger, func(tx Tx, w Actor) error {
		s.By, begun = w.Person.ID, false
		last, err := tx.LastChecks(ctx, 1)
		if err != nil {
			return err
		}
		if len(last) > 0 {
			if v, err = a.checkView(ctx, tx, last[0]); err != nil || v.Runs {
				return err
			}
		}
		begun = true
		if err := tx.PutCheck(ctx, s); err != nil {
			return fmt.Errorf("begin a check: %w", err)
		}
		v, err = a.checkView(ctx, tx, s)
		return err
	})
	if err == nil && begun {
		a.checks.all.Go(func() { a.runCheck(s, older) })
	}
	return v, err
}

// runCheck runs a check to its end and keeps what it found. What cannot be kept
// is logged: the check then counts as broken off.
func (a *App) runCheck(s StoredCheck, older []byte) {
	ctx := a.checks.ctx
	keep := func(ctx context.Context) {
		s.Seen = a.now()
		if err := a.store.InTx(ctx, func(tx Tx) error { return tx.PutCheck(ctx, s) }); err != nil && ctx.Err() == nil {
			a.log.Error("keep how far a check has come", "check", s.ID, "err", err)
		}
	}
	kept, found := a.now(), []string{}
	rep, err := a.CheckRecord(ctx, older, func(what string, done, total int64) {
		s.Part, s.Done, s.Total = what, done, total
		if now := a.now(); now.Sub(kept) >= checkTick {
			kept = now
			keep(ctx)
		}
	}, func(d Disagreement) {
		if len(found) < mostFound {
			found = append(found, d.What)
		}
	})
	s.Entries, s.Records, s.Disagree, s.Ended = rep.Entries, rep.Records, int64(rep.Disagree), a.now()
	switch {
	case errors.Is(err, ErrNoLedger):
		s.Broke = "nothing is on the record yet"
	case ctx.Err() != nil:
		s.Broke = "the program was stopped"
	case err != nil:
		a.log.Error("check the record", "check", s.ID, "err", err)
		s.Broke = "the database could not be read to its end"
	}
	if s.Found, err = json.Marshal(found); err != nil { // not for texts
		a.log.Error("write what a check found", "check", s.ID, "err", err)
	}
	last, done := context.WithTimeout(context.WithoutCancel(ctx), checkQuiet)
	defer done()
	keep(last)
}
