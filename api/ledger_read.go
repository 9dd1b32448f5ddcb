package api

import (
	"context"
	"errors"
	"fmt"
	"io"
	"iter"
	"strconv"

	"soloright/scoring/ledger"
)

// ledgerBatch is how many entries are read at a time.
const ledgerBatch = 1000

// ErrNoLedger says that nothing is on the record yet, so there is nothing to
// show, sign or export.
var ErrNoLedger = errors.New("this database has no ledger yet: it begins when the program is first started on it")

// ledgerView reads the ledger in one transaction. It gives the stored hashes
// from the entries that were read last, so that walking over all of them reads
// each once. It is not safe for concurrent use.
type ledgerView struct {
	ctx  context.Context
	r    Reader
	head LedgerHead
	keys ledger.Keys
	last []LedgerRow // by number, the newest read last; at most two batches
}

func openView(ctx context.Context, r Reader) (*ledgerView, error) {
	head, err := r.LedgerHead(ctx)
	if err != nil {
		return nil, err
	}
	keys, err := r.LedgerKeys(ctx)
	if err != nil {
		return nil, err
	}
	if len(keys) == 0 {
		return nil, ErrNoLedger
	}
	return &ledgerView{ctx: ctx, r: r, head: head, keys: keys}, nil
}

// rows gives every stored entry from one on, by number.
func (v *ledgerView) rows(from int64) iter.Seq2[LedgerRow, error] {
	return func(yield func(LedgerRow, error) bool) {
		for {
			batch, err := v.r.LedgerRows(v.ctx, from, ledgerBatch)
			if err != nil {
				yield(LedgerRow{}, err)
				return
			}
			v.last = append(v.last[max(0, len(v.last)-ledgerBatch):len(v.last):len(v.last)], batch...)
			for _, row := range batch {
				if !yield(row, nil) {
					return
				}
			}
			if len(batch) < ledgerBatch {
				return
			}
			from = batch[len(batch)-1].N + 1
		}
	}
}

// ReadHashes gives stored hashes. Where one is missing it gives zeros, which
// agree with nothing.
func (v *ledgerView) ReadHashes(indexes []int64) ([]ledger.Hash, error) {
	out := make([]ledger.Hash, len(indexes))
	for i, index := range indexes {
		n, which := ledger.Place(index)
		row, err := v.row(n)
		if err != nil {
			return nil, err
		}
		if which < len(row.Hashes) {
			out[i] = row.Hashes[which]
		}
	}
	return out, nil
}

// row gives one entry; a zero row where there is none.
func (v *ledgerView) row(n int64) (LedgerRow, error) {
	if k := len(v.last); k > 0 && n >= v.last[0].N && n <= v.last[k-1].N {
		lo, hi := 0, k
		for lo < hi {
			if mid := (lo + hi) / 2; v.last[mid].N < n {
				lo = mid + 1
			} else {
				hi = mid
			}
		}
		if lo < k && v.last[lo].N == n {
			return v.last[lo], nil
		}
		return LedgerRow{}, nil
	}
	rows, err := v.r.LedgerRows(v.ctx, n, 1)
	if err != nil || len(rows) == 0 || rows[0].N != n {
		return LedgerRow{}, err
	}
	return rows[0], nil
}

// export is the ledger as package ledger takes it.
func (v *ledgerView) export() ledger.Export {
	return ledger.Export{Keys: v.keys, Checkpoint: v.head.Checkpoint, Hashes: v, Rows: func(yield func(ledger.Row, error) bool) {
		for row, err := range v.rows(0) {
			if !yield(ledger.Row{Index: row.N, Entry: row.Text}, err) || err != nil {
				return
			}
		}
	}}
}

// readLedger runs f on the ledger for who may read it.
func (a *App) readLedger(ctx context.Context, c Caller, f func(*ledgerView) error) error {
	return a.read(ctx, c, ReadLedger, func(r Reader, _ Actor) error {
		v, err := openView(ctx, r)
		if err != nil {
			return err
		}
		return f(v)
	})
}

