package api

import (
	"context"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
)

// HandIn hands the caller's own sitting in as it stands, and marks it. Handing in
// twice is no error: the first one stands.
func (a *App) HandIn(ctx context.Context, c Caller, sitting string) (Sitting, error) {
	var s Sitting
	err := a.inTx(ctx, c, Sit, func(tx Tx, w Actor) (err error) {
		if s, err = sittingOf(ctx, tx, w, sitting); err != nil {
			return err
		}
		if s.Person != w.Person.ID {
			return notFound("sitting")
		}
		return a.handIn(ctx, tx, sitting)
	})
	if err != nil {
		return Sitting{}, err
	}
	if err := a.markIfUnmarked(ctx, sitting); err != nil {
		return Sitting{}, err
	}
	err = a.store.Read(ctx, func(r Reader) (err error) {
		s, err = r.Sitting(ctx, sitting)
		return err
	})
	return s, err
}

// handIn copies the answers to the record and closes the sitting. One that is
// not open stays as it is. The record's time is the clock's, or the deadline
// where that has passed.
func (a *App) handIn(ctx context.Context, tx Tx, sitting string) error {
	o, err := tx.OpenExclusive(ctx, sitting)
	if errors.Is(err, ErrNone) {
		return nil
	}
	if err != nil {
		return fmt.Errorf("read sitting %s: %w", sitting, err)
	}
	kept, err := tx.Answers(ctx, sitting)
	if err != nil {
		return fmt.Errorf("read answers of %s: %w", sitting, err)
	}
	raw, err := encodeAnswers(kept)
	if err != nil {
		return err
	}
	digest := sha256.Sum256(raw)
	h := HandIn{Sitting: sitting, At: a.now(), Answers: raw, Digest: digest[:]}
	if !h.At.Before(o.Deadline) {
		h.At, h.TimeUp = o.Deadline, true
	}
	if err := tx.AddHandIn(ctx, h); err != nil {
		return fmt.Errorf("hand in %s: %w", sitting, err)
	}
	return a.attestHandIn(ctx, tx, h)
}

// attestHandIn attests a hand-in: by the technician, or by the program where the
// time was up.
func (a *App) attestHandIn(ctx context.Context, tx Tx, h HandIn) error {
	s, err := tx.Sitting(ctx, h.Sitting)
	if err != nil {
		return fmt.Errorf("read sitting %s: %w", h.Sitting, err)
	}
	form, err := tx.Form(ctx, h.Sitting)
	if err != nil {
		return fmt.Errorf("read form of %s: %w", h.Sitting, err)
	}
	by := s.Person
	if h.TimeUp {
		by = byProgram
	}
	return a.attest(ctx, tx, handedIn(s, form, h, a.now(), by))
}

// handInIfDue hands a sitting in whose time is up, and marks it. It costs one
// read where there is nothing to do.
func (a *App) handInIfDue(ctx context.Context, id string) error {
	var s Sitting
	err := a.store.Read(ctx, func(r Reader) (err error) {
		s, err = r.Sitting(ctx, id)
		return err
	})
	if errors.Is(err, ErrNone) {
		return nil // whoever asked is told so by the use case itself
	}
	if err != nil {
		return fmt.Errorf("read sitting %s: %w", id, err)
	}
	if s.State == StateOpen && !a.now().Before(s.Deadline) {
		if err := a.store.InTx(ctx, func(tx Tx) error { return a.handIn(ctx, tx, id) }); err != nil {
			return err
		}
		return a.markIfUnmarked(ctx, id)
	}
	if s.State == StateHandedIn {
		return a.markIfUnmarked(ctx, id)
	}
	return nil
}

// Swept says what a sweep did. Settled are the tries whose hour for the confirming
// step ended without one.
type Swept struct{ HandedIn, Marked, Settled int }

// Sweep hands in every open sitting whose time is up, marks whatever is handed in
// and not marked, and settles what was left to confirm for too long. Any number of instances may sweep at once.
func (a *App) Sweep(ctx context.Context) (Swept, error) {
	const batch = 100
	var due, unmarked, unsettled []string
	err := a.store.Read(ctx, func(r Reader) (err error) {
		if due, err = r.Overdue(ctx, a.now(), batch); err != nil {
			return err
		}
		if unmarked, err = r.Unmarked(ctx, batch); err != nil {
			return err
		}
		unsettled, err = r.Unsettled(ctx, a.now().Add(-ConfirmWithin), batch)
		return err
	})
	if err != nil {
		return Swept{}, fmt.Errorf("find overdue sittings: %w", err)
	}
	var done Swept
	var failed []error
	for _, id := range due {
		if err := a.handInIfDue(ctx, id); err != nil {
			failed = append(failed, fmt.Errorf("hand in overdue %s: %w", id, err))
			continue
		}
		done.HandedIn++
	}
	for _, id := range unmarked {
		if err := a.markIfUnmarked(ctx, id); err != nil {
			failed = append(failed, fmt.Errorf("mark %s: %w", id, err))
			continue
		}
		done.Marked++
	}
	for _, id := range unsettled {
		settled, err := a.settleIfDue(ctx, id)
		if err != nil {
			failed = append(failed, fmt.Errorf("settle %s: %w", id, err))
		}
		if settled {
			done.Settled++
		}
	}
	return done, errors.Join(failed...)
}

// handedAnswer is one answer in the record of a hand-in.
type handedAnswer struct {
	Sheet    int             `json:"sheet"`
	Revision int64           `json:"revision"`
	Answer   json.RawMessage `json:"answer"`
	Kept     int64           `json:"kept"` // microseconds since 1970
	Millis   int64           `json:"millis,omitempty"`
}

func encodeAnswers(kept []KeptAnswer) ([]byte, error) {
	all := make([]handedAnswer, len(kept))
	for i, k := range kept {
		all[i] = handedAnswer{Sheet: k.Sheet, Revision: k.Revision, Answer: k.Answer, Kept: k.Kept.UnixMicro(), Millis: k.Millis}
	}
	raw, err := json.Marshal(all)
	if err != nil {
		return nil, fmt.Errorf("encode answers: %w", err)
	}
	return raw, nil
}
