package api

import (
	"context"
	"time"

	"soloright/content"
)

// Card is a wallet card as it was issued. Its code is kept nowhere, only the
// SHA-256 of it.
type Card struct {
	ID        string
	Code      []byte // SHA-256 of the code
	Person    string
	Procedure string
	Revision  string       // as printed
	Until     content.Date // as printed
	Issued    time.Time
	By        string
	Revoked   *CardRevocation // nil while valid; not written with the card
}

// CardRevocation ends a card, with a reason.
type CardRevocation struct {
	Card   string
	At     time.Time
	By     string
	Reason string
}

// CardReader is what may be read of wallet cards.
type CardReader interface {
	Card(ctx context.Context, id string) (Card, error)
	// CardByCode finds a card by the SHA-256 of its code.
	CardByCode(ctx context.Context, hash []byte) (Card, error)
	// CardsOf returns a person's cards on a procedure, newest first.
	CardsOf(ctx context.Context, person, procedure string) ([]Card, error)
	// Cards returns at most limit cards, by id, after the given one: to walk through all.
	Cards(ctx context.Context, after string, limit int) ([]Card, error)
}

// CardWriter is what may be written of wallet cards; both are append-only.
type CardWriter interface {
	AddCard(ctx context.Context, c Card) error
	RevokeCard(ctx context.Context, r CardRevocation) error // ErrExists where it is revoked already
}
