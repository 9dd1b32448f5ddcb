package itemstat

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// Matched is one person's answer to a fact, for comparing two crews.
type Matched struct {
	Focal bool    // of the crew looked at; else of the one it is compared with
	Score float64 // the proportion right on the person's other facts
	Right bool
}

// Size is the size class of a difference between crews.
type Size string

// The size classes used for differential item functioning (Zieky 1993), from
// Δ = −2.35·ln(odds ratio).
const (
	SizeA Size = "A" // negligible: |Δ| under 1, or not told from 0 at 5 %
	SizeB Size = "B" // between
	SizeC Size = "C" // large: |Δ| 1.5 or more, and told from 1 at 5 %
)

// Difference is how differently two crews of equal standing elsewhere do on a fact.
type Difference struct {
	Reference, Focal int // people in strata where both crews are
	Strata           int // of them, at most five
	// Odds is the Mantel–Haenszel odds ratio with the interval of its standard
	// error (Robins, Breslow and Greenland 1986): above 1 the focal crew does
	// worse. With fewer than 100 in the smaller crew it is [TooFew].
	Odds Figure
	// Shrunken is the odds ratio drawn towards 1, a normal prior on its logarithm,
	// with the posterior interval: to be shown where Odds is not.
	Shrunken  Figure
	ChiSquare Figure // with continuity correction, 1 degree of freedom
	P         Figure // its tail
	Delta     Figure // −2.35·ln(odds ratio)
	Size      Size   // none where Odds is not known
	// Score is the number of ChiSquare whatever the n, for who looks at many
	// differences and adjusts for it; it is not for showing where ChiSquare is not known.
	Score float64
}

// PriorSpread is the SD of ln(odds ratio) over facts that is assumed before the
// data: a Δ of 1 (Zwick, Thayer and Lewis 1999).
const PriorSpread = 1 / 2.35

// Compare matches the two crews in at most five strata of the score, of about
// equal numbers, equal scores together, and compares them within (Mantel and
// Haenszel 1959). The error is a [*RefusedError]: a score that is not finite,
// no stratum with both crews, everybody with the same mark there.
func Compare(people []Matched) (Difference, error) {
	if len(people) == 0 {
		return Difference{}, refuse(Empty, "people")
	}
	for i, p := range people {
		if !finite(p.Score) {
			return Difference{}, refuse(NotFinite, "person %d: score", i)
		}
	}
	return compareTables(stratify(people))
}

// mostStrata is the largest number of strata.
const mostStrata = 5

// table counts one stratum: reference right and wrong, focal right and wrong.
type table struct{ a, b, c, d float64 }

func stratify(people []Matched) []table {
	people = slices.Clone(people)
	slices.SortFunc(people, func(a, b Matched) int { return cmp.Compare(a.Score, b.Score) })
	tables := make([]table, mostStrata)
	for lo := 0; lo < len(people); {
		hi := lo
		for hi < len(people) && people[hi].Score == people[lo].Score {
			hi++
		}
		t := &tables[min(mostStrata-1, (lo+hi)*mostStrata/(2*len(people)))]
		for _, p := range people[lo:hi] {
			t.count(p)
		}
		lo = hi
	}
	return tables
}

func (t *table) count(p Matched) {
	switch {
	case !p.Focal && p.Right:
		t.a++
	case !p.Focal:
		t.b++
	case p.Right:
		t.c++
	default:
		t.d++
	}
}

func compareTables(tables []table) (Difference, error) {
	var used []table
	var all table
	for _, t := range tables {
		if t.a+t.b > 0 && t.c+t.d > 0 {
			used = append(used, t)
			all = table{all.a + t.a, all.b + t.b, all.c + t.c, all.d + t.d}
		}
	}
	if len(used) == 0 {
		return Difference{}, refuse(Empty, "strata with both crews")
	}
	if all.a+all.c == 0 || all.b+all.d == 0 {
		return Difference{}, refuse(Constant, "answers")
	}
	d := Difference{Reference: int(all.a + all.b), Focal: int(all.c + all.d), Strata: len(used)}
	smaller := min(d.Reference, d.Focal)
	ln, se := logOdds(used)
	d.shrink(ln, se, smaller)
	chi := chiSquare(used)
	d.Score = chi
	if smaller < NeedDifference {
		wait := notYet(smaller, NeedDifference)
		d.Odds, d.ChiSquare, d.P, d.Delta = wait, wait, wait, wait
		return d, nil
	}
	d.Odds = ranged(math.Exp(ln), math.Exp(ln-z90*se), math.Exp(ln+z90*se), Level, smaller)
	d.ChiSquare = number(chi, smaller)
	d.P = number(distuv.ChiSquared{K: 1}.Survival(chi), smaller)
	delta := -2.35 * ln
	d.Delta = ranged(delta, delta-z90*2.35*se, delta+z90*2.35*se, Level, smaller)
	d.Size = size(math.Abs(delta), 2.35*se, d.P.Value)
	return d, nil
}

func size(delta, se, p float64) Size {
	switch {
	case delta < 1 || p >= 0.05:
		return SizeA
	case delta >= 1.5 && delta-z90*se > 1: // one-sided at 5 %
		return SizeC
	}
	return SizeB
}

// shrink is the posterior of ln(odds ratio) ~ N(ln, se²) under N(0, PriorSpread²).
func (d *Difference) shrink(ln, se float64, n int) {
	weight := PriorSpread * PriorSpread / (PriorSpread*PriorSpread + se*se)
	mean, sd := weight*ln, math.Sqrt(weight)*se
	d.Shrunken = ranged(math.Exp(mean), math.Exp(mean-z90*sd), math.Exp(mean+z90*sd), Level, n)
}

// logOdds is ln of the Mantel–Haenszel odds ratio and its standard error. Where the ratio
// would be 0 or infinite, half a person is added to every cell.
func logOdds(tables []table) (ln, se float64) {
	r, s, pr, mixed, qs := oddsSums(tables)
	if r == 0 || s == 0 {
		more := make([]table, len(tables))
		for i, t := range tables {
			more[i] = table{t.a + 0.5, t.b + 0.5, t.c + 0.5, t.d + 0.5}
		}
		r, s, pr, mixed, qs = oddsSums(more)
	}
	return math.Log(r / s), math.Sqrt(pr/(2*r*r) + mixed/(2*r*s) + qs/(2*s*s))
}

func oddsSums(tables []table) (r, s, pr, mixed, qs float64) {
	for _, t := range tables {
		n := t.a + t.b + t.c + t.d
		p, q := (t.a+t.d)/n, (t.b+t.c)/n
		ri, si := t.a*t.d/n, t.b*t.c/n
		r, s = r+ri, s+si
		pr, mixed, qs = pr+p*ri, mixed+p*si+q*ri, qs+q*si
	}
	return r, s, pr, mixed, qs
}

// chiSquare is (|Σ(a − E(a))| − ½)²/Σ var(a), 0 where the difference is under ½.
func chiSquare(tables []table) float64 {
	off, variance := 0.0, 0.0
	for _, t := range tables {
		n := t.a + t.b + t.c + t.d
		ref, focal, right, wrong := t.a+t.b, t.c+t.d, t.a+t.c, t.b+t.d
		off += t.a - ref*right/n
		if n > 1 {
			variance += ref * focal * right * wrong / (n * n * (n - 1))
		}
	}
	d := max(0, math.Abs(off)-0.5)
	if variance == 0 {
		return 0
	}
	return d * d / variance
}
