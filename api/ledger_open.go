package api

import (
	"context"
	"errors"
	"fmt"

	"soloright/scoring/ledger"
)

// BeginLedger makes sure that the record is kept under this application's key:
// an empty ledger begins with it, by an entry of its own; one that another key
// signs is refused. It is to be called before anything is put on the record.
func (a *App) BeginLedger(ctx context.Context) error {
	if a.signer == nil {
		return errors.New("begin the ledger: no key is given")
	}
	return a.store.InTx(ctx, func(tx Tx) error {
		head, err := tx.LockLedger(ctx)
		if err != nil {
			return err
		}
		keys, err := tx.LedgerKeys(ctx)
		if err != nil {
			return err
		}
		switch {
		case len(keys) == 0 && head.Size == 0:
			return a.firstKey(ctx, tx)
		case len(keys) == 0:
			return fmt.Errorf("the ledger has %d entries and no key: its keys were removed", head.Size)
		case keys.Current() != a.signer.Verifier():
			return &WrongKey{Want: keys.Current(), Have: a.signer.Verifier()}
		}
		return nil
	})
}

// WrongKey says that the ledger is signed by another key than the one given.
type WrongKey struct{ Want, Have string } // public keys

func (e *WrongKey) Error() string {
	return fmt.Sprintf("the ledger is signed by the key %s, and the one given is %s: give the private key that belongs to the first", e.Want, e.Have)
}

// firstKey begins an empty ledger.
func (a *App) firstKey(ctx context.Context, tx Tx) error {
	verifier := a.signer.Verifier()
	if err := tx.AddLedgerKey(ctx, ledger.Key{Verifier: verifier}); err != nil {
		return fmt.Errorf("keep the key of the ledger: %w", err)
	}
	return a.attest(ctx, tx, ledger.Entry{Kind: ledger.KeyMade, ID: keySubject(verifier), At: a.now(),
		Attributes: map[string]string{"by": byProgram, "key": ledger.KeyDigest(verifier)}})
}

// keySubject is the id of a key in entries.
func keySubject(verifier string) string { return "key-" + ledger.KeyDigest(verifier)[:16] }

// RotateKey hands the ledger over to the next key, which has the same name. Only
// whoever runs the program may. From the commit on this application, and every
// other that holds the old key, puts nothing on the record any more.
func (a *App) RotateKey(ctx context.Context, c Caller, next *ledger.Signer) (ledger.Key, error) {
	if !c.operator {
		return ledger.Key{}, &Error{Kind: Forbidden, Message: "Only whoever runs the program may change the key of the ledger."}
	}
	var key ledger.Key
	err := a.store.InTx(ctx, func(tx Tx) error {
		before, err := tx.LockLedger(ctx)
		if err != nil {
			return err
		}
		if err := vouch(before, a.signer); err != nil {
			return err
		}
		e := ledger.Entry{ID: keySubject(next.Verifier()), At: a.now(), Attributes: map[string]string{"by": byOperator}}
		r, err := a.signer.Rotate(before.Head, e, next)
		if err != nil {
			return err
		}
		key = r.Key
		return putRotation(ctx, tx, r, next)
	})
	return key, err
}

func putRotation(ctx context.Context, tx Tx, r ledger.Rotation, next *ledger.Signer) error {
	e, err := ledger.Parse(r.Entry)
	if err != nil {
		return err
	}
	checkpoint, err := next.Sign(r.Head)
	if err != nil {
		return err
	}
	if err := tx.AddLedgerKey(ctx, r.Key); err != nil {
		return fmt.Errorf("keep the next key of the ledger: %w", err)
	}
	rows := ledgerRows(r.Head.Size-1, []ledger.Entry{e}, [][]byte{r.Entry}, r.Stored)
	return tx.PutLedger(ctx, LedgerHead{Head: r.Head, Checkpoint: checkpoint}, rows)
}
