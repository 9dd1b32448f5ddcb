package api

import (
	"context"
	"errors"
	"fmt"
	"io"

	"soloright/scoring/ledger"
)

// A Disagreement is a place where the record is not as its ledger says.
type Disagreement struct {
	Entry int64  // the entry that it concerns, counted from 0; -1 where there is none
	What  string // one sentence
}

func (d Disagreement) Error() string { return d.What }

func disagree(entry int64, sentence string, args ...any) Disagreement {
	return Disagreement{Entry: entry, What: fmt.Sprintf(sentence, args...)}
}

// fromLedger tells whether the error says that the ledger is not sound, and what
// it says; any other error is one of reading.
func fromLedger(err error) ([]Disagreement, bool) {
	var d Disagreement
	var one *ledger.Defect
	var all *ledger.Unsound
	switch {
	case errors.As(err, &d):
		return []Disagreement{d}, true
	case errors.As(err, &all):
		var out []Disagreement
		for _, d := range all.Defects {
			out = append(out, Disagreement{d.Entry, d.Error()})
		}
		if all.More > 0 {
			out = append(out, disagree(-1, "There are %d more like it.", all.More))
		}
		return out, true
	case errors.As(err, &one):
		return []Disagreement{{one.Entry, one.Error()}}, true
	}
	return nil, false
}

// lastEntries is how many entries at the end are always checked at the start.
const lastEntries = 64

// CheckLedger checks, before a record is served, that its head is the signed one,
// that the stored hashes give it, and that the last entries give their hashes:
// that reads O(log size) rows. Where the ledger has at most so many entries, every
// entry and every hash is checked against the signed head as well. The error is a
// [Disagreement] or a *[ledger.Unsound] where the record does not agree.
//
// It does not look at the rows that the entries attest: [App.CheckRecord] does.
func (a *App) CheckLedger(ctx context.Context, most int64, progress func(done, total int64)) error {
	return a.store.Read(ctx, func(r Reader) error {
		v, err := openView(ctx, r)
		if err != nil {
			return err
		}
		if v.head.Size <= most { // it names the place better
			if err := v.audit(progress); err != nil {
				return err
			}
		}
		return v.checkHead()
	})
}

// checkHead checks the head and what O(log size) rows tell of it.
func (v *ledgerView) checkHead() error {
	if err := v.keys.Check(); err != nil {
		return disagree(-1, "The stored keys of the ledger are not those of one ledger: %v.", err)
	}
	h := v.head
	whole, err := ledger.NewHead(h.Size, h.Peaks)
	if err != nil || whole.Root != h.Root {
		return disagree(-1, "The head of the ledger was altered: its size, its root and its peaks do not belong together.")
	}
	signer, err := v.keys.VerifierFor(h.Size)
	if err != nil {
		return err
	}
	c, err := ledger.OpenCheckpoint(h.Checkpoint, ledger.Known(signer))
	if err != nil {
		return err
	}
	if c.Size != h.Size || c.Root != h.Root {
		return disagree(-1, "The head of the ledger is of %d entries, and the one that was signed of %d, or of others.", h.Size, c.Size)
	}
	if err := ledger.CheckHead(h.Head, v); err != nil {
		return err
	}
	return v.checkLast()
}

// checkLast checks the last entries against their leaf hashes, and that nothing
// comes after them.
func (v *ledgerView) checkLast() error {
	next := max(0, v.head.Size-lastEntries)
	for row, err := range v.rows(next) {
		switch {
		case err != nil:
			return err
		case row.N >= v.head.Size:
			return disagree(row.N, "Entry %d was put in: the head of the ledger is of %d entries.", row.N, v.head.Size)
		case row.N != next:
			return missing(next)
		case len(row.Hashes) == 0 || ledger.RecordHash(row.Text) != row.Hashes[0]:
			return disagree(row.N, "Entry %d and its hash do not belong together: one of them was altered.", row.N)
		}
		if d, ok := columnsDiffer(row); ok {
			return d
		}
		next++
	}
	if next < v.head.Size {
		return missing(next)
	}
	return nil
}

