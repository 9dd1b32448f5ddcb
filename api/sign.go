package api

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"time"

	"soloright/scoring/clearance"
	"soloright/scoring/ledger"
)

// A session alone signs nothing: whoever picks up a tablet that lies on the bench
// has one. So the password is asked for again before every signature. A wrong one
// goes on the record.
const (
	mostRefused = 5         // wrong passwords at signing
	refusedFor  = time.Hour // within which they count
)

// again checks that the caller knows the password of the account that the session
// is of, before the act about which it is: a word or two for the record, such as
// "rebuild " and its id. The use case that it stands in front of asks again, in
// its own transaction, who the caller is. A wrong password is Invalid, and both a
// row and an entry of the ledger say so; the fifth within an hour ends the
// session, and until the hour is over every password is TooMany.
//
// The hash is worked out outside of any transaction, one for each person at a
// time, so that many guesses at once get no further than one after the other.
func (a *App) again(ctx context.Context, c Caller, password, about string) error {
	who, err := a.account(ctx, c)
	if err != nil {
		return err
	}
	done, err := a.proofs.turn(ctx, who.ID)
	if err != nil {
		return err
	}
	defer done()
	if err := a.store.Read(ctx, func(r Reader) error { return a.notTooOften(ctx, r, who.ID) }); err != nil {
		return err
	}
	ok, err := a.passwords.Verify(ctx, who.Password, password)
	if err != nil {
		return fmt.Errorf("check password: %w", err)
	}
	if ok {
		return nil
	}
	return a.refuse(ctx, c, about)
}

// account is the caller's account; whoever runs the program has none.
func (a *App) account(ctx context.Context, c Caller) (Person, error) {
	var p Person
	err := a.read(ctx, c, "", func(_ Reader, w Actor) error {
		p = w.Person
		return w.named()
	})
	return p, err
}

// notTooOften is TooMany while there are too many wrong passwords within the hour.
func (a *App) notTooOften(ctx context.Context, r Reader, person string) error {
	now := a.now()
	wrong, err := r.RefusedPasswords(ctx, person, now.Add(-refusedFor))
	if err != nil {
		return fmt.Errorf("count refused passwords: %w", err)
	}
	if len(wrong) < mostRefused {
		return nil
	}
	open := wrong[len(wrong)-mostRefused].Add(refusedFor).In(a.zone)
	return &Error{Kind: TooMany, Message: "Five wrong passwords within an hour: nothing can be signed in your name until " + open.Format("15:04:05") + ". Nothing was signed."}
}

// refuse puts on the record that a password was wrong.
func (a *App) refuse(ctx context.Context, c Caller, about string) error {
	id, err := a.newID()
	if err != nil {
		return err
	}
	left := 0
	err = a.inTx(ctx, c, "", func(tx Tx, w Actor) error {
		if _, err := tx.LockLedger(ctx); err != nil {
			return err
		}
		p := RefusedPassword{ID: id, Person: w.Person.ID, At: a.now(), About: about}
		before, err := tx.RefusedPasswords(ctx, p.Person, p.At.Add(-refusedFor))
		if err != nil {
			return err
		}
		left = mostRefused - 1 - len(before)
		if err := tx.AddRefusedPassword(ctx, p); err != nil {
			return err
		}
		if left <= 0 {
			if err := tx.EndSession(ctx, w.Session.Hash); err != nil {
				return err
			}
		}
		return a.attest(ctx, tx, passwordRefused(p, w.by()))
	})
	if err != nil {
		return fmt.Errorf("record a refused password: %w", err)
	}
	if left <= 0 {
		return invalid("password", "The password is wrong, for the fifth time within an hour. Nothing was signed, and you are signed out.")
	}
	return invalid("password", fmt.Sprintf("The password is wrong. Nothing was signed. After %d more wrong ones nothing can be signed for an hour.", left))
}

func passwordRefused(p RefusedPassword, by string) ledger.Entry {
	return ledger.Entry{Kind: ledger.PasswordRefused, ID: p.Person, At: p.At, Attributes: map[string]string{
		"by": by, "refusal": p.ID, "about": label(p.About), "row": rowDigest(p.ID, p.Person, p.At, p.About)}}
}

// sign puts a signature on the record: its row, the entry that attests the row and
// the act for the fold. The caller of sign has proved anew who it is (see again),
// holds the ledger, has judged that this person may sign this now, and passes what
// it returns to withActs. It is ErrExists where the thing bears a signature of that
// meaning already; one by the same person under the same digest is no new one: ok
// is false and nothing is to be put on the record.
func (a *App) sign(ctx context.Context, tx Tx, w Actor, covers clearance.Covered, m clearance.Meaning, technician string) (s Signature, e ledger.Entry, act newAct, ok bool, err error) {
	given, err := tx.Signatures(ctx, covers.Kind, covers.ID)
	if err != nil {
		return s, e, act, false, fmt.Errorf("read signatures: %w", err)
	}
	for _, g := range given {
		if g.Meaning == m && g.Signer == w.Person.ID && g.Covers == covers {
			return g, e, act, false, nil
		}
	}
	s = Signature{Covers: covers, Meaning: m, Signer: w.Person.ID, Name: w.Person.Name, Role: w.Person.Role, Technician: technician, At: a.now()}
	if err := tx.AddSignature(ctx, s); err != nil {
		return s, e, act, false, fmt.Errorf("sign: %w", err)
	}
	act = newAct{act: clearance.Signed{Covers: covers, Signer: s.Signer, Role: string(s.Role), Meaning: m, Technician: technician, Proof: "password"}}
	return s, signatureGiven(s, w.by()), act, true, nil
}

func signatureGiven(s Signature, by string) ledger.Entry {
	return ledger.Entry{Kind: ledger.SignatureGiven, ID: s.Covers.ID, At: s.At, Attributes: map[string]string{
		"by": by, "covers": s.Covers.Kind, "meaning": string(s.Meaning), "digest": s.Covers.Digest,
		"row": rowDigest(s.Covers.Kind, s.Covers.ID, string(s.Meaning), s.Signer, s.Name, string(s.Role), s.Technician, s.At, s.Covers.Digest)}}
}

// turns lets one at a time through for each name.
type turns struct {
	mu  sync.Mutex
	all map[string]chan struct{}
}

// turn waits for a turn; done ends it. The error is that of the context.
func (t *turns) turn(ctx context.Context, name string) (done func(), err error) {
	t.mu.Lock()
	if t.all == nil {
		t.all = map[string]chan struct{}{}
	}
	one := t.all[name]
	if one == nil {
		one = make(chan struct{}, 1)
		t.all[name] = one
	}
	t.mu.Unlock()
	select {
	case one <- struct{}{}:
		return func() { <-one }, nil
	case <-ctx.Done():
		return nil, errors.Join(errors.New("wait for a turn"), context.Cause(ctx))
	}
}
