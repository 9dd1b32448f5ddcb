package itemstat

import (
	"cmp"
	"slices"
)

// Groups is the number of score groups of [Choices]: lower, middle and upper third.
const Groups = 3

// Choice is what one person chose: an option's place from 0, or [NoChoice], and
// the score by which the person is placed (best the mean mark on other columns).
type Choice struct {
	Option int
	Score  float64
}

// NoChoice is a blank answer.
const NoChoice = -1

// ChoiceTable counts choices by score group, the lower first. People with equal
// scores are in one group: the one that the middle of their places falls in. So
// the groups may differ in size, and one may be empty.
type ChoiceTable struct {
	N       int
	People  [Groups]int
	Chosen  [Groups][]int // by option
	Blank   [Groups]int
	Unused  []int // options that nobody chose
	Omitted Figure
	NotYet  Reason // set, and no counts given, below 20 people
	Need    int
}

// Choices counts who chose which of the options. Its error is a [*RefusedError]: no
// options, an option out of range, a score that is not finite.
func Choices(options int, people []Choice) (ChoiceTable, error) {
	if options < 1 {
		return ChoiceTable{}, refuse(Empty, "options")
	}
	blank := 0
	for i, p := range people {
		if p.Option < NoChoice || p.Option >= options {
			return ChoiceTable{}, refuse(OutOfRange, "person %d: option %d of %d", i, p.Option, options)
		}
		if !finite(p.Score) {
			return ChoiceTable{}, refuse(NotFinite, "person %d: score", i)
		}
		if p.Option == NoChoice {
			blank++
		}
	}
	t := ChoiceTable{N: len(people), Omitted: Omitted(blank, len(people))}
	if len(people) < NeedChoices {
		t.NotYet, t.Need = TooFew, NeedChoices
		return t, nil
	}
	t.fill(options, slices.Clone(people))
	return t, nil
}

func (t *ChoiceTable) fill(options int, people []Choice) {
	for g := range t.Chosen {
		t.Chosen[g] = make([]int, options)
	}
	slices.SortFunc(people, func(a, b Choice) int { return cmp.Compare(a.Score, b.Score) })
	for lo := 0; lo < len(people); {
		hi := lo
		for hi < len(people) && people[hi].Score == people[lo].Score {
			hi++
		}
		// The middle of places lo … hi−1 is (lo+hi−1)/2; its group without fractions.
		g := min(Groups-1, (lo+hi)*Groups/(2*len(people)))
		for _, p := range people[lo:hi] {
			t.People[g]++
			if p.Option == NoChoice {
				t.Blank[g]++
			} else {
				t.Chosen[g][p.Option]++
			}
		}
		lo = hi
	}
	for o := range options {
		if t.Chosen[0][o]+t.Chosen[1][o]+t.Chosen[2][o] == 0 {
			t.Unused = append(t.Unused, o)
		}
	}
}

// Omitted is the share of blank answers with its Wilson interval, from any n.
func Omitted(blank, n int) Figure {
	in, err := Wilson(float64(blank), n, Level)
	if err != nil {
		return none(Empty, n)
	}
	return ranged(float64(blank)/float64(n), in.Lo, in.Hi, Level, n)
}

// Times are the quartiles of the time on a sheet, in the unit given, by linear
// interpolation between the ordered times; Median has the interval of the order
// statistics whose exact binomial level is at least 90 %, where n allows one.
type Times struct {
	Lower, Median, Upper Figure
}

// SheetTimes returns the quartiles of times. Its error is a [*RefusedError]: a
// time that is negative or not finite.
func SheetTimes(times []float64) (Times, error) {
	for i, t := range times {
		if !finite(t) {
			return Times{}, refuse(NotFinite, "time %d", i)
		}
		if t < 0 {
			return Times{}, refuse(OutOfRange, "time %d: %v", i, t)
		}
	}
	n := len(times)
	if n == 0 {
		return Times{none(Empty, 0), none(Empty, 0), none(Empty, 0)}, nil
	}
	ts := slices.Clone(times)
	slices.Sort(ts)
	out := Times{number(quantile(ts, 0.25), n), number(quantile(ts, 0.5), n), number(quantile(ts, 0.75), n)}
	if r := medianRank(n, Level); r > 0 {
		out.Median = ranged(out.Median.Value, ts[r-1], ts[n-r], Level, n)
	}
	return out, nil
}

// quantile interpolates between the order statistics on both sides of (n−1)·p.
func quantile(sorted []float64, p float64) float64 {
	at := float64(len(sorted)-1) * p
	i := int(at)
	if i+1 >= len(sorted) {
		return sorted[len(sorted)-1]
	}
	return sorted[i] + (at-float64(i))*(sorted[i+1]-sorted[i])
}

// medianRank is the largest r for which the r-th smallest and r-th largest of n
// cover the median with at least the level: P(Bin(n, ½) < r) ≤ (1 − level)/2.
// It is 0 where no such r exists.
func medianRank(n int, level float64) int {
	r := 0
	for r+1 <= n/2 && binomialCDF(r, n, 0.5) <= (1-level)/2 {
		r++
	}
	return r
}
