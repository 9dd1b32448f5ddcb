package api

import "soloright/scoring/ledger"

func cardIssued(c Card) ledger.Entry {
	return ledger.Entry{Kind: ledger.CardIssued, ID: c.ID, At: c.Issued, Attributes: map[string]string{
		"by": c.By, "person": c.Person, "procedure": label(c.Procedure), "revision": label(c.Revision),
		"row": rowDigest(c.ID, c.Code, c.Person, c.Procedure, c.Revision, c.Until.String(), c.Issued, c.By)}}
}

func cardRevoked(r CardRevocation) ledger.Entry {
	return ledger.Entry{Kind: ledger.CardRevoked, ID: r.Card, At: r.At, Attributes: map[string]string{
		"by": r.By, "reason": digest([]byte(r.Reason)), "row": rowDigest(r.Card, r.At, r.By, r.Reason)}}
}

// card holds a card against its entry.
func (c *recordCheck) card(n int64, e ledger.Entry) error {
	what := "the card " + e.ID
	if !c.note(ledger.CardIssued, e.ID) {
		c.twice(n, what)
	}
	card, err := c.r.Card(c.ctx, e.ID)
	if stop, err := c.gone(err, n, what); stop || err != nil {
		return err
	}
	c.compare(n, what, e, cardIssued(card))
	return nil
}

// cardRevoked holds the revocation of a card against its entry.
func (c *recordCheck) cardRevoked(n int64, e ledger.Entry) error {
	what := "the revocation of the card " + e.ID
	if !c.note(ledger.CardRevoked, e.ID) {
		c.twice(n, what)
	}
	card, err := c.r.Card(c.ctx, e.ID)
	if err == nil && card.Revoked == nil {
		err = ErrNone
	}
	if stop, err := c.gone(err, n, what); stop || err != nil {
		return err
	}
	c.compare(n, what, e, cardRevoked(*card.Revoked))
	return nil
}

// everyCard looks for cards and revocations that no entry attests.
func (c *recordCheck) everyCard() error {
	const batch = 1000
	for after := ""; ; {
		cards, err := c.r.Cards(c.ctx, after, batch)
		if err != nil || len(cards) == 0 {
			return err
		}
		for _, card := range cards {
			c.records++
			if !c.has(ledger.CardIssued, card.ID) {
				c.unattested("the card " + card.ID)
			}
			if card.Revoked != nil && !c.has(ledger.CardRevoked, card.ID) {
				c.unattested("the revocation of the card " + card.ID)
			}
		}
		after = cards[len(cards)-1].ID
	}
}

// cardEntries are the entries of a card issued, and of one that it replaces.
func cardEntries(c Card, replaced *CardRevocation) []ledger.Entry {
	if replaced == nil {
		return []ledger.Entry{cardIssued(c)}
	}
	return []ledger.Entry{cardRevoked(*replaced), cardIssued(c)}
}
