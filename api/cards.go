package api

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"strings"
	"time"

	"soloright/content"
	"soloright/scoring/clearance"
)

// IssueCard is the command to issue a wallet card for a clearance.
type IssueCard struct {
	Person    string `json:"person" validate:"required,max=64"`
	Procedure string `json:"procedure" validate:"required,max=64"`
}

// RevokeCard is the command to end a card.
type RevokeCard struct {
	Card   string `json:"-" validate:"required,max=64"`
	Reason string `json:"reason" validate:"required,min=10,max=1000"`
}

// IssuedCard is a card with what stands on it. The code is known here and to
// whoever holds the card, nowhere else: a card that is lost is issued anew.
type IssuedCard struct {
	Card  Card
	Code  string // 26 letters and digits, 128 random bits
	Name  string
	Title string // of the procedure
}

// replaced is why the card before a new one ends.
const replaced = "a new card was issued"

// inOwnTx is inTx for whoever is signed in: what the caller may do depends on
// whose it is, and f judges that by mayFor.
func (a *App) inOwnTx(ctx context.Context, c Caller, f func(Tx, Actor) error) error {
	return a.store.InTx(ctx, func(tx Tx) error {
		w, err := a.actor(ctx, tx, c)
		if err != nil {
			return err
		}
		if err := a.touch(ctx, tx, w); err != nil {
			return err
		}
		return f(tx, w)
	})
}

// mayFor refuses whoever is neither the person nor may do the act for others.
func (w Actor) mayFor(person string, act Act) error {
	if !w.op && w.Person.ID == person {
		return nil
	}
	return w.may(act)
}

// IssueCard issues a wallet card to whoever is cleared on a procedure now: one's
// own, or anybody's for who manages cards. A card that is still valid for the
// same clearance is revoked with it. The code is returned this once.
func (a *App) IssueCard(ctx context.Context, c Caller, cmd IssueCard) (IssuedCard, error) {
	if err := check(cmd); err != nil {
		return IssuedCard{}, err
	}
	id, err := a.newID()
	if err != nil {
		return IssuedCard{}, err
	}
	code, err := a.newID()
	if err != nil {
		return IssuedCard{}, err
	}
	var out IssuedCard
	err = a.inOwnTx(ctx, c, func(tx Tx, w Actor) error {
		if err := errors.Join(w.named(), w.mayFor(cmd.Person, ManageCards)); err != nil {
			return err
		}
		if _, err := tx.LockLedger(ctx); err != nil { // one card at a time
			return err
		}
		s, err := a.clearedNow(ctx, tx, cmd)
		if err != nil {
			return err
		}
		card := Card{ID: id, Code: codeHash(code), Person: cmd.Person, Procedure: cmd.Procedure, Revision: s.Revision, Until: lastDay(s), Issued: a.now(), By: w.Person.ID}
		if out, err = a.onCard(ctx, tx, card, code); err != nil {
			return err
		}
		old, err := replace(ctx, tx, card)
		if err != nil {
			return err
		}
		if err := tx.AddCard(ctx, card); err != nil {
			return fmt.Errorf("issue a card: %w", err)
		}
		return a.attest(ctx, tx, cardEntries(card, old)...)
	})
	return out, err
}

// clearedNow is the standing of whoever is to get a card.
func (a *App) clearedNow(ctx context.Context, r Reader, cmd IssueCard) (s clearance.Standing, err error) {
	if err := procedureThere(ctx, r, cmd.Procedure); err != nil {
		return s, err
	}
	if s, err = a.standingNow(ctx, r, cmd.Person, cmd.Procedure); err != nil {
		return s, err
	}
	if !s.Cleared {
		return s, conflict(string(s.State), "There is no clearance to issue a card for: "+s.Reason+".")
	}
	return s, nil
}

func (a *App) standingNow(ctx context.Context, r Reader, person, procedure string) (s clearance.Standing, err error) {
	err = a.register.judge(ctx, r, func(f *registerCache) error {
		s = f.reg.Standing(person, procedure, a.now(), time.Time{})
		return nil
	})
	return s, err
}

// lastDay is the last day on which somebody cleared is so as the record stands:
// in the grace after a revision, its last day.
func lastDay(s clearance.Standing) content.Date {
	if !s.Due.IsZero() && s.Due.Before(s.Until) {
		return s.Due
	}
	return s.Until
}

// replace revokes the valid card of the same clearance, if there is one.
func replace(ctx context.Context, tx Tx, by Card) (*CardRevocation, error) {
	cards, err := tx.CardsOf(ctx, by.Person, by.Procedure)
	if err != nil {
		return nil, fmt.Errorf("find the card before: %w", err)
	}
	for _, old := range cards {
		if old.Revoked != nil {
			continue
		}
		r := CardRevocation{Card: old.ID, At: by.Issued, By: by.By, Reason: replaced}
		if err := tx.RevokeCard(ctx, r); err != nil {
			return nil, fmt.Errorf("revoke the card before: %w", err)
		}
		return &r, nil
	}
	return nil, nil
}

