package api

import (
	"context"
	"time"

	"soloright/content"
	"soloright/quiz"
)

// ItemSubject is what may be withdrawn: an item model on a fact, or one item of
// it, on one revision of a procedure or on all of them.
type ItemSubject struct {
	Procedure string         `json:"procedure" validate:"required,max=64"`
	Revision  string         `json:"revision,omitempty" validate:"max=64"` // empty: every revision
	Fact      content.FactID `json:"fact" validate:"required,max=400"`
	Model     string         `json:"model" validate:"required,max=64"`
	Item      string         `json:"item,omitempty" validate:"max=128"` // empty: every item of the model on the fact
}

// withdrawn is the subject as a bank knows it.
func (s ItemSubject) withdrawn() quiz.Withdrawn {
	return quiz.Withdrawn{Fact: s.Fact, Model: s.Model, Item: s.Item}
}

// Withdrawal says that a subject is withdrawn, or taken up again. Of several of
// one subject the last one stands.
type Withdrawal struct {
	ItemSubject
	N         int       `json:"n"` // 1, 2 … of the subject
	Withdrawn bool      `json:"withdrawn"`
	At        time.Time `json:"at"`
	By        string    `json:"by"` // person id; empty: whoever runs the program
	Reason    string    `json:"reason"`
}

// WithdrawalReader is what may be read of withdrawals.
type WithdrawalReader interface {
	// Withdrawals returns every withdrawal of a procedure, of every one where it is
	// empty, by subject and number.
	Withdrawals(ctx context.Context, procedure string) ([]Withdrawal, error)
	// SittingsWith returns the ids of the sittings, open ones too, whose forms hold
	// the subject, by id.
	SittingsWith(ctx context.Context, s ItemSubject) ([]string, error)
}

// WithdrawalWriter is the port's other side.
type WithdrawalWriter interface {
	AddWithdrawal(ctx context.Context, w Withdrawal) error // ErrExists where the subject has that number
}
