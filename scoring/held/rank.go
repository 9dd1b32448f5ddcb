package held

import (
	"cmp"
	"slices"
)

// CriticalWeight is how many times a critical fact counts.
const CriticalWeight = 5

// Cost is what a fact that is not held costs: its weight ([CriticalWeight], else
// 1) times the sum over people of the probability that they hold less of it than
// is wanted, times how often the work comes up a month.
func Cost(critical bool, below []float64, timesAMonth float64) float64 {
	sum := 0.0
	for _, p := range below {
		sum += p
	}
	if critical {
		sum *= CriticalWeight
	}
	return sum * timesAMonth
}

// Rank sorts lines by cost, highest first; ties by fact id, then by procedure.
func Rank[L any](lines []L, cost func(L) float64, fact, procedure func(L) string) {
	slices.SortStableFunc(lines, func(a, b L) int {
		return cmp.Or(cmp.Compare(cost(b), cost(a)), cmp.Compare(fact(a), fact(b)), cmp.Compare(procedure(a), procedure(b)))
	})
}

// Advice says what a miss is a reason for.
type Advice string

// What to do about a fact: where only one item model finds it missed, the item may
// be at fault as well.
const (
	Nothing     Advice = ""
	Teach       Advice = "teach"
	TeachOrItem Advice = "teach, or the item"
)

// Advise returns the advice on a fact that was missed under so many item models.
func Advise(models int) Advice {
	switch {
	case models <= 0:
		return Nothing
	case models == 1:
		return TeachOrItem
	}
	return Teach
}
