package itemstat

import (
	"cmp"
	"slices"
)

// NeedCategory is how many people a category of part marks needs to stand alone
// (Linacre 2002, Journal of Applied Measurement 3, 85–106: at least ten; from memory).
const NeedCategory = 10

// MaxCategories is the most categories of one column.
const MaxCategories = 50

// Category is one step of a column's marks.
type Category struct {
	Mark   float64   // mean mark of its people
	Marks  []float64 // the marks put together in it, ascending
	People int
}

// Collapse says that a mark has no category of its own, and why: nobody reached
// it ([Unreached]), or [TooFew] did.
type Collapse struct {
	Mark   float64
	People int
	Into   float64 // the mark of the most people in the category that it joined
	Why    Reason
}

// tallied is a mark and how many people have it.
type tallied struct {
	mark   float64
	people int
}

// categorize makes categories of the marks that a column can give, or has given.
// The rarest category below least people joins the neighbour whose people
// have the nearer mean mark, the lower of two as near, until every one has that
// many. Two that anybody reached stay two: right and wrong are told apart however rare one is.
func categorize(marks []tallied, least int) ([]Category, []Collapse) {
	slices.SortFunc(marks, func(a, b tallied) int { return cmp.Compare(a.mark, b.mark) })
	var parts [][]tallied
	for _, t := range marks {
		if n := len(parts); n > 0 && t.mark-parts[n-1][0].mark < 1e-9 { // they differ by rounding
			parts[n-1][0].people += t.people
			continue
		}
		parts = append(parts, []tallied{t})
	}
	for len(parts) > 1 {
		rarest := 0
		for i := range parts {
			if people(parts[i]) < people(parts[rarest]) {
				rarest = i
			}
		}
		if n := people(parts[rarest]); n >= max(1, least) || n > 0 && len(parts) == 2 {
			break
		}
		at := neighbour(parts, rarest)
		parts[at] = append(parts[at], parts[at+1]...)
		parts = slices.Delete(parts, at+1, at+2)
	}
	return describe(parts)
}

// neighbour returns the lower of the two places to be put together.
func neighbour(parts [][]tallied, i int) int {
	if i == 0 {
		return 0
	}
	if i == len(parts)-1 {
		return i - 1
	}
	below := typical(parts[i]) - typical(parts[i-1])
	above := typical(parts[i+1]) - typical(parts[i])
	if above < below-same {
		return i
	}
	return i - 1
}

// typical is the mean mark of a part's people, its first mark where there are none.
func typical(part []tallied) float64 {
	n, sum := people(part), 0.0
	if n == 0 {
		return part[0].mark
	}
	for _, t := range part {
		sum += t.mark * float64(t.people) / float64(n)
	}
	return sum
}

func people(part []tallied) int {
	n := 0
	for _, t := range part {
		n += t.people
	}
	return n
}

func describe(parts [][]tallied) (out []Category, joined []Collapse) {
	for _, part := range parts {
		c := Category{People: people(part), Mark: typical(part)}
		main := part[0]
		for _, t := range part {
			c.Marks = append(c.Marks, t.mark)
			if t.people > main.people {
				main = t
			}
		}
		for _, t := range part {
			if t.mark == main.mark {
				continue
			}
			why := TooFew
			if t.people == 0 {
				why = Unreached
			}
			joined = append(joined, Collapse{t.mark, t.people, main.mark, why})
		}
		out = append(out, c)
	}
	return out, joined
}

// categoryOf is the place of the category with the mark nearest to this one, the
// lower of two as near.
func categoryOf(categories []Category, mark float64) int {
	best, least := 0, 2.0
	for k, c := range categories {
		for _, x := range c.Marks {
			if d := abs(x - mark); d < least-same {
				best, least = k, d
			}
		}
	}
	return best
}
