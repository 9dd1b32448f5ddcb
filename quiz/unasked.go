package quiz

import (
	"encoding/binary"
	"fmt"

	"soloright/content"
)

// Unasked returns the facts that items could lead with and that none of a number
// of sample forms by the blueprint tests: most likely facts that always appear
// shut them out, or use up the bound of items without mercy. A few hundred forms
// tell well. The seeds are fixed, so the result depends on the arguments only.
// Its error is that of [Assemble].
func Unasked(bank *Bank, bp content.Blueprint, forms int) ([]content.Fact, error) {
	tested := map[content.FactID]bool{}
	for i := range forms {
		var seed Seed
		binary.BigEndian.PutUint64(seed[:], uint64(i))
		f, err := Assemble(bank, bp, History{}, seed)
		if err != nil {
			return nil, fmt.Errorf("assemble sample form %d: %w", i+1, err)
		}
		for _, it := range f.Items {
			for _, t := range it.Facts {
				tested[t.Fact] = true
			}
		}
	}
	var out []content.Fact
	for _, l := range bank.leads {
		if !tested[l.fact.ID] {
			out = append(out, l.fact)
		}
	}
	return out, nil
}
