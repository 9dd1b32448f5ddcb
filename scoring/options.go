package scoring

import (
	"errors"
	"slices"

	"soloright/quiz"
)

// choice marks a choice or a hotspot.
func (t *tally) choice(a quiz.Answer) error {
	right, _, err := t.options(a)
	if err != nil {
		return err
	}
	t.set(int64(right), 1)
	return nil
}

// multiple marks a multiple choice.
func (t *tally) multiple(a quiz.Answer) error {
	right, wrong, err := t.options(a)
	if err != nil {
		return err
	}
	of := 0
	for _, k := range t.item.Key.Options {
		if k.Right {
			of++
		}
	}
	t.set(int64(right-wrong), int64(of))
	return nil
}

// options notes every option, ticked or not, and counts the right and the wrong
// ticks.
func (t *tally) options(a quiz.Answer) (right, wrong int, err error) {
	key := t.item.Key.Options
	if !slices.ContainsFunc(key, func(k quiz.KeyOption) bool { return k.Right }) || len(key) != len(t.item.Interaction.Options) {
		return 0, 0, errors.New("the key does not say of every option whether it is right, or none is")
	}
	for _, k := range key {
		ticked := slices.Contains(a.Options, k.ID)
		state, missed := Right, false
		switch {
		case ticked && k.Right:
			right++
		case ticked:
			wrong++
			state, missed = Wrong, k.Dangerous
			t.say(k.ID, "", "")
		case k.Right:
			state, missed = Wrong, t.item.Interaction.Kind == quiz.Multiple
		}
		if err := t.note(k.Fact, state, missed); err != nil {
			return 0, 0, err
		}
	}
	return right, wrong, nil
}

// match marks a match: every row is worth the same, and what chance gives is
// taken off.
func (t *tally) match(a quiz.Answer) error {
	m, k := len(t.item.Interaction.Rows), len(t.item.Interaction.Bins)
	if m == 0 || k < 2 || len(t.item.Key.Rows) != m {
		return errors.New("a match needs a row, two bins, and a key for every row")
	}
	right := 0
	for _, row := range t.item.Key.Rows {
		bin, given := a.Rows[row.Row]
		state, missed := Right, false
		switch {
		case !given:
			state, missed = Blank, true
		case bin == row.Bin || slices.Contains(row.Also, bin):
			right++
		default:
			state, missed = Wrong, slices.Contains(row.Dangerous, bin)
			t.say(row.Row, bin, "")
		}
		if err := t.note(row.Fact, state, missed); err != nil {
			return err
		}
	}
	t.set(int64(right*k-m), int64(m*(k-1)))
	return nil
}
