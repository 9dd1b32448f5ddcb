package itemstat

import "math"

// Panel is the outcome of one round of an Angoff panel.
type Panel struct {
	Cut    Figure    // the mean of the judges' sums, in marks; N is the number of judges
	SE     Figure    // its standard error: the judges' n − 1 standard deviation by √judges
	Pass   int       // the fewest right answers at or above the cut, for right-or-wrong items
	Judges []float64 // each judge's sum
	Items  []Spread  // what the judges said of each item
}

// Spread is mean, n − 1 standard deviation and range of the judges' ratings of an item.
type Spread struct{ Mean, SD, Lo, Hi float64 }

// Angoff sums up ratings: for each judge, for each item, the chance (0 to 1)
// that somebody who is just good enough gets it right (Angoff 1971). The
// standard error needs two judges. Its error is a [*RefusedError].
func Angoff(ratings [][]float64) (Panel, error) {
	if len(ratings) == 0 || len(ratings[0]) == 0 {
		return Panel{}, refuse(Empty, "ratings")
	}
	items := len(ratings[0])
	p := Panel{Judges: make([]float64, len(ratings)), Items: make([]Spread, items)}
	columns := make([][]float64, items)
	for j, row := range ratings {
		if len(row) != items {
			return Panel{}, refuse(NotSame, "judge %d rated %d items, not %d", j, len(row), items)
		}
		for i, r := range row {
			if !finite(r) {
				return Panel{}, refuse(NotFinite, "judge %d, item %d", j, i)
			}
			if r < 0 || r > 1 {
				return Panel{}, refuse(OutOfRange, "judge %d, item %d: %v", j, i, r)
			}
			p.Judges[j] += r
			columns[i] = append(columns[i], r)
		}
	}
	for i, c := range columns {
		p.Items[i] = spread(c)
	}
	all, n := spread(p.Judges), len(ratings)
	p.Cut, p.SE = number(all.Mean, n), notYet(n, 2)
	if n > 1 {
		p.SE = number(all.SD/math.Sqrt(float64(n)), n)
	}
	// Sums of decimals miss a whole number by a few bits; that must not cost a mark.
	p.Pass = int(math.Ceil(all.Mean - 1e-9))
	return p, nil
}

// spread of at least one number; the deviation of one number is 0.
func spread(xs []float64) Spread {
	s := Spread{Lo: xs[0], Hi: xs[0]}
	for _, x := range xs {
		s.Mean += x / float64(len(xs))
		s.Lo, s.Hi = min(s.Lo, x), max(s.Hi, x)
	}
	if len(xs) > 1 {
		for _, x := range xs {
			s.SD += (x - s.Mean) * (x - s.Mean)
		}
		s.SD = math.Sqrt(s.SD / float64(len(xs)-1))
	}
	return s
}
