package itemstat

import "math"

// Goal is what a test's length is planned for.
type Goal struct {
	Weak      float64 // who holds this share or less …
	FalsePass float64 // … passes with less than this chance, within the tries
	Strong    float64 // who holds this share or more …
	FalseFail float64 // … fails one try with less than this chance
	Tries     int     // allowed, 1 or more
}

// Plan is a test's length, its cut and its exact risks.
type Plan struct {
	Length, Cut int     // items, and right answers needed
	FalsePass   float64 // within the tries, at Goal.Weak
	FalseFail   float64 // of one try, at Goal.Strong
}

// MaxPlan is the longest test that [PlanLength] considers.
const MaxPlan = 2000

// PlanLength returns the shortest test, with its lowest cut, that meets the
// goal, exactly binomial: false pass 1 − (1 − P(X ≥ c))^T at Weak, false fail
// P(X < c) at Strong. Its error is a [*RefusedError]; [OutOfRange] also where even [MaxPlan] items do not do.
func PlanLength(g Goal) (Plan, error) {
	if !finite(g.Weak, g.FalsePass, g.Strong, g.FalseFail) {
		return Plan{}, refuse(NotFinite, "goal")
	}
	if g.Weak <= 0 || g.Weak >= g.Strong || g.Strong >= 1 || g.FalsePass <= 0 || g.FalsePass >= 1 ||
		g.FalseFail <= 0 || g.FalseFail >= 1 || g.Tries < 1 || g.Tries > 100 {
		return Plan{}, refuse(OutOfRange, "goal %+v", g)
	}
	c := 0 // the lowest cut never falls as the test grows
	for n := 1; n <= MaxPlan; n++ {
		for c <= n && passWithin(c, n, g.Weak, g.Tries) >= g.FalsePass {
			c++
		}
		if c > n {
			continue
		}
		if fail := binomialCDF(c-1, n, g.Strong); fail < g.FalseFail {
			return Plan{n, c, passWithin(c, n, g.Weak, g.Tries), fail}, nil
		}
	}
	return Plan{}, refuse(OutOfRange, "no test of at most %d items meets %+v", MaxPlan, g)
}

// RisksOf returns what a test of n items with the cut c does to the two people of a
// goal, by the same exact sums. A cut out of range gives certain verdicts.
func RisksOf(g Goal, n, c int) Plan {
	return Plan{n, c, passWithin(c, n, g.Weak, g.Tries), binomialCDF(c-1, n, g.Strong)}
}

// passWithin is the chance of reaching c of n in at least one of the tries.
func passWithin(c, n int, p float64, tries int) float64 {
	return -math.Expm1(float64(tries) * math.Log1p(-binomialTail(c, n, p)))
}
