package itemmodel

import (
	"math/rand/v2"
	"slices"
	"sync"

	"soloright/quiz"
)

// chooser holds the concrete items of one family that asks for the setting of a
// wrench, sorted by how the wrench fits. There is nothing to arrange in them, so
// each is worked out once, when it is first drawn. What it returns must not be changed.
type chooser struct {
	items [3][]func() quiz.Item // by fit
	own   [3]int                // how many of them, at the front, are on the procedure's own wrenches
	few   string                // why there is none, where there is none
}

// add adds an item on the wrench of s; those on the procedure's own wrenches come first.
func (c *chooser) add(s setting, write func() quiz.Item) {
	c.items[s.fit] = append(c.items[s.fit], sync.OnceValue(write))
	if s.wrench.Name != "" {
		c.own[s.fit]++
	}
}

func (c *chooser) count() (int, string) {
	n := len(c.items[fits]) + len(c.items[outOfRange]) + len(c.items[tooCoarse])
	if n == 0 {
		return 0, c.few
	}
	return min(n, quiz.MaxCount), ""
}

// write draws one item.
func (c *chooser) write(rnd *rand.Rand) (quiz.Item, error) {
	if n, why := c.count(); n == 0 {
		return quiz.Item{}, noItem(why)
	}
	it := c.pick(rnd)()
	it.Shows = slices.Clone(it.Shows) // finish works on it
	return it, nil
}

// pick draws one: one in five is "not this wrench", for either reason alike; where
// the procedure has a wrench of its own for it, half of them are on that.
func (c *chooser) pick(rnd *rand.Rand) func() quiz.Item {
	f := fits
	if len(c.items[fits]) == 0 || rnd.IntN(5) == 0 {
		f = c.misfit(rnd)
	}
	all := c.items[f]
	if own := c.own[f]; own > 0 && rnd.IntN(2) == 0 {
		all = all[:own]
	}
	return all[rnd.IntN(len(all))]
}

func (c *chooser) misfit(rnd *rand.Rand) fit {
	out, coarse := len(c.items[outOfRange]), len(c.items[tooCoarse])
	switch {
	case out == 0 && coarse == 0:
		return fits
	case out == 0 || (coarse > 0 && rnd.IntN(2) == 0):
		return tooCoarse
	}
	return outOfRange
}
