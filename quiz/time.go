package quiz

import (
	"slices"

	"soloright/content"
)

// mostSwaps bounds how many other items are tried in the place of a long one.
const mostSwaps = 32

// fitTime changes long items for shorter ones until the form is within its
// minutes: the longest first, for another on the same fact, else for another of
// the same topic where the fact need not appear.
func (a *assembler) fitTime() error {
	limit := a.minutes * 60
	for a.seconds > limit {
		swapped := false
		for _, at := range a.longestFirst() {
			ok, err := a.shorten(at)
			if err != nil {
				return err
			}
			if swapped = ok; ok {
				break
			}
		}
		if !swapped {
			return unmetTime(a.seconds, a.minutes)
		}
	}
	return nil
}

// longestFirst lists the leads on the form by the time of their items.
func (a *assembler) longestFirst() []int {
	out := make([]int, 0, len(a.items))
	seconds := map[int]int{}
	for _, c := range a.items {
		out = append(out, c.at)
		seconds[c.at] = c.Seconds
	}
	slices.SortStableFunc(out, func(x, y int) int { return seconds[y] - seconds[x] })
	return out
}

// shorten puts a shorter item in the place of the one that leads with the fact.
func (a *assembler) shorten(at int) (bool, error) {
	i := slices.IndexFunc(a.items, func(c chosen) bool { return c.at == at })
	old := a.take(i)
	pool, needs := []int{at}, a.neededFor(old)
	if len(needs) == 0 {
		pool = a.others(at)
	}
	for _, other := range pool {
		for _, f := range a.inTurn(a.bank.leads[other].families) {
			it, fresh, err := a.write(a.bank.leads[other].fact, f)
			if err != nil {
				return false, err
			}
			if it.Seconds < old.Seconds && fresh && listsAll(it, needs) && a.fits(it) {
				a.put(it, other)
				return true, nil
			}
		}
	}
	a.put(old.Item, old.at)
	return false, nil
}

// others lists the same lead and some unused ones of its topic.
func (a *assembler) others(at int) []int {
	out := []int{at}
	pool := a.bank.byTopic[a.bank.leads[at].topic]
	for deal := newShuffle(len(pool)); deal.left() > 0 && len(out) < mostSwaps; {
		if other := pool[deal.deal(a.rnd)]; a.used[other] == 0 && other != at {
			out = append(out, other)
		}
	}
	return out
}

// neededFor lists the facts that appear only by the item, just taken off the
// form, and must: they always do, or were missed on the last try.
func (a *assembler) neededFor(c chosen) []content.FactID {
	var out []content.FactID
	for _, w := range a.wants {
		if w.fact == c.Lead && !w.soft || w.fact != "" && lists(c.Item, w.fact) && a.keyed[w.fact] == 0 {
			out = append(out, w.fact)
		}
	}
	return out
}

func listsAll(it Item, fs []content.FactID) bool {
	for _, f := range fs {
		if !lists(it, f) {
			return false
		}
	}
	return true
}
