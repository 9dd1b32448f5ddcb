package quiz

import (
	"fmt"
	"slices"

	"soloright/content"
)

// mercy is how many critical facts may be missed and still be confirmed:
// scoring.MostToConfirm, which this package cannot import.
const mercy = 2

// risky counts the items by which one slip may fail the sitting: those without
// mercy, which test a fact on isolation or more critical facts than can be
// confirmed, and all that test a critical fact.
type risky struct{ isolation, critical int }

// riskOf is what one item adds.
func riskOf(it Item) risky {
	var r risky
	n := 0
	for _, t := range it.Facts {
		if !t.Critical {
			continue
		}
		r.critical = 1
		if n++; t.Isolation || n > mercy {
			r.isolation = 1
		}
	}
	return r
}

// riskOfFact is what an item adds that tests the fact alone: the least that any
// item on it does.
func riskOfFact(f content.Fact) risky {
	var r risky
	if f.Critical {
		r.critical = 1
	}
	if f.Critical && f.Isolation() {
		r.isolation = 1
	}
	return r
}

func (r risky) plus(o risky, times int) risky {
	return risky{r.isolation + times*o.isolation, r.critical + times*o.critical}
}

// fits reports whether the item may stand on the form as it is: it gives nothing
// away and nothing gives it away, and the risky ones stay within their bounds.
func (a *assembler) fits(it Item) bool {
	return it.ID != "" && !a.gives(it) && within(a.risky.isolation, riskOf(it).isolation, a.most.isolation) &&
		within(a.risky.critical, riskOf(it).critical, a.most.critical)
}

// tooRisky reports, before anything is written, whether every item on the fact
// would pass a bound.
func (a *assembler) tooRisky(f content.Fact) bool {
	r := riskOfFact(f)
	return !within(a.risky.isolation, r.isolation, a.most.isolation) || !within(a.risky.critical, r.critical, a.most.critical)
}

// within reports whether more may be added; a bound of 0 is none.
func within(have, more, most int) bool { return more == 0 || most == 0 || have+more <= most }

// planRisky compares the bounds with the facts that always appear.
func (a *assembler) planRisky(always []content.FactID) error {
	var sum risky
	for _, id := range slices.Compact(slices.Sorted(slices.Values(always))) {
		f, _ := a.bank.source.Index.Fact(id)
		if _, leads := a.bank.byFact[id]; leads {
			sum = sum.plus(riskOfFact(f), 1)
		}
	}
	for _, b := range []struct {
		key        string
		need, most int
	}{{"max_isolation", sum.isolation, a.most.isolation}, {"max_critical", sum.critical, a.most.critical}} {
		if b.most > 0 && b.need > b.most {
			return &Unmet{Constraint: b.key, Need: b.need, Have: b.most, Why: fmt.Sprintf("at most %d allowed, and %d of the facts that always appear are such", b.most, b.need)}
		}
	}
	return nil
}
