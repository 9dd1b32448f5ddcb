package itemstat

import (
	"cmp"
	"slices"
)

// tailShare is the part of the people in the upper and in the lower group, the
// share that separates two groups best (Kelley 1939).
const tailShare = 0.27

// scored is a mark, the score by which its person is placed, and how many such people there are.
type scored struct {
	mark, score, weight float64
}

func discriminations(m *Matrix) []Figure {
	byColumn := make([][]scored, m.columns)
	for i := range m.count {
		cols, marks, count := m.row(i)
		total := 0.0
		for _, x := range marks {
			total += x
		}
		for c, x := range marks {
			j := cols[c]
			byColumn[j] = append(byColumn[j], scored{x, total / float64(len(marks)), float64(count)})
		}
	}
	out := make([]Figure, m.columns)
	for j, people := range byColumn {
		out[j] = discrimination(people)
	}
	return out
}

func discrimination(people []scored) Figure {
	n := 0.0
	for _, p := range people {
		n += p.weight
	}
	return from(NeedCorrelation, int(n), func() Figure {
		slices.SortFunc(people, func(a, b scored) int { return cmp.Compare(a.score, b.score) })
		if people[len(people)-1].score-people[0].score < same {
			return none(Constant, int(n))
		}
		lower := tailMean(people, tailShare*n)
		slices.Reverse(people)
		return number(tailMean(people, tailShare*n)-lower, int(n))
	})
}

// tailMean is the mean mark of the first places people. Who is tied with the
// last to be let in shares the places left with him.
func tailMean(people []scored, places float64) float64 {
	sum, left := 0.0, places
	for lo := 0; lo < len(people) && left > 0; {
		hi, weight, marks := lo, 0.0, 0.0
		for hi < len(people) && abs(people[hi].score-people[lo].score) < same {
			weight += people[hi].weight
			marks += people[hi].weight * people[hi].mark
			hi++
		}
		taken := min(weight, left)
		sum += marks * taken / weight
		left -= taken
		lo = hi
	}
	return sum / places
}

func abs(x float64) float64 { return max(x, -x) }
