package quiz

import (
	"fmt"

	"soloright/content"
)

// tries bounds how often a family with few items is asked for one that the
// person has not met. With 64 items of which one is left it misses that one
// less often than once in 10^13.
const triesPerItem, mostTries = 32, 2048

// write writes an item of the family, one that the person has not met where one
// can be found. It stops looking when it has seen as many distinct items as the
// family has. What is withdrawn is no item: where nothing else is left, it has no
// id and fits nowhere.
func (a *assembler) write(fact content.Fact, f Family) (it Item, fresh bool, err error) {
	var seen map[string]bool
	for range min(mostTries, triesPerItem*f.Count) {
		next, err := f.Model.Write(a.bank.source, fact, a.rnd)
		if err != nil {
			return Item{}, false, fmt.Errorf("write %s on %s: %w", f.Model.Name(), fact.ID, err)
		}
		if a.bank.barred[next.ID] {
			continue
		}
		if it = next; !a.metItems[it.ID] {
			return it, true, nil
		}
		if seen == nil {
			seen = map[string]bool{}
		}
		if seen[it.ID] = true; len(seen) >= f.Count {
			break
		}
	}
	return it, false, nil
}

func (a *assembler) remember(h History) {
	a.metItems = make(map[string]bool, len(h.Items))
	for _, id := range h.Items {
		a.metItems[id] = true
	}
	a.metFacts = make(map[content.FactID]int, len(h.Facts))
	for i, f := range h.Facts {
		a.metFacts[f] = i
	}
}
