package scoring

import (
	"errors"
	"slices"

	"soloright/quiz"
)

// order marks an order, read in the way that is best for whoever gave it.
func (t *tally) order(a quiz.Answer) error {
	pairs, alike, err := t.orderKey()
	if err != nil {
		return err
	}
	o, err := quiz.NewOrdering(len(t.item.Interaction.Options), pairs, alike)
	if err != nil {
		return err
	}
	given := make([]int, len(a.Options))
	for i, id := range a.Options {
		given[i] = t.optionPlace(id)
	}
	read, violated := o.Read(given)
	if err := t.notePairs(pairs, read); err != nil {
		return err
	}
	t.markOrder(violated, len(pairs), len(read) == len(t.item.Interaction.Options))
	return nil
}

// orderKey reads the key's option ids as places.
func (t *tally) orderKey() ([]quiz.Pair, [][]int, error) {
	if len(t.item.Key.Pairs) == 0 {
		return nil, nil, errors.New("an order needs pairs in its key")
	}
	pairs := make([]quiz.Pair, len(t.item.Key.Pairs))
	for i := range pairs {
		k := &t.item.Key.Pairs[i]
		f, err := t.of(k.Fact)
		if err != nil {
			return nil, nil, err
		}
		pairs[i] = quiz.Pair{Before: t.optionPlace(k.Before), After: t.optionPlace(k.After), Critical: t.item.Facts[f].Critical}
	}
	var alike [][]int
	for _, set := range t.item.Key.Alike {
		places := make([]int, len(set))
		for i, id := range set {
			places[i] = t.optionPlace(id)
		}
		alike = append(alike, places)
	}
	return pairs, alike, nil
}

// optionPlace is the place of an option, or −1, which NewOrdering refuses.
func (t *tally) optionPlace(id string) int {
	for i := range t.item.Interaction.Options {
		if t.item.Interaction.Options[i].ID == id {
			return i
		}
	}
	return -1
}

// notePairs notes every pair under its fact: wrong where both things stand the
// wrong way about, blank where one is not placed. Either way a critical one is
// missed.
func (t *tally) notePairs(pairs []quiz.Pair, read []int) error {
	var at [quiz.MaxThings]int
	for i, e := range read {
		at[e] = i + 1
	}
	for i, p := range pairs {
		k := &t.item.Key.Pairs[i]
		state := Right
		switch b, a := at[p.Before], at[p.After]; {
		case b == 0 || a == 0:
			state = Blank
		case a < b:
			state = Wrong
			t.say(k.After, "", k.Before)
		}
		if err := t.note(k.Fact, state, state != Right); err != nil {
			return err
		}
	}
	return nil
}

// markOrder sets the mark from the violated pairs.
func (t *tally) markOrder(violated []quiz.Pair, pairs int, complete bool) {
	critical := slices.ContainsFunc(violated, func(p quiz.Pair) bool { return p.Critical })
	switch {
	case t.item.Key.AllRight && len(violated) == 0 && complete:
		t.set(1, 1)
	case t.item.Key.AllRight:
		t.set(0, 1)
		if !critical && len(t.parts) > 0 {
			lead := &t.parts[0]
			lead.seen, lead.missed, lead.wrong, lead.blank = true, true, lead.wrong || complete, lead.blank || !complete
		}
	case critical:
		t.set(0, 1)
	default:
		t.set(int64(pairs-2*len(violated)), int64(pairs))
	}
}
