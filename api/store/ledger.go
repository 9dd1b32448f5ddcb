package store

import (
	"context"

	"soloright/api"
	"soloright/scoring/ledger"
)

// headRow is the row of ledger_head.
type headRow struct {
	Size       int64  `db:"size"`
	Root       []byte `db:"root"`
	Peaks      []byte `db:"peaks"`
	Checkpoint []byte `db:"checkpoint"`
}

func (r headRow) head() api.LedgerHead {
	head := api.LedgerHead{Head: ledger.Head{Size: r.Size, Peaks: hashesIn(r.Peaks)}, Checkpoint: r.Checkpoint}
	copy(head.Root[:], r.Root)
	return head
}

// hashesIn cuts stored bytes into hashes. What is left over makes one more, with
// zeros: it agrees with nothing, and so shows.
func hashesIn(b []byte) []ledger.Hash {
	var hashes []ledger.Hash
	for len(b) > 0 {
		var h ledger.Hash
		b = b[copy(h[:], b):]
		hashes = append(hashes, h)
	}
	return hashes
}

func packed(hashes []ledger.Hash) []byte {
	b := make([]byte, 0, len(hashes)*len(ledger.Hash{}))
	for _, h := range hashes {
		b = append(b, h[:]...)
	}
	return b
}

const selectHead = `
	SELECT size, root, peaks, checkpoint
	FROM ledger_head
	WHERE one = 1`

var (
	ledgerHead = reads("read the head of the ledger", selectHead)
	lockHead   = locks("hold the head of the ledger", selectHead, dialect.lockExclusive)
)

// LedgerHead reads the head.
func (r reader) LedgerHead(ctx context.Context) (api.LedgerHead, error) {
	var row headRow
	err := r.get(ctx, &row, ledgerHead)
	return row.head(), err
}

// LockLedger reads the head and holds it: appends come one after the other.
func (t txn) LockLedger(ctx context.Context) (api.LedgerHead, error) {
	var row headRow
	err := t.get(ctx, &row, lockHead)
	return row.head(), err
}

// entryRow is a row of ledger_entries.
type entryRow struct {
	N       int64  `db:"n"`
	Kind    string `db:"kind"`
	Subject string `db:"subject"`
	At      int64  `db:"at"`
	Text    []byte `db:"text"`
	Hashes  []byte `db:"hashes"`
}

var (
	ledgerRows = reads("list entries of the ledger", `
	SELECT n, kind, subject, at, text, hashes
	FROM ledger_entries
	WHERE n >= ?
	ORDER BY n
	LIMIT ?`)

	ledgerOf = reads("list entries of a record", `
	SELECT n, kind, subject, at, text, hashes
	FROM ledger_entries
	WHERE subject = ?
	ORDER BY n`)
)

// LedgerRows lists entries from one on.
func (r reader) LedgerRows(ctx context.Context, from int64, limit int) ([]api.LedgerRow, error) {
	return r.entries(ctx, ledgerRows, from, limit)
}

// LedgerOf lists the entries of one record.
func (r reader) LedgerOf(ctx context.Context, subject string) ([]api.LedgerRow, error) {
	return r.entries(ctx, ledgerOf, subject)
}

func (r reader) entries(ctx context.Context, s *statement, args ...any) ([]api.LedgerRow, error) {
	var rows []entryRow
	if err := r.list(ctx, &rows, s, args...); err != nil {
		return nil, err
	}
	entries := make([]api.LedgerRow, len(rows))
	for i, row := range rows {
		entries[i] = api.LedgerRow{N: row.N, Kind: ledger.Kind(row.Kind), Subject: row.Subject, At: instant(row.At), Text: row.Text, Hashes: hashesIn(row.Hashes)}
	}
	return entries, nil
}

var (
	addEntry = writes("add entry to the ledger", `
	INSERT INTO ledger_entries (n, kind, subject, at, text, hashes)
	VALUES (?, ?, ?, ?, ?, ?)`)

	setHead = writes("move the head of the ledger", `
	UPDATE ledger_head
	SET size = ?, root = ?, peaks = ?, checkpoint = ?
	WHERE one = 1`)
)

// PutLedger writes entries and moves the head. The head has to be held by
// LockLedger, in the same transaction.
func (t txn) PutLedger(ctx context.Context, head api.LedgerHead, rows []api.LedgerRow) error {
	for _, r := range rows {
		if err := t.do(ctx, addEntry, r.N, string(r.Kind), r.Subject, micros(r.At), blob(r.Text), packed(r.Hashes)); err != nil {
			return err
		}
	}
	return t.do(ctx, setHead, head.Size, head.Root[:], packed(head.Peaks), blob(head.Checkpoint))
}

var ledgerKeys = reads("list the keys of the ledger", `
	SELECT valid_from, verifier, handover
	FROM ledger_keys
	ORDER BY valid_from`)

// LedgerKeys lists the public keys by the size from which on they sign.
func (r reader) LedgerKeys(ctx context.Context) (ledger.Keys, error) {
	var rows []struct {
		From     int64  `db:"valid_from"`
		Verifier string `db:"verifier"`
		Handover []byte `db:"handover"`
	}
	if err := r.list(ctx, &rows, ledgerKeys); err != nil {
		return nil, err
	}
	keys := make(ledger.Keys, len(rows))
	for i, row := range rows {
		keys[i] = ledger.Key{Verifier: row.Verifier, From: row.From, Handover: append([]byte(nil), row.Handover...)}
	}
	return keys, nil
}

var addLedgerKey = writes("add key of the ledger", `
	INSERT INTO ledger_keys (valid_from, verifier, handover)
	VALUES (?, ?, ?)
	ON CONFLICT DO NOTHING`)

// AddLedgerKey keeps a public key for good.
func (t txn) AddLedgerKey(ctx context.Context, k ledger.Key) error {
	return t.add(ctx, addLedgerKey, k.From, k.Verifier, blob(k.Handover))
}
