package api

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"soloright/content"
	"soloright/quiz"
	"soloright/scoring"
)

// ConfirmWithin is how long after the hand-in the confirming step may be begun:
// it belongs to the same try.
const ConfirmWithin = time.Hour

// Result is a marked sitting as it may be seen: in a qualifying sitting the
// facts to learn again with their steps, in practice also the sheets with their
// keys.
type Result struct {
	Sitting   Sitting
	Person    Person
	Procedure *content.Procedure
	HandIn    HandIn // without Answers
	Marked    time.Time
	Outcome   scoring.Outcome
	Final     scoring.Verdict // with the confirming step taken into account
	Confirm   *Sitting        // the confirming sitting, where one was begun
	ConfirmBy time.Time       // until when it may be begun; zero where there is nothing to confirm
	Void      *Void
	Review    []ReviewSheet // practice only
}

// ReviewSheet is one sheet after marking, with key and explanation.
type ReviewSheet struct {
	Item   quiz.Item
	Answer quiz.Answer
	Marked scoring.Marked
}

// Result returns the result of a marked sitting: the caller's own, or anybody's
// for who may read results. Before the hand-in it is a Conflict.
func (a *App) Result(ctx context.Context, c Caller, id string) (Result, error) {
	if err := a.handInIfDue(ctx, id); err != nil {
		return Result{}, err
	}
	if err := a.confirmIfDue(ctx, id); err != nil {
		return Result{}, err
	}
	var res Result
	err := a.read(ctx, c, "", func(r Reader, w Actor) error {
		s, err := sittingOf(ctx, r, w, id)
		if err != nil {
			return err
		}
		if s.State == StateOpen || s.State == StateHandedIn {
			return conflict(string(s.State), "This sitting has no result yet.")
		}
		if s.Mode == Practice && s.Person == w.Person.ID { // it shows keys
			if err := a.closedBook(ctx, r, w, s.Procedure); err != nil {
				return err
			}
		}
		res, err = a.result(ctx, r, s)
		return err
	})
	return res, err
}

func (a *App) result(ctx context.Context, r Reader, s Sitting) (Result, error) {
	res := Result{Sitting: s}
	var err error
	if res.Person, err = r.Person(ctx, s.Person); err != nil {
		return res, fmt.Errorf("read person of %s: %w", s.ID, err)
	}
	if res.Procedure, err = a.content.whole(ctx, r, s.Procedure, s.Revision); err != nil {
		return res, err
	}
	if res.HandIn, err = r.HandIn(ctx, s.ID); err != nil {
		return res, fmt.Errorf("read hand-in of %s: %w", s.ID, err)
	}
	marks, err := r.Marks(ctx, s.ID)
	if err != nil || len(marks) == 0 {
		return res, fmt.Errorf("read marks of %s: %w", s.ID, errors.Join(err, ErrNone))
	}
	last := marks[len(marks)-1]
	if err := json.Unmarshal(last.Outcome, &res.Outcome); err != nil {
		return res, fmt.Errorf("decode marks of %s: %w", s.ID, err)
	}
	res.Marked = last.At
	if err := a.addReview(ctx, r, &res); err != nil {
		return res, err
	}
	if res.Void, err = voidOf(ctx, r, s.ID); err != nil {
		return res, err
	}
	return res, a.addFinal(ctx, r, &res)
}

// addReview shows sheets with keys, in practice only.
func (a *App) addReview(ctx context.Context, r Reader, res *Result) error {
	if res.Sitting.Mode != Practice {
		return nil
	}
	form, answers, err := a.handed(ctx, r, res.Sitting.ID)
	if err != nil {
		return err
	}
	for i, it := range form.Items {
		res.Review = append(res.Review, ReviewSheet{Item: it, Answer: answers[i+1], Marked: res.Outcome.Items[i]})
	}
	return nil
}

// addFinal works out the verdict with the confirming step.
func (a *App) addFinal(ctx context.Context, r Reader, res *Result) error {
	final, confirm, err := a.final(ctx, r, res.Outcome.Verdict, res.Sitting.ID, res.HandIn.At)
	if err != nil {
		return err
	}
	res.Final, res.Confirm, res.Sitting.Final = final, confirm, string(final)
	if res.Outcome.Verdict == scoring.ToConfirm {
		res.ConfirmBy = res.HandIn.At.Add(ConfirmWithin)
	}
	return nil
}

