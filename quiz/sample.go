package quiz

import (
	"math/rand/v2"

	"soloright/content"
)

// sample is what items of a bank are like, learned by writing some.
type sample struct {
	seconds, items int
	shuts          map[content.FactID]bool // facts that, always on the form, would keep another fact off it
}

// takeSample writes two items of each family, with a fixed seed, up to
// mostSampled in all, the facts dealt at random.
func takeSample(bank *Bank) sample {
	sm := sample{shuts: map[content.FactID]bool{}}
	rnd := rand.New(rand.NewChaCha8(Seed{}))
	for deal := newShuffle(len(bank.leads)); deal.left() > 0 && sm.items < mostSampled; {
		l := &bank.leads[deal.deal(rnd)]
		sm.look(bank, l, sm.write(bank, l, rnd))
	}
	return sm
}

// write writes two items of each family of the lead. What fails is left out: the
// models' own tests report it, and so does assembly.
func (sm *sample) write(bank *Bank, l *lead, rnd *rand.Rand) []Item {
	var out []Item
	for _, f := range l.families {
		for range 2 {
			it, err := f.Model.Write(bank.source, l.fact, rnd)
			if err != nil {
				continue
			}
			sm.seconds += it.Seconds
			sm.items++
			out = append(out, it)
		}
	}
	return out
}

// look notes what every item on the lead shows. Such a fact, always on the form,
// keeps the lead off it; and the lead, always on the form, keeps the fact off it.
func (sm *sample) look(bank *Bank, l *lead, items []Item) {
	shown := map[content.FactID]int{}
	for _, it := range items {
		for _, f := range it.Shows {
			shown[f]++
		}
	}
	for f, n := range shown {
		if n < len(items) {
			continue
		}
		sm.shuts[f] = true
		if _, leads := bank.byFact[f]; leads {
			sm.shuts[l.fact.ID] = true
		}
	}
}

// minutes is a quarter more than the time of that many items, rounded up to five.
func (sm *sample) minutes(items int) int {
	if sm.items == 0 {
		return 5
	}
	five := 5 * 60 * sm.items * 4 // in the measure of 5·items·seconds
	return max(5, 5*((5*items*sm.seconds+five-1)/five))
}
