package api

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"time"

	"soloright/content"
	"soloright/quiz"
	"soloright/scoring/ledger"
)

// WithdrawCommand is the command to withdraw an item model on a fact or one item,
// or to take it up again.
type WithdrawCommand struct {
	ItemSubject
	Reason string `json:"reason" validate:"required,min=10,max=1000"`
}

// WithdrawItem withdraws a subject, with a reason: from then on no form writes it.
// Forms that are set already, and markings, stay as they are; see [App.Remark].
// A subject that is withdrawn already is a Conflict.
func (a *App) WithdrawItem(ctx context.Context, c Caller, cmd WithdrawCommand) (Withdrawal, error) {
	return a.decideOnItem(ctx, c, cmd, true)
}

// TakeUpItem ends a withdrawal, with a reason. A subject that is not withdrawn is
// a Conflict.
func (a *App) TakeUpItem(ctx context.Context, c Caller, cmd WithdrawCommand) (Withdrawal, error) {
	return a.decideOnItem(ctx, c, cmd, false)
}

func (a *App) decideOnItem(ctx context.Context, c Caller, cmd WithdrawCommand, withdraw bool) (Withdrawal, error) {
	if err := check(cmd); err != nil {
		return Withdrawal{}, err
	}
	var w Withdrawal
	err := a.inTx(ctx, c, WithdrawItems, func(tx Tx, who Actor) error {
		if err := a.checkSubject(ctx, tx, cmd.ItemSubject); err != nil {
			return err
		}
		last, err := lastWithdrawal(ctx, tx, cmd.ItemSubject)
		if err != nil {
			return err
		}
		switch {
		case withdraw && last.Withdrawn:
			return conflict("withdrawn", "This is withdrawn already.")
		case !withdraw && !last.Withdrawn:
			return conflict("in use", "This is not withdrawn.")
		}
		w = Withdrawal{ItemSubject: cmd.ItemSubject, N: last.N + 1, Withdrawn: withdraw, At: a.now(), By: who.Person.ID, Reason: cmd.Reason}
		err = tx.AddWithdrawal(ctx, w)
		if errors.Is(err, ErrExists) {
			return conflict("changed", "Somebody else decided on this just now. Look again.")
		}
		if err != nil {
			return fmt.Errorf("keep withdrawal of %s on %s: %w", w.Model, w.Fact, err)
		}
		return a.attest(ctx, tx, itemWithdrawn(w, who.by()))
	})
	return w, err
}

// checkSubject refuses what no form could ever hold: a revision or a fact that is
// not there, a model that does not write on it, an item that was never set.
func (a *App) checkSubject(ctx context.Context, r Reader, s ItemSubject) error {
	revision := s.Revision
	if revision == "" {
		rev, err := a.current(ctx, r, s.Procedure)
		if err != nil {
			return err
		}
		revision = rev.Revision
	}
	p, err := a.content.whole(ctx, r, s.Procedure, revision)
	if err != nil {
		return err
	}
	can, err := a.canWrite(ctx, r, p, s)
	if err != nil {
		return err
	}
	if !can {
		return &Error{Kind: Invalid, Message: "No form can hold this.", Fields: []FieldError{{Field: "model",
			Message: fmt.Sprintf("revision %s has no such fact, or this model writes nothing on it; name the revision where an older one has", revision)}}}
	}
	if s.Item == "" {
		return nil
	}
	held, err := r.SittingsWith(ctx, s)
	if err != nil {
		return fmt.Errorf("find sittings with %s: %w", s.Item, err)
	}
	if len(held) == 0 {
		return &Error{Kind: Invalid, Message: "No form has held this item.", Fields: []FieldError{{Field: "item", Message: "no form of this fact and model has held an item of that id"}}}
	}
	return nil
}

func (a *App) canWrite(ctx context.Context, r Reader, p *content.Procedure, s ItemSubject) (bool, error) {
	for _, build := range p.BuildIDs() {
		e, err := a.content.edition(ctx, r, p.ID, p.Revision, build)
		if err != nil {
			return false, err
		}
		if slices.ContainsFunc(e.Bank.FamiliesOf(s.Fact), func(f quiz.Family) bool { return f.Model.Name() == s.Model }) {
			return true, nil
		}
	}
	return false, nil
}

