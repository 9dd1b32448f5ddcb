package itemstat

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// From how many answers a figure is given.
const (
	NeedCorrelation = 30 // item-total correlation, upper–lower discrimination
	NeedChoices     = 20 // choices of distractors
	NeedRasch       = 30 // a Rasch parameter
	NeedPeople2PL   = 500
	NeedColumn2PL   = 200
	NeedDifference  = 100 // in the smaller of two groups, for a size class
)

// Column holds the classical statistics of one column.
type Column struct {
	// Difficulty is the mean mark, 0 to 1, with its Wilson interval, from any n.
	Difficulty Figure
	// ItemTotal is the correlation of the mark with the person's mean mark on the
	// other columns met, with its interval by Fisher's z, from 30 people. Where
	// everybody met the same columns it is the usual corrected item-total
	// correlation.
	ItemTotal Figure
	// Discrimination is the mean mark of the upper 27 % of the people, by their
	// mean mark on all columns met, less that of the lower 27 % (Kelley 1939).
	// People tied across a border share the places left: each counts for the same
	// part. From 30 people.
	Discrimination Figure
}

// Miskeyed reports whether better people miss the column more: the interval of
// its item-total correlation lies wholly below 0.
func (c Column) Miskeyed() bool { return c.ItemTotal.Known() && c.ItemTotal.Hi < 0 }

// Columns returns the classical statistics of every column of m. It passes over
// the cells three times and sorts the people once.
func Columns(m *Matrix) []Column {
	out := make([]Column, m.columns)
	for j, s := range itemTotals(m) {
		out[j] = Column{Difficulty: s.difficulty(), ItemTotal: s.itemTotal()}
	}
	for j, d := range discriminations(m) {
		out[j].Discrimination = d
	}
	return out
}

// moments are the sums of one column's marks x and of its people's mean marks on
// the other columns, r. Only who met another column has an r.
type moments struct {
	n          int // people who met the column
	sum        float64
	pairs      int // of them, those with an r
	x, r       float64
	xx, rr, xr float64
	minX, maxX float64
	minR, maxR float64
}

func itemTotals(m *Matrix) []moments {
	out := make([]moments, m.columns)
	for j := range out {
		out[j].minX, out[j].minR = 2, 2
		out[j].maxX, out[j].maxR = -1, -1
	}
	for i := range m.count {
		cols, marks, count := m.row(i)
		total := 0.0
		for _, x := range marks {
			total += x
		}
		w, others := float64(count), float64(len(marks)-1)
		for c, x := range marks {
			s := &out[cols[c]]
			s.n += count
			s.sum += w * x
			if others > 0 {
				s.pair(count, x, (total-x)/others)
			}
		}
	}
	return out
}

func (s *moments) pair(count int, x, r float64) {
	w := float64(count)
	s.pairs += count
	s.x += w * x
	s.r += w * r
	s.xx += w * x * x
	s.rr += w * r * r
	s.xr += w * x * r
	s.minX, s.maxX = min(s.minX, x), max(s.maxX, x)
	s.minR, s.maxR = min(s.minR, r), max(s.maxR, r)
}

func (s *moments) difficulty() Figure {
	in, err := Wilson(min(s.sum, float64(s.n)), s.n, Level)
	if err != nil {
		return none(Empty, s.n)
	}
	return ranged(s.sum/float64(s.n), in.Lo, in.Hi, Level, s.n)
}

func (s *moments) itemTotal() Figure {
	return from(NeedCorrelation, s.pairs, func() Figure {
		r, ok := s.correlation()
		if !ok {
			return none(Constant, s.pairs)
		}
		lo, hi := fisherZ(r, s.pairs, Level)
		return ranged(r, lo, hi, Level, s.pairs)
	})
}

// same is how close marks are that differ only by rounding.
const same = 1e-12

func (s *moments) correlation() (float64, bool) {
	if s.pairs < 2 || s.maxX-s.minX < same || s.maxR-s.minR < same {
		return 0, false
	}
	n := float64(s.pairs)
	vx, vr := s.xx/n-s.x/n*(s.x/n), s.rr/n-s.r/n*(s.r/n)
	if vx <= 0 || vr <= 0 {
		return 0, false
	}
	r := (s.xr/n - s.x/n*(s.r/n)) / math.Sqrt(vx*vr)
	return max(-1, min(1, r)), true
}

// fisherZ is the interval of a correlation by Fisher's z transformation.
func fisherZ(r float64, n int, level float64) (lo, hi float64) {
	if math.Abs(r) == 1 {
		return r, r
	}
	half := distuv.UnitNormal.Quantile(1-(1-level)/2) / math.Sqrt(float64(n-3))
	z := math.Atanh(r)
	return math.Tanh(z - half), math.Tanh(z + half)
}
