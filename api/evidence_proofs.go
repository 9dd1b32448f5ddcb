package api

import (
	"fmt"
	"maps"
	"slices"

	"soloright/scoring/ledger"
)

// proved returns entries with their proofs, by number.
func (v *ledgerView) proved(about map[int64]string) ([]EvidenceEntry, error) {
	known, err := v.keys.VerifierFor(v.head.Size)
	if err != nil {
		return nil, err
	}
	out := []EvidenceEntry{}
	for _, n := range slices.Sorted(maps.Keys(about)) {
		row, err := v.row(n)
		if err != nil {
			return nil, err
		}
		if row.Text == nil {
			return nil, missing(n)
		}
		p, err := ledger.ProveInclusion(v.head.Checkpoint, n, row.Text, v)
		if err != nil {
			return nil, err
		}
		if _, err := p.Verify(ledger.Known(known)); err != nil {
			return nil, fmt.Errorf("prove entry %d: %w", n, err)
		}
		text, err := p.MarshalText()
		if err != nil {
			return nil, err
		}
		out = append(out, EvidenceEntry{N: n, Kind: row.Kind, ID: row.Subject, At: row.At, About: about[n], Leaf: ledger.RecordHash(row.Text).String(), Proof: string(text)})
	}
	return out, nil
}
