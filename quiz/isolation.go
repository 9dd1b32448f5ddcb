package quiz

import (
	"fmt"
	"slices"
)

// serveIsolation puts as many items on isolation or the return to service on the form as the blueprint
// asks for at least, before anything else: a miss on them has no mercy, so there
// are few, and no form is to be without. Those that always appear count. Facts
// that the person has not met come first, at random.
func (a *assembler) serveIsolation() error {
	need, have := a.isolation, 0
	for _, w := range a.wants {
		if at, leads := a.bank.byFact[w.fact]; leads && !w.soft && slices.Contains(a.bank.isolation, at) {
			need--
		}
	}
	for _, met := range []bool{false, true} {
		for deal := newShuffle(len(a.bank.isolation)); deal.left() > 0 && have < need; {
			at := a.bank.isolation[deal.deal(a.rnd)]
			if _, known := a.metFacts[a.bank.leads[at].fact.ID]; known != met || a.used[at] > 0 {
				continue
			}
			ok, err := a.lead(at)
			if err != nil {
				return err
			}
			if ok {
				have++
			}
		}
	}
	if have < need {
		return &Unmet{Constraint: "min_isolation", Need: a.isolation, Have: a.isolation - need + have,
			Why: fmt.Sprintf("%d items on isolation wanted, %d find a place", a.isolation, a.isolation-need+have)}
	}
	return nil
}