// onCard adds what is printed on a card.
func (a *App) onCard(ctx context.Context, r Reader, card Card, code string) (IssuedCard, error) {
	p, err := r.Person(ctx, card.Person)
	if err != nil {
		return IssuedCard{}, fmt.Errorf("read person of a card: %w", err)
	}
	proc, err := a.content.whole(ctx, r, card.Procedure, card.Revision)
	if err != nil {
		return IssuedCard{}, err
	}
	return IssuedCard{Card: card, Code: code, Name: p.Name, Title: proc.Title}, nil
}

// codeHash is the SHA-256 of a code, by which its card is found: the search in
// the index is for the hash, so how long it takes tells nothing of the code.
func codeHash(code string) []byte {
	sum := sha256.Sum256([]byte(strings.ToLower(code)))
	return sum[:]
}

// CardToPrint finds a valid card by its code, with what stands on it, for whoever
// might issue it.
func (a *App) CardToPrint(ctx context.Context, c Caller, code string) (IssuedCard, error) {
	var out IssuedCard
	err := a.read(ctx, c, "", func(r Reader, w Actor) error {
		card, err := validCard(ctx, r, code)
		if err != nil {
			return err
		}
		if err := w.mayFor(card.Person, ManageCards); err != nil {
			return err
		}
		out, err = a.onCard(ctx, r, card, code)
		return err
	})
	return out, err
}

// validCard finds a card that is not revoked; a revoked and an unknown code are
// told in the same words.
func validCard(ctx context.Context, r Reader, code string) (Card, error) {
	card, err := r.CardByCode(ctx, codeHash(code))
	if err != nil && !errors.Is(err, ErrNone) {
		return Card{}, fmt.Errorf("find a card: %w", err)
	}
	if err != nil || card.Revoked != nil {
		return Card{}, &Error{Kind: NotFound, Message: "This card is not valid: it was revoked, or there is no card with this code. Do not rely on it; ask the safety officer."}
	}
	return card, nil
}

// Cards returns the cards of a person on a procedure, newest first: one's own, or
// anybody's for who manages cards.
func (a *App) Cards(ctx context.Context, c Caller, person, procedure string) ([]Card, error) {
	var out []Card
	err := a.read(ctx, c, "", func(r Reader, w Actor) (err error) {
		if err := w.mayFor(person, ManageCards); err != nil {
			return err
		}
		out, err = r.CardsOf(ctx, person, procedure)
		return err
	})
	return out, err
}

// RevokeCard ends a card from now on, with a reason: one's own, or anybody's for
// who manages cards. One that is revoked already is a Conflict.
func (a *App) RevokeCard(ctx context.Context, c Caller, cmd RevokeCard) error {
	if err := check(cmd); err != nil {
		return err
	}
	return a.inOwnTx(ctx, c, func(tx Tx, w Actor) error {
		card, err := tx.Card(ctx, cmd.Card)
		if errors.Is(err, ErrNone) {
			return notFound("card")
		}
		if err != nil {
			return fmt.Errorf("read card %s: %w", cmd.Card, err)
		}
		if err := errors.Join(w.named(), w.mayFor(card.Person, ManageCards)); err != nil {
			return err
		}
		r := CardRevocation{Card: card.ID, At: a.now(), By: w.Person.ID, Reason: cmd.Reason}
		if err := tx.RevokeCard(ctx, r); errors.Is(err, ErrExists) {
			return conflict("revoked", "This card is revoked already.")
		} else if err != nil {
			return fmt.Errorf("revoke card %s: %w", card.ID, err)
		}
		return a.attest(ctx, tx, cardRevoked(r))
	})
}

// LiveCard is what a card's code shows to anybody: the standing now, and nothing
// more.
type LiveCard struct {
	At        time.Time
	Name      string
	Procedure string // its title
	Cleared   bool
	Until     content.Date // where cleared: the last day
}

// LiveCard returns the live standing behind a card's code. Nobody needs to be
// signed in: who holds the code holds the card. A revoked and an unknown code
// are NotFound in the same words.
func (a *App) LiveCard(ctx context.Context, code string) (LiveCard, error) {
	out := LiveCard{At: a.now()}
	err := a.store.Read(ctx, func(r Reader) error {
		card, err := validCard(ctx, r, code)
		if err != nil {
			return err
		}
		on, err := a.onCard(ctx, r, card, "")
		if err != nil {
			return err
		}
		s, err := a.standingNow(ctx, r, card.Person, card.Procedure)
		if err != nil {
			return err
		}
		out.Name, out.Procedure, out.Cleared = on.Name, on.Title, s.Cleared
		if s.Cleared {
			out.Until = lastDay(s)
		}
		return nil
	})
	return out, err
}