// lastWithdrawal is what stands of a subject; zero where nothing was decided.
func lastWithdrawal(ctx context.Context, r Reader, s ItemSubject) (Withdrawal, error) {
	all, err := r.Withdrawals(ctx, s.Procedure)
	if err != nil {
		return Withdrawal{}, fmt.Errorf("read withdrawals of %s: %w", s.Procedure, err)
	}
	var last Withdrawal
	for _, w := range all {
		if w.ItemSubject == s {
			last = w
		}
	}
	return last, nil
}

// standingWithdrawals are the withdrawals that stand, of those of a procedure.
func standingWithdrawals(all []Withdrawal) []Withdrawal {
	last := map[ItemSubject]int{}
	for i, w := range all {
		last[w.ItemSubject] = i
	}
	var out []Withdrawal
	for i, w := range all {
		if last[w.ItemSubject] == i && w.Withdrawn {
			out = append(out, w)
		}
	}
	return out
}

// writing is the bank from which forms of an edition are written now: without what
// is withdrawn.
func (a *App) writing(ctx context.Context, r Reader, e *Edition) (*quiz.Bank, error) {
	p := e.Source.Procedure
	all, err := r.Withdrawals(ctx, p.ID)
	if err != nil {
		return nil, fmt.Errorf("read withdrawals of %s: %w", p.ID, err)
	}
	var list []quiz.Withdrawn
	for _, w := range standingWithdrawals(all) {
		if w.Revision == "" || w.Revision == p.Revision {
			list = append(list, w.withdrawn())
		}
	}
	return e.Bank.Without(list), nil
}

// withdrawnBy is an error that names the first of the sheets of a sitting that
// nobody had withdrawn by a time.
func (a *App) withdrawnBy(ctx context.Context, r Reader, s Sitting, sheets []int, at time.Time) error {
	if len(sheets) == 0 {
		return nil
	}
	form, err := a.forms.form(ctx, r, s.ID)
	if err != nil {
		return err
	}
	all, err := r.Withdrawals(ctx, s.Procedure)
	if err != nil {
		return fmt.Errorf("read withdrawals of %s: %w", s.Procedure, err)
	}
	for _, n := range sheets {
		if n < 1 || n > len(form.Items) || !slices.ContainsFunc(all, func(w Withdrawal) bool {
			return w.Withdrawn && !w.At.After(at) && w.covers(s.Revision, form.Items[n-1])
		}) {
			return fmt.Errorf("sheet %d is left out, and nobody had withdrawn its item by then", n)
		}
	}
	return nil
}

// covers reports whether the subject is the item, as a form of the revision holds it.
func (s ItemSubject) covers(revision string, it quiz.Item) bool {
	return (s.Revision == "" || s.Revision == revision) && s.withdrawn().Covers(it)
}

// Withdrawals returns every withdrawal of a procedure with its end, by subject, for
// who may withdraw items or mark again.
func (a *App) Withdrawals(ctx context.Context, c Caller, procedure string) ([]Withdrawal, error) {
	var out []Withdrawal
	err := a.read(ctx, c, "", func(r Reader, w Actor) (err error) {
		if w.may(WithdrawItems) != nil {
			if err := w.may(MarkAgain); err != nil {
				return err
			}
		}
		if _, err := a.current(ctx, r, procedure); err != nil {
			return err
		}
		out, err = r.Withdrawals(ctx, procedure)
		return err
	})
	return out, err
}

// orEvery is a label, or * where nothing is named.
func orEvery(s string) string { return cmp.Or(label(s), "*") }

// itemWithdrawn attests a withdrawal or its end.
func itemWithdrawn(w Withdrawal, by string) ledger.Entry {
	kind := ledger.ItemTakenUp
	if w.Withdrawn {
		kind = ledger.ItemWithdrawn
	}
	return ledger.Entry{Kind: kind, ID: label(w.Procedure), At: w.At, Attributes: map[string]string{
		"by": by, "revision": orEvery(w.Revision), "fact": label(string(w.Fact)), "model": label(w.Model), "item": orEvery(w.Item), "n": strconv.Itoa(w.N),
		"reason": digest([]byte(w.Reason)),
		"row":    rowDigest(w.Procedure, w.Revision, string(w.Fact), w.Model, w.Item, w.N, w.Withdrawn, w.At, w.By, w.Reason)}}
}
