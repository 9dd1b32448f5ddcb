package quiz

import (
	"fmt"
	"math/big"
	"slices"
)

// RightAnswer returns one right answer of an item: for a choice the key, for an
// order one valid order, for a number one that is accepted, written as exactly
// as a decimal can. It is what keys are printed from; marking never uses it.
func RightAnswer(it Item) (Answer, error) {
	k := it.Key
	switch it.Interaction.Kind {
	case Match:
		a := Answer{Rows: map[string]string{}}
		for _, r := range k.Rows {
			a.Rows[r.Row] = r.Bin
		}
		return a, nil
	case Order:
		ids, err := oneOrder(it.Interaction.Options, k.Pairs)
		return Answer{Options: ids}, err
	case Sequence:
		return Answer{Options: slices.Clone(k.Sequence.Example)}, nil
	case Numeric:
		if k.Number.Other != "" {
			return Answer{Options: []string{k.Number.Other}}, nil
		}
		text, err := decimalIn(k.Number.Accept)
		return Answer{Number: text}, err
	}
	var a Answer
	for _, o := range k.Options {
		if o.Right {
			a.Options = append(a.Options, o.ID)
		}
	}
	return a, nil
}

// oneOrder places the options one by one, always the first that waits for nothing.
func oneOrder(options []Option, pairs []KeyPair) ([]string, error) {
	waits := map[string]int{}
	for _, p := range pairs {
		waits[p.After]++
	}
	var out []string
	left := slices.Clone(options)
	for len(left) > 0 {
		i := slices.IndexFunc(left, func(o Option) bool { return waits[o.ID] == 0 })
		if i < 0 {
			return nil, fmt.Errorf("the pairs of the key go round in a circle")
		}
		for _, p := range pairs {
			if p.Before == left[i].ID {
				waits[p.After]--
			}
		}
		out = append(out, left[i].ID)
		left = slices.Delete(left, i, i+1)
	}
	return out, nil
}

// decimalIn writes a number of the first interval with as few decimals as lie in it.
func decimalIn(accept []Interval) (string, error) {
	if len(accept) == 0 {
		return "", fmt.Errorf("the key accepts no number")
	}
	lo, ok1 := new(big.Rat).SetString(accept[0].Lo)
	hi, ok2 := new(big.Rat).SetString(accept[0].Hi)
	if !ok1 || !ok2 {
		return "", fmt.Errorf("the key's interval %s to %s is no number", accept[0].Lo, accept[0].Hi)
	}
	mid := new(big.Rat).Mul(new(big.Rat).Add(lo, hi), big.NewRat(1, 2))
	for places := range 40 {
		text := mid.FloatString(places)
		if v, _ := new(big.Rat).SetString(text); v.Cmp(lo) >= 0 && v.Cmp(hi) <= 0 {
			return text, nil
		}
	}
	return "", fmt.Errorf("no decimal lies in %s to %s", accept[0].Lo, accept[0].Hi)
}
