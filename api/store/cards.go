package store

import (
	"context"
	"database/sql"

	"soloright/api"
	"soloright/content"
)

// cardRow is a row of cards with its row of card_revocations, if any.
type cardRow struct {
	ID        string           `db:"id"`
	Code      []byte           `db:"code"`
	Person    string           `db:"person"`
	Procedure string           `db:"procedure"`
	Revision  string           `db:"revision"`
	Until     string           `db:"until"`
	Issued    int64            `db:"issued"`
	By        string           `db:"issued_by"`
	Revoked   sql.Null[int64]  `db:"revoked"`
	RevokedBy sql.Null[string] `db:"revoked_by"`
	Reason    sql.Null[string] `db:"reason"`
}

// card is the row as a card. A last day that is no date was altered and reads as
// none; the check of the record then names the row.
func (r cardRow) card() api.Card {
	until, _ := content.ParseDate(r.Until)
	c := api.Card{ID: r.ID, Code: r.Code, Person: r.Person, Procedure: r.Procedure, Revision: r.Revision, Until: until, Issued: instant(r.Issued), By: r.By}
	if r.Revoked.Valid {
		c.Revoked = &api.CardRevocation{Card: r.ID, At: instant(r.Revoked.V), By: r.RevokedBy.V, Reason: r.Reason.V}
	}
	return c
}

const cardColumns = `
	SELECT id, code, person, procedure, revision, until, issued, issued_by, revoked, revoked_by, reason
	FROM cards LEFT JOIN card_revocations ON card = id`

var (
	oneCard = reads("read card", cardColumns+`
	WHERE id = ?`)

	cardByCode = reads("find card by its code", cardColumns+`
	WHERE code = ?`)

	cardsOf = reads("list cards of a person", cardColumns+`
	WHERE person = ? AND procedure = ?
	ORDER BY issued DESC, id DESC`)

	cardsAfter = reads("list cards", cardColumns+`
	WHERE id > ?
	ORDER BY id
	LIMIT ?`)
)

// Card reads a card.
func (r reader) Card(ctx context.Context, id string) (api.Card, error) {
	return r.card(ctx, oneCard, id)
}

// CardByCode finds a card by the SHA-256 of its code.
func (r reader) CardByCode(ctx context.Context, hash []byte) (api.Card, error) {
	return r.card(ctx, cardByCode, blob(hash))
}

func (r reader) card(ctx context.Context, s *statement, by any) (api.Card, error) {
	var row cardRow
	if err := r.get(ctx, &row, s, by); err != nil {
		return api.Card{}, err
	}
	return row.card(), nil
}

// CardsOf lists a person's cards on a procedure, newest first.
func (r reader) CardsOf(ctx context.Context, person, procedure string) ([]api.Card, error) {
	return r.cards(ctx, cardsOf, person, procedure)
}

// Cards lists cards by id, after one of them.
func (r reader) Cards(ctx context.Context, after string, limit int) ([]api.Card, error) {
	return r.cards(ctx, cardsAfter, after, limit)
}

func (r reader) cards(ctx context.Context, s *statement, args ...any) ([]api.Card, error) {
	var rows []cardRow
	if err := r.list(ctx, &rows, s, args...); err != nil {
		return nil, err
	}
	cards := make([]api.Card, len(rows))
	for i, row := range rows {
		cards[i] = row.card()
	}
	return cards, nil
}

var (
	addCard = writes("add card", `
	INSERT INTO cards (id, code, person, procedure, revision, until, issued, issued_by)
	VALUES (?, ?, ?, ?, ?, ?, ?, ?)
	ON CONFLICT DO NOTHING`)

	revokeCard = writes("revoke card", `
	INSERT INTO card_revocations (card, revoked, revoked_by, reason)
	VALUES (?, ?, ?, ?)
	ON CONFLICT DO NOTHING`)
)

// AddCard keeps a card for good. ErrExists where its id or its code is taken.
func (t txn) AddCard(ctx context.Context, c api.Card) error {
	return t.add(ctx, addCard, c.ID, blob(c.Code), c.Person, c.Procedure, c.Revision, c.Until.String(), micros(c.Issued), c.By)
}

// RevokeCard ends a card for good. ErrExists where it is revoked already, ErrNone
// where there is no such card.
func (t txn) RevokeCard(ctx context.Context, r api.CardRevocation) error {
	return t.add(ctx, revokeCard, r.Card, micros(r.At), r.By, r.Reason)
}
