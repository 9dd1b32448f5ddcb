package bolting

import (
	"fmt"
	"math/rand/v2"
)

// Write returns a right sequence. At each fastener it takes any of those that may
// follow with equal chance, so every right sequence can come.
func Write(p Pattern, r Rule, rnd *rand.Rand) ([]int, error) {
	j, err := bind(p, r)
	if err != nil {
		return nil, fmt.Errorf("write a sequence: %w", err)
	}
	var sequence []int
	for range p.Count {
		may := next(p, j, sequence)
		if len(may) == 0 {
			return nil, fmt.Errorf("write a sequence: nothing may follow %v", sequence)
		}
		sequence = append(sequence, may[rnd.IntN(len(may))])
	}
	return sequence, nil
}

// Next returns the places that may follow a right prefix, in ascending order; none
// where the prefix is wrong or complete.
func Next(p Pattern, r Rule, prefix []int) []int {
	j, err := bind(p, r)
	if err != nil {
		return nil
	}
	places := zeroBased(prefix)
	seen := make([]bool, p.Count)
	for i, place := range places {
		if place < 0 || place >= p.Count || seen[place] {
			return nil
		}
		if step(p, j, places[:i], place) != nil {
			return nil
		}
		seen[place] = true
	}
	return next(p, j, prefix)
}

// next is Next for a prefix known to be right.
func next(p Pattern, j judge, prefix []int) []int {
	places := zeroBased(prefix)
	used := make([]bool, p.Count)
	for _, place := range places {
		used[place] = true
	}
	var may []int
	for place, u := range used {
		if u {
			continue
		}
		if step(p, j, places, place) == nil {
			may = append(may, place+1)
		}
	}
	return may
}
