package api

import (
	"context"
	"fmt"
	"slices"
	"strconv"

	"soloright/scoring/ledger"
)

// mostEntries is the most entries about one record that are listed.
const mostEntries = 50

// LedgerEntries returns the entries about a record, the newest first, at most 50,
// or the one with a number. Nothing found is no error.
func (a *App) LedgerEntries(ctx context.Context, c Caller, about string) ([]LedgerRow, error) {
	var out []LedgerRow
	err := a.read(ctx, c, ReadLedger, func(r Reader, _ Actor) error {
		if n, err := strconv.ParseInt(about, 10, 64); err == nil {
			rows, err := r.LedgerRows(ctx, n, 1)
			if err != nil {
				return fmt.Errorf("read entry %d: %w", n, err)
			}
			if len(rows) > 0 && rows[0].N == n {
				out = rows
			}
			return nil
		}
		rows, err := r.LedgerOf(ctx, label(about))
		if err != nil {
			return fmt.Errorf("read entries of %s: %w", about, err)
		}
		slices.Reverse(rows)
		out = rows[:min(mostEntries, len(rows))]
		return nil
	})
	return out, err
}

// EntryView is an entry with the names that the ids in it stand for.
type EntryView struct {
	LedgerRow
	Entry ledger.Entry      // without attributes where the text cannot be read
	Names map[string]string // of the people whose ids stand in it
	Size  int64             // entries in all
}

// LedgerEntry returns one entry by its number, with the names of the people in it.
func (a *App) LedgerEntry(ctx context.Context, c Caller, n int64) (EntryView, error) {
	v := EntryView{Names: map[string]string{}}
	err := a.readLedger(ctx, c, func(l *ledgerView) error {
		row, err := l.row(n)
		if err != nil {
			return err
		}
		if row.Text == nil {
			return notFound("entry of the ledger")
		}
		v.LedgerRow, v.Size = row, l.head.Size
		if v.Entry, err = ledger.Parse(row.Text); err != nil {
			return nil // it shows as it is: a check names it
		}
		all, err := readNames(ctx, l.r)
		if err != nil {
			return err
		}
		for _, id := range []string{v.Entry.ID, v.Entry.Attributes["by"], v.Entry.Attributes["person"]} {
			if p, ok := all.people[id]; ok {
				v.Names[id] = p.Name
			}
		}
		return nil
	})
	return v, err
}

// ProveGrowthFrom returns the proof that the record only grew since it had so many
// entries; whoever holds the checkpoint of that size can check it. A size beyond
// the record is Invalid.
func (a *App) ProveGrowthFrom(ctx context.Context, c Caller, size int64) (ledger.Growth, error) {
	var g ledger.Growth
	err := a.readLedger(ctx, c, func(v *ledgerView) (err error) {
		if size < 1 || size > v.head.Size {
			return invalid("from", fmt.Sprintf("The record has %d entries: there is no growth from %d.", v.head.Size, size))
		}
		if err := v.checkHead(); err != nil {
			return err
		}
		g, err = ledger.ProveGrowth(size, v.head.Checkpoint, v)
		return err
	})
	return g, err
}
