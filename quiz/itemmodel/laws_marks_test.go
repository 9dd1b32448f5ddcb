package itemmodel

import (
	"errors"
	"fmt"
	"math/big"
	"math/rand/v2"
	"strings"

	"soloright/quiz"
	"soloright/scoring"
)

// checkMarks marks an item by the rules: the key gets full marks and misses
// nothing, every single wrong option gets none, a blank misses every critical fact.
func checkMarks(it quiz.Item, rnd *rand.Rand) error {
	if err := checkFull(it, keyAnswer(it, rnd)); err != nil {
		return err
	}
	blank, err := scoring.Mark(it, quiz.Answer{})
	critical := 0
	for _, f := range it.Facts {
		if f.Critical {
			critical++
		}
	}
	if err != nil || !blank.Blank || blank.Mark.Rat.Sign() != 0 || len(blank.Critical) != critical {
		return fmt.Errorf("blank is marked %+v (%v)", blank, err)
	}
	var errs []error
	for _, o := range it.Key.Options {
		if o.Right || it.Interaction.Kind == quiz.Multiple {
			continue
		}
		m, err := scoring.Mark(it, quiz.Answer{Options: []string{o.ID}})
		if err != nil || m.Mark.Rat.Sign() != 0 || len(m.Feedback) != 1 || (len(m.Critical) > 0) != o.Dangerous {
			errs = append(errs, fmt.Errorf("option %s is marked %+v (%v)", o.ID, m, err))
		}
	}
	return errors.Join(errs...)
}

func checkFull(it quiz.Item, a quiz.Answer) error {
	m, err := scoring.Mark(it, a)
	if err != nil {
		return err
	}
	for _, f := range m.Facts {
		if f.State != scoring.Right {
			return fmt.Errorf("the key leaves %s %s", f.Fact, f.State)
		}
	}
	if m.Mark.Rat.Cmp(big.NewRat(1, 1)) != 0 || len(m.Critical) > 0 || len(m.Feedback) > 0 {
		return fmt.Errorf("the key %+v is marked %+v", a, m)
	}
	return nil
}

// keyAnswer gives the key as an answer; of an order any that violates nothing.
func keyAnswer(it quiz.Item, rnd *rand.Rand) quiz.Answer {
	var a quiz.Answer
	for _, o := range it.Key.Options {
		if o.Right {
			a.Options = append(a.Options, o.ID)
		}
	}
	if len(it.Key.Rows) > 0 {
		a.Rows = map[string]string{}
		for _, r := range it.Key.Rows {
			a.Rows[r.Row] = r.Bin
		}
	}
	switch it.Interaction.Kind {
	case quiz.Order:
		a.Options = validOrder(it, rnd)
	case quiz.Sequence:
		a.Options = it.Key.Sequence.Example
	case quiz.Numeric:
		if a.Options = nil; it.Key.Number.Other != "" {
			a.Options = []string{it.Key.Number.Other}
		} else {
			a.Number = rightNumber(it.Key.Number.Accept[0])
		}
	}
	return a
}

// rightNumber writes the middle of the interval to 12 places.
func rightNumber(iv quiz.Interval) string {
	lo, _ := new(big.Rat).SetString(iv.Lo)
	hi, _ := new(big.Rat).SetString(iv.Hi)
	s := lo.Add(lo, hi).Quo(lo, big.NewRat(2, 1)).FloatString(12)
	return strings.TrimSuffix(strings.TrimRight(s, "0"), ".")
}

// validOrder places at random what has all that must come before it.
func validOrder(it quiz.Item, rnd *rand.Rand) []string {
	needs := map[string]int{}
	for _, p := range it.Key.Pairs {
		needs[p.After]++
	}
	var out []string
	left := shuffled(rnd, it.Interaction.Options)
	for len(left) > 0 {
		for i, o := range left {
			if needs[o.ID] > 0 {
				continue
			}
			out = append(out, o.ID)
			for _, p := range it.Key.Pairs {
				if p.Before == o.ID {
					needs[p.After]--
				}
			}
			left = append(left[:i:i], left[i+1:]...)
			break
		}
	}
	return out
}
