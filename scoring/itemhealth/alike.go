package itemhealth

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"soloright/scoring/itemstat"
)

// leastAlike is how alike the answers of one person are taken to be at least, and
// fewestPeople how many people there must be for a correlation: with a handful of
// people many answers say little about people.
const (
	leastAlike   = 0.05
	fewestPeople = 10
)

// FewPeople is why there is no correlation although there are answers enough.
const FewPeople itemstat.Reason = "the answers are of too few people"

// alike is how alike the answers of one person to one family are: the intraclass
// correlation of the one-way analysis of variance, pooled over all families, at
// least [leastAlike].
func alike(columns []*column) float64 {
	var pooled spread
	for _, c := range columns {
		pooled.add(c.spread())
	}
	return max(leastAlike, pooled.correlation())
}

// spread holds the sums of squares of an analysis of variance, between people and
// within, with their degrees of freedom.
type spread struct {
	between, within   float64
	people, answers   float64 // degrees of freedom
	perPerson, groups float64 // their ratio is the mean number of answers of a person, as the estimate wants it
}

func (s *spread) add(o spread) {
	s.between += o.between
	s.within += o.within
	s.people += o.people
	s.answers += o.answers
	s.perPerson += o.perPerson
	s.groups += o.groups
}

// correlation is (MSB − MSW)/(MSB + (m − 1)·MSW), 0 where it would be negative or
// nobody answered twice.
func (s *spread) correlation() float64 {
	if s.people <= 0 || s.answers <= 0 || s.groups == 0 {
		return 0
	}
	m := s.perPerson / s.groups
	msb, msw := s.between/s.people, s.within/s.answers
	if below := msb + (m-1)*msw; below > 0 {
		return math.Max(0, (msb-msw)/below)
	}
	return 0
}

// spread works the sums out for one column, whose answers are in order of people.
func (c *column) spread() spread {
	n, k, squares, mean := float64(len(c.every)), 0.0, 0.0, 0.0
	for _, g := range c.every {
		mean += g.mark / n
	}
	var s spread
	for lo := 0; lo < len(c.every); {
		hi, total := lo, 0.0
		for hi < len(c.every) && c.every[hi].person == c.every[lo].person {
			total += c.every[hi].mark
			hi++
		}
		m := float64(hi - lo)
		own := total / m
		s.between += m * (own - mean) * (own - mean)
		for _, g := range c.every[lo:hi] {
			s.within += (g.mark - own) * (g.mark - own)
		}
		k, squares, lo = k+1, squares+m*m, hi
	}
	s.people, s.answers = k-1, n-k
	if k > 1 {
		s.perPerson, s.groups = n-squares/n, k-1
	}
	return s
}

// weightOf is by how much the answers count for less because some are of one
// person: 1 + (m − 1)·ρ. ρ is the pooled one, or the family's own where that is higher.
func (c *column) weightOf(pooled float64) float64 {
	own := c.spread()
	rho := max(pooled, own.correlation())
	squares, lo := 0.0, 0
	for hi := 1; hi <= len(c.every); hi++ {
		if hi == len(c.every) || c.every[hi].person != c.every[lo].person {
			squares += float64(hi-lo) * float64(hi-lo)
			lo = hi
		}
	}
	if len(c.every) == 0 {
		return 1
	}
	return 1 + (squares/float64(len(c.every))-1)*rho
}

// itemTotal is the correlation of every mark with its person's mean mark on other
// facts, from [itemstat.NeedCorrelation] answers of ten people or more, with the
// interval of Fisher's z for as many answers of different people as they are worth.
func (c *column) itemTotal(o *others, pooled float64) itemstat.Figure {
	var xs, ys []float64
	for _, g := range c.every {
		if y, ok := o.mean(g.person, c.Lead); ok {
			xs, ys = append(xs, g.mark), append(ys, y)
		}
	}
	n := len(xs)
	worth := float64(n)/c.weightOf(pooled) - 3
	switch {
	case n < itemstat.NeedCorrelation:
		return itemstat.Figure{N: n, NotYet: itemstat.TooFew, Need: itemstat.NeedCorrelation}
	case len(c.first) < fewestPeople || worth <= 0:
		return itemstat.Figure{N: n, NotYet: FewPeople}
	}
	r, ok := correlation(xs, ys)
	if !ok {
		return itemstat.Figure{N: n, NotYet: itemstat.Constant}
	}
	half := distuv.UnitNormal.Quantile(0.95) / math.Sqrt(worth)
	f := itemstat.Figure{Value: r, N: n, Lo: r, Hi: r, Conf: itemstat.Level}
	if math.Abs(r) < 1 {
		f.Lo, f.Hi = math.Tanh(math.Atanh(r)-half), math.Tanh(math.Atanh(r)+half)
	}
	return f
}

// correlation is Pearson's; false where one of the two does not vary.
func correlation(xs, ys []float64) (float64, bool) {
	n := float64(len(xs))
	mx, my := 0.0, 0.0
	for i := range xs {
		mx, my = mx+xs[i]/n, my+ys[i]/n
	}
	sxx, syy, sxy := 0.0, 0.0, 0.0
	for i := range xs {
		dx, dy := xs[i]-mx, ys[i]-my
		sxx, syy, sxy = sxx+dx*dx, syy+dy*dy, sxy+dx*dy
	}
	if sxx < 1e-12 || syy < 1e-12 {
		return 0, false
	}
	return max(-1, min(1, sxy/math.Sqrt(sxx*syy))), true
}
