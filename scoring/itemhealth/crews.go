package itemhealth

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"soloright/scoring/itemstat"
)

// crewsDiffer compares each crew with everybody else on the fact, whatever the
// model, matched on the proportion right on the person's other facts. Where there
// are two crews that is one comparison.
func (s *Study) crewsDiffer(f *fact, o *others) []*test {
	crews := s.crewsOf(f)
	if len(crews) < 2 {
		return nil
	}
	if len(crews) == 2 {
		crews = crews[1:] // the other way round it says the same
	}
	var out []*test
	for _, crew := range crews {
		people := s.matched(f, o, func(p int) bool { return s.crew[p] == crew }, func(p int) bool { return s.crew[p] != "" })
		t := compared(people, Flag{Kind: CrewsDiffer, Crew: crew, OfFact: true})
		if t != nil {
			t.flag.Sentence = t.flag.sentence("Crew "+crew+" holds it", "other people who are alike elsewhere")
			out = append(out, t)
		}
	}
	return out
}

// crewsOf lists the crews that met the fact, in order.
func (s *Study) crewsOf(f *fact) []string {
	var out []string
	for p := range f.first {
		if c := s.crew[p]; c != "" && !slices.Contains(out, c) {
			out = append(out, c)
		}
	}
	slices.Sort(out)
	return out
}

// drifts compares who met the family first since each later revision with who
// did before, matched likewise.
func (s *Study) drifts(c *column, o *others) []*test {
	var out []*test
	for i := c.since() + 1; i < len(s.design.Revisions); i++ {
		since := s.design.Revisions[i]
		people := s.matched(c, o, func(p int) bool { return c.first[p].revision >= i }, func(int) bool { return true })
		if t := compared(people, Flag{Kind: Drifts, Since: since}); t != nil {
			t.flag.Sentence = t.flag.sentence("Whoever met it since revision "+since+" holds it", "whoever met it before and is alike elsewhere")
			out = append(out, t)
		}
	}
	return out
}

// matched are the people who count, with their score on other facts; who has
// none cannot be matched.
func (s *Study) matched(c *column, o *others, focal, counts func(p int) bool) []itemstat.Matched {
	var out []itemstat.Matched
	for _, p := range c.persons() {
		if score, ok := o.share(p, c.Lead); ok && counts(p) {
			out = append(out, itemstat.Matched{Focal: focal(p), Score: score, Right: c.first[p].right})
		}
	}
	return out
}

// compared is the look at two groups; nil where they cannot be compared. From 100
// people in the smaller group it is raised by the size class, B or C; below that
// where the 90 % interval of the shrunken odds ratio leaves 1 out, and no letter.
func compared(people []itemstat.Matched, f Flag) *test {
	d, err := itemstat.Compare(people)
	var no *itemstat.RefusedError
	if errors.As(err, &no) || err != nil || min(d.Reference, d.Focal) < needGroup {
		return nil
	}
	f.Difference, f.N = d, min(d.Reference, d.Focal)
	t := &test{}
	if d.P.Known() {
		f.Luck, t.raised = d.P.Value, d.Size != itemstat.SizeA
	} else {
		f.Luck, t.raised = unshrunken(d.Shrunken), d.Shrunken.Lo > 1 || d.Shrunken.Hi < 1
	}
	t.flag = f
	return t
}

// unshrunken is the two-sided p-value of the odds ratio before it was drawn
// towards 1: from the posterior's mean m and SD s of its logarithm, and the
// prior's SD π, the error is 1/√(1/s² − 1/π²) and the estimate m·(1 + error²/π²).
func unshrunken(f itemstat.Figure) float64 {
	if !f.Known() {
		return 1
	}
	const prior = itemstat.PriorSpread
	m := math.Log(f.Value)
	s := (math.Log(f.Hi) - m) / distuv.UnitNormal.Quantile(0.95)
	precision := 1/(s*s) - 1/(prior*prior)
	if precision <= 0 {
		return 1
	}
	z := m * (1 + 1/(precision*prior*prior)) * math.Sqrt(precision)
	return 2 * distuv.UnitNormal.CDF(-math.Abs(z))
}

// sentence says how the focal group differs. An odds ratio above 1 is to its
// disadvantage.
func (f Flag) sentence(who, whom string) string {
	d, odds, letter := f.Difference, f.Difference.Shrunken, "drawn towards 1, and no size class below 100 people"
	if d.Odds.Known() {
		odds, letter = d.Odds, "size class "+string(d.Size)
	}
	way, value, lo, hi := "less", odds.Value, odds.Lo, odds.Hi
	if value < 1 {
		way, value, lo, hi = "more", 1/odds.Value, 1/odds.Hi, 1/odds.Lo
	}
	return fmt.Sprintf("%s %s often than %s: odds 1 to %.1f (90 %% interval %.1f to %.1f, %s), %d people against %d.", who, way, whom, value, lo, hi, letter, d.Focal, d.Reference)
}
