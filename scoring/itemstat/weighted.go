package itemstat

import (
	"cmp"
	"slices"
)

// weighted are numbers, each for so many people.
type weighted []weight

type weight struct {
	value float64
	count int
}

func (w *weighted) add(value float64, count int) {
	*w = append(*w, weight{value, count})
}

// span sorts the numbers; there must be one at least. The median of an even
// number of people is the lower of the two in the middle.
func (w weighted) span() Span {
	slices.SortFunc(w, func(a, b weight) int { return cmp.Compare(a.value, b.value) })
	people := 0
	for _, x := range w {
		people += x.count
	}
	out := Span{Least: w[0].value, Most: w[len(w)-1].value}
	for seen, i := 0, 0; i < len(w); i++ {
		if seen += w[i].count; 2*seen >= people {
			out.Median = w[i].value
			break
		}
	}
	return out
}
