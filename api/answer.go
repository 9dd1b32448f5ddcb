package api

import (
	"context"
	"errors"
	"fmt"
	"time"

	"soloright/quiz"
)

// SaveAnswer is the command to keep the answer of one sheet. Revision is the
// client's own counter: a save with an equal or lower one than what is kept is
// acknowledged and not applied, so a save may be sent again at will.
type SaveAnswer struct {
	Sitting  string      `json:"-" validate:"required,max=64"`
	Sheet    int         `json:"-" validate:"min=1,max=1000"`
	Revision int64       `json:"revision" validate:"min=1"`
	Answer   quiz.Answer `json:"answer" validate:"-"`
	Millis   int64       `json:"millis,omitempty" validate:"min=0,max=86400000"`
}

// Kept says what is kept of a sheet after a save.
type Kept struct {
	Sheet    int
	Revision int64 // of what is kept now
	Applied  bool  // false: an equal or newer revision was there already, or the answer is fixed
	At       time.Time
}

// SaveAnswer keeps an answer; when it returns nil the answer is durable. The
// sitting must be the caller's own (else NotFound) and open and in time (else
// Conflict, and the kept answers stay as they are). An answer that cannot be
// read is Invalid and nothing of it is kept.
func (a *App) SaveAnswer(ctx context.Context, c Caller, cmd SaveAnswer) (Kept, error) {
	if err := check(cmd); err != nil {
		return Kept{}, err
	}
	var k Kept
	err := a.inTx(ctx, c, Sit, func(tx Tx, w Actor) (err error) {
		if err := a.answerable(ctx, tx, w, cmd.Sitting, tx.OpenShared); err != nil {
			return err
		}
		k, err = a.putAnswer(ctx, tx, cmd)
		return err
	})
	if errors.Is(err, errTimeUp) {
		return Kept{}, errors.Join(err, a.handInIfDue(ctx, cmd.Sitting))
	}
	return k, err
}

// errTimeUp is what an answer meets that comes after the deadline.
var errTimeUp = conflict(string(StateHandedIn), "The time of this sitting is up. It was handed in as it stood; what was kept before stays.")

// answerable holds the sitting open for this transaction, shared or exclusively,
// and says why not where it cannot.
func (a *App) answerable(ctx context.Context, tx Tx, w Actor, id string, hold func(context.Context, string) (Open, error)) error {
	o, err := hold(ctx, id)
	if errors.Is(err, ErrNone) {
		s, err := tx.Sitting(ctx, id)
		if errors.Is(err, ErrNone) || err == nil && s.Person != w.Person.ID {
			return notFound("sitting")
		}
		if err != nil {
			return fmt.Errorf("read sitting %s: %w", id, err)
		}
		return conflict(string(s.State), "This sitting is handed in. Its answers stay as they were kept.")
	}
	if err != nil {
		return fmt.Errorf("read sitting %s: %w", id, err)
	}
	if o.Person != w.Person.ID {
		return notFound("sitting")
	}
	if !a.now().Before(o.Deadline) {
		return errTimeUp
	}
	return nil
}

func (a *App) putAnswer(ctx context.Context, tx Tx, cmd SaveAnswer) (Kept, error) {
	form, err := a.forms.form(ctx, tx, cmd.Sitting)
	if err != nil {
		return Kept{}, err
	}
	if cmd.Sheet > len(form.Items) {
		return Kept{}, notFound("sheet")
	}
	if err := quiz.CheckAnswer(form.Items[cmd.Sheet-1].Interaction, cmd.Answer); err != nil {
		return Kept{}, unreadable(err)
	}
	k := KeptAnswer{Sheet: cmd.Sheet, Revision: cmd.Revision, Answer: cmd.Answer.Canonical(), Kept: a.now(), Millis: cmd.Millis}
	applied, err := tx.PutAnswer(ctx, cmd.Sitting, k)
	if err != nil {
		return Kept{}, fmt.Errorf("keep answer %s/%d: %w", cmd.Sitting, cmd.Sheet, err)
	}
	if !applied {
		return a.keptBefore(ctx, tx, cmd)
	}
	return Kept{Sheet: k.Sheet, Revision: k.Revision, Applied: true, At: k.Kept}, nil
}

// keptBefore says what stands where a save was not applied.
func (a *App) keptBefore(ctx context.Context, r Reader, cmd SaveAnswer) (Kept, error) {
	all := map[int]KeptAnswer{}
	if err := a.addAnswers(ctx, r, cmd.Sitting, all); err != nil {
		return Kept{}, err
	}
	k := all[cmd.Sheet]
	return Kept{Sheet: k.Sheet, Revision: k.Revision, At: k.Kept}, nil
}

// unreadable turns an answer that cannot be read into Invalid with its field.
func unreadable(err error) error {
	var bad *quiz.AnswerError
	if errors.As(err, &bad) {
		return invalid("answer."+bad.Field, bad.Message)
	}
	return fmt.Errorf("check answer: %w", err)
}
