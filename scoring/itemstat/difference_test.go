package itemstat

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Admissions to the University of California, Berkeley, by department (Bickel,
// Hammel and O'Connell 1975, Science 187, 398–404): admitted and rejected men, then women.
// Odds ratio, interval and chi-square as the R function mantelhaen.test prints
// them for this table; from memory.
func TestMantelHaenszelBerkeley(t *testing.T) {
	tables := []table{
		{512, 313, 89, 19}, {353, 207, 17, 8}, {120, 205, 202, 391},
		{138, 279, 131, 244}, {53, 138, 94, 299}, {22, 351, 24, 317},
	}
	d, err := compareTables(tables)
	if err != nil {
		t.Fatal(err)
	}
	known(t, "odds ratio", d.Odds, .9046968, 5e-8)
	known(t, "chi-square", d.ChiSquare, 1.4269, 5e-5)
	known(t, "p", d.P, .2323, 5e-5)
	ln, se := logOdds(tables)
	near(t, "95 % lower", math.Exp(ln-1.959964*se), .7719074, 5e-7)
	near(t, "95 % upper", math.Exp(ln+1.959964*se), 1.0603298, 5e-7)
	if d.Size != SizeA {
		t.Errorf("size %q, want A", d.Size)
	}
}

// Two crews of different ability: a fact that both meet alike is class A, one
// that the focal crew learned another way is C; below 100 there is no letter.
func TestCompareFindsPlantedDifference(t *testing.T) {
	rnd := rand.New(rand.NewPCG(27, 28))
	crews := func(each int, harder float64) []Matched {
		var people []Matched
		for i := range 2 * each {
			focal := i%2 == 1
			theta := rnd.NormFloat64() - .5*indicator(focal)
			score := float64(draws(rnd, 40, logistic(theta))) / 40
			people = append(people, Matched{focal, score, rnd.Float64() < logistic(theta-harder*indicator(focal))})
		}
		return people
	}
	same, err := Compare(crews(1000, 0))
	if err != nil {
		t.Fatal(err)
	}
	other, err := Compare(crews(1000, 1.5))
	if err != nil {
		t.Fatal(err)
	}
	if same.Size != SizeA || other.Size != SizeC || other.Odds.Lo < 1 || other.Delta.Value > -1.5 {
		t.Errorf("alike %+v\nanother way %+v", same, other)
	}
	if same.Strata > 5 {
		t.Errorf("%d strata", same.Strata)
	}
	few, err := Compare(crews(99, 1.5))
	if err != nil {
		t.Fatal(err)
	}
	absent(t, "odds ratio of 99", few.Odds, TooFew)
	if few.Size != "" || !few.Shrunken.Known() || few.Shrunken.Lo < 1 {
		t.Errorf("99 people: %+v", few)
	}
	tiny, _ := Compare(crews(6, 1.5))
	if tiny.Shrunken.Known() && math.Abs(math.Log(tiny.Shrunken.Value)) > .5 {
		t.Errorf("6 people: shrunken only to %+v", tiny.Shrunken)
	}
}

func TestCompareRefuses(t *testing.T) {
	_, err := Compare(nil)
	refused(t, "nobody", err, Empty)
	_, err = Compare([]Matched{{false, math.NaN(), true}})
	refused(t, "NaN", err, NotFinite)
	_, err = Compare([]Matched{{false, .5, true}, {false, .5, false}})
	refused(t, "one crew", err, Empty)
	_, err = Compare([]Matched{{false, .5, true}, {true, .5, true}})
	refused(t, "all right", err, Constant)
	// Reference all right, focal all wrong: an infinite ratio, brought in.
	d, err := Compare([]Matched{{false, .5, true}, {true, .5, false}})
	if err != nil || !d.Shrunken.Known() {
		t.Errorf("two people: %+v, %v", d, err)
	}
}