// ExportLedger writes the whole record as a file that soloright-verify checks.
// It streams, and it judges nothing: what is wrong shows in the export.
func (a *App) ExportLedger(ctx context.Context, c Caller, w io.Writer, progress func(done, total int64)) (ledger.Checkpoint, error) {
	var at ledger.Checkpoint
	err := a.readLedger(ctx, c, func(v *ledgerView) (err error) {
		if at, err = ledger.ParseCheckpoint(v.head.Checkpoint); err != nil {
			return err
		}
		e := v.export()
		rows := e.Rows
		e.Rows = func(yield func(ledger.Row, error) bool) {
			done := int64(0)
			rows(func(row ledger.Row, err error) bool {
				if done++; done%ledgerBatch == 0 || done == at.Size {
					progress(done, at.Size)
				}
				return yield(row, err)
			})
		}
		return ledger.WriteExport(w, e)
	})
	return at, err
}

// Checkpoint returns the signed head, as it was signed with the newest entry: to
// be kept elsewhere. It does not go out where it does not agree with the record.
func (a *App) Checkpoint(ctx context.Context, c Caller) (ledger.Checkpoint, error) {
	var at ledger.Checkpoint
	err := a.readLedger(ctx, c, func(v *ledgerView) (err error) {
		if err := v.checkHead(); err != nil {
			return err
		}
		at, err = ledger.ParseCheckpoint(v.head.Checkpoint)
		return err
	})
	return at, err
}

// LedgerKeys returns the public keys in the order in which they signed, for who
// may read the ledger.
func (a *App) LedgerKeys(ctx context.Context, c Caller) (ledger.Keys, error) {
	var keys ledger.Keys
	err := a.read(ctx, c, ReadLedger, func(r Reader, _ Actor) (err error) {
		if keys, err = r.LedgerKeys(ctx); err == nil && len(keys) == 0 {
			err = ErrNoLedger
		}
		return err
	})
	return keys, err
}

// ProveEntry returns the proof that an entry is on the record, checked before it
// goes out. Entry is its number, or the id of what it is about, and then the
// last entry about that is meant.
func (a *App) ProveEntry(ctx context.Context, c Caller, entry string) (ledger.Inclusion, error) {
	var p ledger.Inclusion
	err := a.readLedger(ctx, c, func(v *ledgerView) error {
		row, err := v.find(entry)
		if err != nil {
			return err
		}
		if p, err = ledger.ProveInclusion(v.head.Checkpoint, row.N, row.Text, v); err != nil {
			return err
		}
		known, err := v.keys.VerifierFor(v.head.Size)
		if err != nil {
			return err
		}
		_, err = p.Verify(ledger.Known(known))
		return err
	})
	return p, err
}

func (v *ledgerView) find(entry string) (LedgerRow, error) {
	none := notFound("entry of the ledger")
	if n, err := strconv.ParseInt(entry, 10, 64); err == nil {
		row, err := v.row(n)
		if err == nil && row.Text == nil {
			err = none
		}
		return row, err
	}
	rows, err := v.r.LedgerOf(v.ctx, entry)
	if err != nil || len(rows) == 0 {
		return LedgerRow{}, errors.Join(err, none)
	}
	return rows[len(rows)-1], nil
}

// ProveGrowth returns the proof that the record only grew from an older
// checkpoint of it, checked before it goes out. A *ledger.Defect says that it
// did not.
func (a *App) ProveGrowth(ctx context.Context, c Caller, older []byte) (ledger.Growth, error) {
	var g ledger.Growth
	err := a.readLedger(ctx, c, func(v *ledgerView) (err error) {
		g, err = v.growth(older)
		return err
	})
	return g, err
}

func (v *ledgerView) growth(older []byte) (ledger.Growth, error) {
	was, err := v.keys.Open(older)
	if err != nil {
		return ledger.Growth{}, fmt.Errorf("read the older checkpoint: %w", err)
	}
	known, err := v.keys.VerifierFor(v.head.Size)
	if err != nil {
		return ledger.Growth{}, err
	}
	g := ledger.Growth{Old: was.Size, Checkpoint: v.head.Checkpoint}
	if was.Size <= v.head.Size {
		if g, err = ledger.ProveGrowth(was.Size, v.head.Checkpoint, v); err != nil {
			return ledger.Growth{}, err
		}
	}
	_, err = g.Verify(was, ledger.Known(known))
	return g, err
}