func missing(n int64) Disagreement { return disagree(n, "Entry %d is missing.", n) }

// columnsDiffer tells where the columns beside an entry are not those of its text.
func columnsDiffer(row LedgerRow) (Disagreement, bool) {
	e, err := ledger.Parse(row.Text)
	if err != nil {
		return disagree(row.N, "Entry %d cannot be read: its text was altered.", row.N), true
	}
	if e.Kind != row.Kind || e.ID != row.Subject || !e.At.Equal(row.At) {
		return disagree(row.N, "Entry %d is filed as %s of %s, and its text says %s of %s: its row was altered.", row.N, row.Kind, row.Subject, e.Kind, e.ID), true
	}
	return Disagreement{}, false
}

// audit checks every entry and every hash against the signed head.
func (v *ledgerView) audit(progress func(done, total int64)) error {
	if err := v.keys.Check(); err != nil {
		return disagree(-1, "The stored keys of the ledger are not those of one ledger: %v.", err)
	}
	if _, err := ledger.ParseCheckpoint(v.head.Checkpoint); err != nil {
		return err
	}
	r, w := io.Pipe()
	written := make(chan struct{})
	go func() {
		defer close(written)
		w.CloseWithError(ledger.WriteExport(w, v.export()))
	}()
	_, err := ledger.VerifyExport(r, []string{v.keys.Current()}, nil, progress)
	_ = r.Close() // ends the writer where the verifier stopped early
	<-written     // it uses the transaction
	return err
}

// CheckReport is the end of a check.
type CheckReport struct {
	Entries  int64 // of the ledger
	Records  int64 // rows, or groups of rows, that entries attest
	Disagree int
	Head     ledger.Checkpoint
}

// CheckRecord checks the whole record: the tree is built anew from the entries
// and held against the signed head; what each entry attests is worked out anew
// from the stored rows; and every row that should be attested is looked up among
// the entries. Whatever does not agree is told through found, with the entry that
// it concerns.
//
// With an older checkpoint (nil for none) it also checks that the record continues
// it: without one, nobody can tell that the end was cut off together with its head.
//
// It works on one snapshot and reads everything once: entries twice, every form,
// every hand-in and every marking. Progress is told by what is being read; the
// total is -1 where it is not known. An error says nothing about the record.
func (a *App) CheckRecord(ctx context.Context, older []byte, progress func(what string, done, total int64), found func(Disagreement)) (CheckReport, error) {
	var rep CheckReport
	tell := func(d Disagreement) {
		rep.Disagree++
		found(d)
	}
	err := a.store.Read(ctx, func(r Reader) error {
		v, err := openView(ctx, r)
		if err != nil {
			return err
		}
		rep.Entries = v.head.Size
		if err := v.checkTree(older, func(done, total int64) { progress("entries", done, total) }, tell); err != nil {
			return err
		}
		rep.Head, _ = ledger.ParseCheckpoint(v.head.Checkpoint) // or that was told
		c := newRecordCheck(ctx, r, v, progress, tell)
		if err := c.entries(); err != nil {
			return err
		}
		err = c.rows()
		rep.Records = c.records
		return err
	})
	return rep, err
}

// checkTree tells everything that is wrong with the ledger itself.
func (v *ledgerView) checkTree(older []byte, progress func(done, total int64), tell func(Disagreement)) error {
	all := []error{v.audit(progress)}
	if all[0] == nil {
		all = append(all, v.checkHead())
	}
	if older != nil {
		_, err := v.growth(older)
		all = append(all, err)
	}
	for _, err := range all {
		if err == nil {
			continue
		}
		wrong, ok := fromLedger(err)
		if !ok {
			return err
		}
		for _, d := range wrong {
			tell(d)
		}
	}
	return nil
}
