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

// discriminations sorts the people once; every column then finds its own in order.
func discriminations(m *Matrix) []Figure {
	score, met := make([]float64, len(m.count)), make([]int, m.columns)
	order := make([]int32, len(m.count))
	for i := range m.count {
		cols, marks, _ := m.row(i)
		order[i] = int32(i)
		if len(marks) > 0 {
			score[i] = total(marks) / float64(len(marks))
		}
		for _, j := range cols {
			met[j]++
		}
	}
	slices.SortFunc(order, func(a, b int32) int { return cmp.Compare(score[a], score[b]) })
	byColumn := make([][]scored, m.columns)
	for j, n := range met {
		byColumn[j] = make([]scored, 0, n)
	}
	for _, i := range order {
		cols, marks, count := m.row(int(i))
		for c, x := range marks {
			byColumn[cols[c]] = append(byColumn[cols[c]], scored{x, score[i], float64(count)})
		}
	}
	out := make([]Figure, m.columns)
	for j, people := range byColumn {
		out[j] = discrimination(people)
	}
	return out
}

// discrimination takes people in the order of their scores, the lowest first.
func discrimination(people []scored) Figure {
	n := 0.0
	for _, p := range people {
		n += p.weight
	}
	return from(NeedCorrelation, int(n), func() Figure {
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
