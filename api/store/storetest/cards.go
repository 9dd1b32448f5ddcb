package storetest

import (
	"crypto/sha256"
	"errors"
	"testing"

	"soloright/api"
	"soloright/content"
)

func card(id, person string, issued int) api.Card {
	code := sha256.Sum256([]byte(id))
	until, _ := content.ParseDate("2032-05-06")
	return api.Card{ID: id, Code: code[:], Person: person, Procedure: "pump", Revision: "1", Until: until, Issued: minutes(issued), By: "bo"}
}

// cards puts a valid and a revoked card in.
func (f fixture) cards() {
	f.t.Helper()
	f.tx(func(tx api.Tx) error {
		return errors.Join(tx.AddCard(background, card("k1", "ana", 1)), tx.AddCard(background, card("k2", "ana", 2)),
			tx.RevokeCard(background, api.CardRevocation{Card: "k1", At: minutes(2), By: "ana", Reason: "é"}))
	})
}

func cards(t *testing.T, db Database) {
	f := with(t, db.Open(t))
	f.cards()
	first, second, other := card("k1", "ana", 1), card("k2", "ana", 2), card("k0", "bo", 2)
	first.Revoked = &api.CardRevocation{Card: "k1", At: minutes(2), By: "ana", Reason: "é"}
	f.tx(func(tx api.Tx) error { return tx.AddCard(background, other) })

	forged := card("k9", "bo", 1)
	forged.Code = first.Code
	f.want(api.ErrExists, func(tx api.Tx) error { return tx.AddCard(background, forged) })
	f.want(api.ErrExists, func(tx api.Tx) error { return tx.AddCard(background, card("k2", "bo", 9)) })
	f.want(api.ErrNone, func(tx api.Tx) error { return tx.AddCard(background, card("k9", "nobody", 9)) })
	again := api.CardRevocation{Card: "k1", At: minutes(9), By: "bo", Reason: "x"}
	f.want(api.ErrExists, func(tx api.Tx) error { return tx.RevokeCard(background, again) })
	again.Card = "none"
	f.want(api.ErrNone, func(tx api.Tx) error { return tx.RevokeCard(background, again) })

	f.read(func(r api.Reader) error {
		one, err := r.Card(background, "k1")
		same(t, "a revoked card", one, first)
		by, err2 := r.CardByCode(background, second.Code)
		same(t, "a card by its code", by, second)
		all, err3 := r.CardsOf(background, "ana", "pump")
		same(t, "cards, newest first", all, []api.Card{second, first})
		walk, err4 := r.Cards(background, "k0", 1)
		same(t, "the next card", walk, []api.Card{first})
		_, none := r.Card(background, "k9")
		_, none2 := r.CardByCode(background, []byte("k1"))
		if !errors.Is(none, api.ErrNone) || !errors.Is(none2, api.ErrNone) {
			t.Errorf("no card: got %v and %v, want ErrNone", none, none2)
		}
		return errors.Join(err, err2, err3, err4)
	})
}
