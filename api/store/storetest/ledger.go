package storetest

import (
	"bytes"
	"errors"
	"fmt"
	"testing"

	"soloright/api"
	"soloright/scoring/ledger"
)

// Signer is the key of every ledger in the tests, always the same.
func Signer() *ledger.Signer { return signerFrom(7) }

func signerFrom(seed byte) *ledger.Signer {
	key, _, err := ledger.NewKey(bytes.NewReader(bytes.Repeat([]byte{seed}, 32)), "store.example/ledger")
	if err != nil {
		panic(err) // the name above is one
	}
	s, err := ledger.NewSigner(key)
	if err != nil {
		panic(err)
	}
	return s
}

// Entry is the nth entry about a record.
func Entry(subject string, n int) ledger.Entry {
	return ledger.Entry{Kind: ledger.SignatureGiven, ID: subject, At: minutes(n), Attributes: map[string]string{"number": fmt.Sprint(n)}}
}

// Append appends entries in a transaction of their own.
func Append(s api.Store, entries ...ledger.Entry) error {
	return s.InTx(background, func(tx api.Tx) error { return api.AppendEntries(background, tx, Signer(), entries...) })
}

// SoundLedger builds the tree anew from all entries, fails the test unless every
// stored hash, the head and its signature agree with it, and returns the entries.
func SoundLedger(t testing.TB, s api.Store) []api.LedgerRow {
	t.Helper()
	var all []api.LedgerRow
	err := s.Read(background, func(r api.Reader) error {
		stored, err := r.LedgerHead(background)
		if err != nil {
			return err
		}
		head := ledger.Head{}
		for {
			rows, err := r.LedgerRows(background, head.Size, 100)
			if err != nil || len(rows) == 0 {
				return errors.Join(err, sameHead(t, stored, head))
			}
			for _, row := range rows {
				if row.N != head.Size {
					t.Fatalf("entry %d stands where %d should", row.N, head.Size)
				}
				var hashes []ledger.Hash
				if head, hashes, err = ledger.Append(head, row.Text); err != nil {
					return err
				}
				same(t, fmt.Sprint("the hashes of entry ", row.N), row.Hashes, hashes)
			}
			all = append(all, rows...)
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

func sameHead(t testing.TB, stored api.LedgerHead, rebuilt ledger.Head) error {
	t.Helper()
	if rebuilt.Size == 0 {
		return nil
	}
	same(t, "the head", stored.Head, rebuilt)
	return Signer().Vouches(rebuilt, stored.Checkpoint)
}

func ledgerKept(t *testing.T, db Database) {
	f := fixture{t, db.Open(t)}
	empty, err := ledger.NewHead(0, nil)
	if err != nil {
		t.Fatal(err)
	}
	f.read(func(r api.Reader) error {
		head, err := r.LedgerHead(background)
		same(t, "the empty ledger's root", head.Root, empty.Root)
		if head.Size != 0 || len(head.Peaks)+len(head.Checkpoint) > 0 {
			t.Errorf("an empty ledger has the head %+v", head)
		}
		keys, err2 := r.LedgerKeys(background)
		if len(keys) > 0 {
			t.Errorf("an empty ledger has keys: %v", keys)
		}
		return errors.Join(err, err2)
	})
	f.tx(func(tx api.Tx) error { return api.AppendEntries(background, tx, Signer()) })
	for n := range 5 { // one, two, … in one transaction
		var entries []ledger.Entry
		for i := range n + 1 {
			entries = append(entries, Entry(fmt.Sprint("r", i%2), n))
		}
		if err := Append(f.s, entries...); err != nil {
			t.Fatal(err)
		}
	}
	all := SoundLedger(t, f.s)
	if len(all) != 15 {
		t.Fatalf("%d entries, want 15", len(all))
	}
	e, err := ledger.Parse(all[4].Text)
	if err != nil || all[4].Kind != e.Kind || all[4].Subject != e.ID || !all[4].At.Equal(e.At) {
		t.Errorf("beside the entry %q stands %+v, %v", all[4].Text, all[4], err)
	}
	f.want(errOnPurpose, func(tx api.Tx) error {
		return errors.Join(api.AppendEntries(background, tx, Signer(), Entry("x", 0)), errOnPurpose)
	})
	f.read(func(r api.Reader) error {
		some, err := r.LedgerRows(background, 12, 2)
		same(t, "two entries from 12 on", some, all[12:14])
		none, err2 := r.LedgerRows(background, 15, 2)
		of, err3 := r.LedgerOf(background, "r1")
		if len(none) > 0 || len(of) != 6 || of[0].N != all[2].N {
			t.Errorf("after a transaction that failed: %d entries past the end; %d of one record, the first of them %v", len(none), len(of), of)
		}
		return errors.Join(err, err2, err3)
	})
	f.ledgerKeys()
}

// ledgerKeys keeps keys in the order of their sizes.
func (f fixture) ledgerKeys() {
	f.t.Helper()
	first, second := ledger.Key{Verifier: signerFrom(1).Verifier()}, ledger.Key{Verifier: signerFrom(2).Verifier(), From: 9, Handover: []byte("signed\n")}
	f.tx(func(tx api.Tx) error {
		return errors.Join(tx.AddLedgerKey(background, second), tx.AddLedgerKey(background, first))
	})
	again := second
	again.From = 10
	f.want(api.ErrExists, func(tx api.Tx) error { return tx.AddLedgerKey(background, again) })
	f.read(func(r api.Reader) error {
		keys, err := r.LedgerKeys(background)
		same(f.t, "the keys", keys, ledger.Keys{first, second})
		return err
	})
}

// Nobody signs a head that continues one which this key did not sign.
func ledgerHeadChanged(t *testing.T, db Database) {
	f := fixture{t, db.Open(t)}
	if err := Append(f.s, Entry("a", 0), Entry("a", 1), Entry("a", 2)); err != nil {
		t.Fatal(err)
	}
	refused := func(name string, err error) {
		t.Helper()
		if api.KindOf(err) != api.Unavailable {
			t.Errorf("%s: got %v, want a refusal", name, err)
		}
		SoundLedger(t, f.s)
	}
	refused("another key", f.s.InTx(background, func(tx api.Tx) error {
		return api.AppendEntries(background, tx, signerFrom(9), Entry("a", 3))
	}))
	refused("no key", f.s.InTx(background, func(tx api.Tx) error {
		return api.AppendEntries(background, tx, nil, Entry("a", 3))
	}))
	raw := db.Raw(t)
	for column, other := range map[string]string{"size": "size + 1", "root": "peaks", "peaks": "root", "checkpoint": "root"} {
		if _, err := raw.Exec("CREATE TABLE kept AS SELECT * FROM ledger_head"); err != nil {
			t.Fatal(err)
		}
		if _, err := raw.Exec("UPDATE ledger_head SET " + column + " = " + other); err != nil {
			t.Fatal(err)
		}
		if err := Append(f.s, Entry("a", 3)); api.KindOf(err) != api.Unavailable {
			t.Errorf("%s changed: got %v, want a refusal", column, err)
		}
		if _, err := raw.Exec("UPDATE ledger_head SET " + column + " = (SELECT " + column + " FROM kept)"); err != nil {
			t.Fatal(err)
		}
		if _, err := raw.Exec("DROP TABLE kept"); err != nil {
			t.Fatal(err)
		}
	}
	if err := Append(f.s, Entry("a", 3)); err != nil {
		t.Errorf("put back as it was: %v", err)
	}
	SoundLedger(t, f.s)
}

// Sixteen writers append on three instances at once, some of them several
// entries in a transaction, some of them in vain: no entry is lost, and the
// tree is the one that the entries give.
func appendsAtOnce(t *testing.T, db Database) {
	stores := []api.Store{db.Open(t), db.Open(t), db.Open(t)}
	const writers = 16
	each := rounds(20)
	atOnce(writers, func(i int) bool {
		s, name := stores[i%len(stores)], fmt.Sprint("writer-", i)
		for n := range each {
			entries := []ledger.Entry{Entry(name, n)}
			if n%5 == 4 {
				entries = append(entries, Entry(name+"-too", n), Entry(name+"-too", n))
			}
			if err := Append(s, entries...); err != nil {
				t.Error(err)
				return false
			}
			err := s.InTx(background, func(tx api.Tx) error {
				return errors.Join(api.AppendEntries(background, tx, Signer(), Entry("in-vain", n)), errOnPurpose)
			})
			if !errors.Is(err, errOnPurpose) {
				t.Error(err)
			}
		}
		return true
	})
	of := map[string]int{}
	for _, row := range SoundLedger(t, stores[0]) {
		of[row.Subject]++
	}
	for i := range writers {
		name := fmt.Sprint("writer-", i)
		if of[name] != each || of[name+"-too"] != each/5*2 {
			t.Errorf("%s: %d and %d entries, want %d and %d", name, of[name], of[name+"-too"], each, each/5*2)
		}
	}
	if of["in-vain"] > 0 {
		t.Errorf("%d entries of transactions that failed", of["in-vain"])
	}
}

// What was set and what was marked reads back as it was written.
func itemsAndFacts(t *testing.T, db Database) {
	f := with(t, db.Open(t))
	f.opened(sitting("s2", "ana", api.Qualifying, 0))
	f.opened(sitting("s1", "bo", api.Qualifying, 1))
	f.handedIn("s1", 2)
	missed := facts(api.MarkedFact{Sheet: 2, Fact: "common", State: "wrong"})
	f.marked(marking("s1", 1, 3), missed)
	f.read(func(r api.Reader) error {
		set, err := r.ItemsOf(background, "s1")
		same(t, "the items", set, items("s1"))
		got, err2 := r.MarkedFacts(background, "s1", 1)
		same(t, "the facts", got, missed)
		none, err3 := r.MarkedFacts(background, "s1", 2)
		if len(none) > 0 {
			t.Errorf("facts of a marking that is none: %v", none)
		}
		ids, err4 := r.EverySittingID(background, "", 10)
		same(t, "all sittings", ids, []string{"s1", "s2"})
		rest, err5 := r.EverySittingID(background, "s1", 1)
		same(t, "the next sitting", rest, []string{"s2"})
		return errors.Join(err, err2, err3, err4, err5)
	})
}