// final is what becomes of a verdict with the confirming step, and the
// confirming sitting where one was begun: a sitting to confirm has passed or
// failed with it, and has failed where the hour for it went by.
func (a *App) final(ctx context.Context, r Reader, v scoring.Verdict, id string, handed time.Time) (scoring.Verdict, *Sitting, error) {
	if v != scoring.ToConfirm {
		return v, nil, nil
	}
	all, err := r.Sittings(ctx, SittingFilter{Confirms: id})
	if err != nil {
		return v, nil, fmt.Errorf("find confirming sitting of %s: %w", id, err)
	}
	if len(all) == 0 {
		if !a.now().Before(handed.Add(ConfirmWithin)) {
			v = scoring.Failed
		}
		return v, nil, nil
	}
	switch all[0].State {
	case StateMarked:
		v = scoring.Verdict(all[0].Verdict)
	case StateVoid:
		v = scoring.Failed
	}
	return v, &all[0], nil
}

func voidOf(ctx context.Context, r Reader, id string) (*Void, error) {
	v, err := r.Void(ctx, id)
	if errors.Is(err, ErrNone) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("read void of %s: %w", id, err)
	}
	return &v, nil
}

// OpenConfirming begins the confirming step of the caller's own sitting: two
// fresh items for each critical fact missed, all of which must be right. Begun
// once, it is returned again.
func (a *App) OpenConfirming(ctx context.Context, c Caller, id string) (Sitting, error) {
	seed, err := a.newSeed()
	if err != nil {
		return Sitting{}, err
	}
	newID, err := a.newID()
	if err != nil {
		return Sitting{}, err
	}
	var s Sitting
	err = a.inTx(ctx, c, Sit, func(tx Tx, w Actor) error {
		// The hour may end just now: nobody settles the sitting meanwhile.
		if _, err := tx.LockLedger(ctx); err != nil {
			return err
		}
		first, err := sittingOf(ctx, tx, w, id)
		if err != nil {
			return err
		}
		if first.Person != w.Person.ID || first.State != StateMarked || first.Mode != Qualifying {
			return notFound("sitting to confirm")
		}
		res, err := a.result(ctx, tx, first)
		if err != nil {
			return err
		}
		if res.Confirm != nil {
			s = *res.Confirm
			return nil
		}
		if res.Final != scoring.ToConfirm {
			return conflict(string(res.Final), "There is nothing to confirm, or the hour for it is over.")
		}
		s, err = a.confirm(ctx, tx, res, newID, seed)
		return err
	})
	return s, err
}

func (a *App) confirm(ctx context.Context, tx Tx, res Result, id string, seed quiz.Seed) (Sitting, error) {
	first := res.Sitting
	e, err := a.content.edition(ctx, tx, first.Procedure, first.Revision, first.Build)
	if err != nil {
		return Sitting{}, err
	}
	h, err := history(ctx, tx, first.Person, first.Procedure, a.now())
	if err != nil {
		return Sitting{}, err
	}
	bank, err := a.writing(ctx, tx, e)
	if err != nil {
		return Sitting{}, err
	}
	form, err := quiz.Confirming(bank, missedCriticals(res.Outcome), h, seed)
	if err != nil {
		return Sitting{}, unmet(err)
	}
	return a.keepSitting(ctx, tx, Sitting{ID: id, Person: first.Person, Build: first.Build, Mode: first.Mode, Confirms: first.ID}, form)
}

func missedCriticals(out scoring.Outcome) []content.FactID {
	ids := make([]content.FactID, len(out.Critical))
	for i, m := range out.Critical {
		ids[i] = m.Fact
	}
	return ids
}

// confirmIfDue hands in a confirming sitting whose time is up.
func (a *App) confirmIfDue(ctx context.Context, id string) error {
	var open []Sitting
	err := a.store.Read(ctx, func(r Reader) (err error) {
		open, err = r.Sittings(ctx, SittingFilter{Confirms: id})
		return err
	})
	if err != nil {
		return fmt.Errorf("find confirming sitting of %s: %w", id, err)
	}
	for _, s := range open {
		if err := a.handInIfDue(ctx, s.ID); err != nil {
			return err
		}
	}
	return nil
}
