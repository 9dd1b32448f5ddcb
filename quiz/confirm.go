package quiz

import (
	"errors"
	"fmt"
	"math/big"
	"slices"

	"soloright/content"
)

// Per says how many items a fact needs, given those written for it so far. It
// is asked again after each.
type Per func(written []Item) int

// Two asks for two items for each fact, as the confirming step does.
func Two(written []Item) int { return 2 }

// TwoOrThree asks for two items for each fact, and three where the chance mark
// of one of them (the expected mark of a random answer) exceeds ¼.
func TwoOrThree(written []Item) int {
	quarter := big.NewRat(1, 4)
	for _, it := range written {
		if it.Chance.Mean.Rat != nil && it.Chance.Mean.Rat.Cmp(quarter) > 0 {
			return 3
		}
	}
	return 2
}

// Confirming sets the form of the confirming step: two fresh items for each
// critical fact missed, see [AssembleFor].
func Confirming(bank *Bank, missed []content.FactID, h History, seed Seed) (*Form, error) {
	return AssembleFor(bank, missed, Two, h, seed)
}

// AssembleFor sets a form of items on the given facts, as many for each as per
// asks: all must be right (the cut is 100), and there is no minimum length. The
// items of a fact lead with it, by different models where there are several; a
// fact on which no model can lead gets items that list it. So here items may
// share a lead fact, but no concrete item comes twice, one that the person has
// met only where there is no other, and none gives another's key away. The
// minutes are the items' time, rounded up. Order and determinism are those of
// [Assemble]; where it cannot be done the error is an [*Unmet] that names the fact.
func AssembleFor(bank *Bank, facts []content.FactID, per Per, h History, seed Seed) (*Form, error) {
	a := newAssembler(bank, h, seed)
	a.word = "fact "
	for _, f := range facts {
		if _, here := bank.source.Index.Fact(f); !here {
			return nil, unmetFact(f, 1, 0, "the procedure does not state it for this build")
		}
		if w := (want{fact: f}); !slices.Contains(a.wants, w) {
			a.wants = append(a.wants, w)
		}
	}
	if len(a.wants) == 0 {
		return nil, &Unmet{Constraint: "items", Need: 1, Why: "there is no fact to write on"}
	}
	for range attempts {
		err := a.attemptFor(per, h)
		var u *Unmet
		if err == nil {
			return a.form(seed, 100, (a.seconds+59)/60), nil
		}
		if !errors.As(err, &u) {
			return nil, err
		}
		a.failed(u)
	}
	return nil, a.worst
}

func unmetFact(f content.FactID, need, have int, why string) *Unmet {
	return &Unmet{Constraint: "fact " + string(f), Need: need, Have: have, Why: why}
}

func (a *assembler) attemptFor(per Per, h History) error {
	a.reset()
	a.remember(h)
	for _, w := range a.wants {
		var written []Item
		a.models = map[string]int{}
		for len(written) < per(written) {
			it, ok, err := a.another(w.fact)
			if err != nil {
				return err
			}
			if !ok {
				need, have := per(written), len(written)
				return unmetFact(w.fact, need, have, fmt.Sprintf("%d items wanted, the bank can write %d that do not give each other away", need, have))
			}
			a.metItems[it.ID] = true
			written = append(written, it)
		}
	}
	return nil
}

// another puts one more item for the fact on the form. What is on the form
// counts as met, so that nothing comes twice.
func (a *assembler) another(f content.FactID) (Item, bool, error) {
	at, leads := a.bank.byFact[f]
	if !leads {
		return a.anotherListing(f)
	}
	for _, t := range [2]tier{tierUnmet, tierRepeat} {
		it, ok, err := a.anotherLed(at, t)
		if err != nil || ok {
			return it, ok, err
		}
	}
	return Item{}, false, nil
}

func (a *assembler) anotherLed(at int, t tier) (Item, bool, error) {
	fact := a.bank.leads[at].fact
	for _, fam := range a.inTurn(a.bank.leads[at].families) {
		for range 2 {
			it, ok, err := a.fitting(fact, fam, t)
			if err != nil {
				return Item{}, false, err
			}
			if ok {
				a.put(it, at)
				return it, true, nil
			}
		}
	}
	return Item{}, false, nil
}

// fitting writes an item that may stand on the form: not there yet, new to the
// person, but for the tier of repeats, and no enemy. One whose stem gives its own
// lead is none: another item on that fact stands beside it.
func (a *assembler) fitting(fact content.Fact, fam Family, t tier) (Item, bool, error) {
	it, fresh, err := a.write(fact, fam)
	if err != nil {
		return Item{}, false, err
	}
	if !fresh && t == tierRepeat {
		it, fresh, err = a.writeAbsent(fact, fam)
	}
	return it, fresh && !a.gives(it) && !slices.Contains(it.Shows, fact.ID), err
}

// writeAbsent writes an item that is not on the form, whoever has met it.
func (a *assembler) writeAbsent(fact content.Fact, fam Family) (Item, bool, error) {
	all := a.metItems
	defer func() { a.metItems = all }()
	a.metItems = map[string]bool{}
	for _, c := range a.items {
		a.metItems[c.ID] = true
	}
	return a.write(fact, fam)
}

// anotherListing looks for one more item that lists a fact which cannot lead,
// among those about the same thing, then of the same topic.
func (a *assembler) anotherListing(f content.FactID) (Item, bool, error) {
	fact, _ := a.bank.source.Index.Fact(f)
	looked := 0
	for _, pool := range [][]int{a.bank.bySubject[fact.Subject], a.topicLeads(fact.Kind.Topic())} {
		for deal := newShuffle(len(pool)); deal.left() > 0 && looked < mostLooked; looked++ {
			at := pool[deal.deal(a.rnd)]
			for _, fam := range a.inTurn(a.bank.leads[at].families) {
				it, ok, err := a.fitting(a.bank.leads[at].fact, fam, tierRepeat)
				if err != nil {
					return Item{}, false, err
				}
				if ok && lists(it, f) {
					a.put(it, at)
					return it, true, nil
				}
			}
		}
	}
	return Item{}, false, nil
}
