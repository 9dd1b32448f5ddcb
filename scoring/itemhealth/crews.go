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
// are two crews that is one comparison. From 100 people in the smaller group each
// counts once; below that every answer counts, for less where one person gave several.
func (s *Study) crewsDiffer(f *fact, o *others, rho float64) []*test {
	crews := s.crewsOf(f)
	if len(crews) < 2 {
		return nil
	}
	if len(crews) == 2 {
		crews = crews[1:] // the other way round it says the same
	}
	var out []*test
	for _, crew := range crews {
		focal, counts := func(p int) bool { return s.crew[p] == crew }, func(p int) bool { return s.crew[p] != "" }
		flag := Flag{Kind: CrewsDiffer, Crew: crew, OfFact: true}
		t := compared(s.matched(f, o, focal, counts), flag)
		if t != nil && min(t.flag.Difference.Reference, t.flag.Difference.Focal) < itemstat.NeedDifference {
			t = comparedByAnswers(s.matchedAnswers(f, o, focal, counts), t.flag, f.weightOf(rho))
		}
		if t != nil {
			t.flag.Sentence = t.flag.sentence("Crew "+crew+" holds it", "other people who are alike elsewhere")
			out = append(out, t)
		}
	}
	return out
}

// comparedByAnswers is the look at two groups of fewer than 100 people each by every
// answer. The difference says how many people there are.
func comparedByAnswers(answers []itemstat.Matched, f Flag, weight float64) *test {
	d, err := itemstat.Compare(answers)
	if err != nil {
		return nil
	}
	people, score := f.Difference, d.Score
	ln, se, ok := unshrunken(d.Shrunken)
	if !ok {
		return nil
	}
	se *= math.Sqrt(weight)
	d = itemstat.Difference{Reference: people.Reference, Focal: people.Focal, Strata: d.Strata, Odds: people.Odds, ChiSquare: people.ChiSquare, P: people.P, Delta: people.Delta,
		Shrunken: shrunken(ln, se, f.N), Score: score / weight}
	f.Difference, f.Luck = d, tail(d.Score)
	f.shares = sharesOf(answers)
	return &test{flag: f, raised: apart(f)}
}

// apart is when two groups of fewer than 100 people are said to differ: where the
// interval of the shrunken odds ratio leaves 1 out, or luck shows so much once in a
// hundred times. (A strong difference in a small crew has a wide interval, which
// the prior then draws over 1.)
func apart(f Flag) bool {
	return f.Difference.Shrunken.Lo > 1 || f.Difference.Shrunken.Hi < 1 || f.Luck <= oddLuck
}

// shares are the shares right of the focal group and of the other.
type shares struct {
	focal, other   float64
	nFocal, nOther int
}

func sharesOf(all []itemstat.Matched) shares {
	var s shares
	for _, m := range all {
		right := float64(asInt(m.Right))
		if m.Focal {
			s.focal, s.nFocal = s.focal+right, s.nFocal+1
		} else {
			s.other, s.nOther = s.other+right, s.nOther+1
		}
	}
	s.focal, s.other = s.focal/float64(max(1, s.nFocal)), s.other/float64(max(1, s.nOther))
	return s
}

func (s shares) String() string {
	return fmt.Sprintf("right in %.0f %% of %d answers against %.0f %% of %d", 100*s.focal, s.nFocal, 100*s.other, s.nOther)
}

// shrunken is an odds ratio drawn towards 1, as itemstat does it.
func shrunken(ln, se float64, n int) itemstat.Figure {
	const prior = itemstat.PriorSpread * itemstat.PriorSpread
	weight := prior / (prior + se*se)
	mean, half := weight*ln, math.Sqrt(weight)*se*distuv.UnitNormal.Quantile(0.95)
	return itemstat.Figure{Value: math.Exp(mean), Lo: math.Exp(mean - half), Hi: math.Exp(mean + half), Conf: itemstat.Level, N: n}
}

// tail is the p-value of the Mantel–Haenszel chi-square. (The ratio of the estimate to
// its standard error says little where hardly anybody of one group is wrong.)
func tail(chi float64) float64 { return distuv.ChiSquared{K: 1}.Survival(chi) }

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

// matchedAnswers is matched for every answer.
func (s *Study) matchedAnswers(c *column, o *others, focal, counts func(p int) bool) []itemstat.Matched {
	var out []itemstat.Matched
	for _, g := range c.every {
		if score, ok := o.share(g.person, c.Lead); ok && counts(g.person) {
			out = append(out, itemstat.Matched{Focal: focal(g.person), Score: score, Right: g.right})
		}
	}
	return out
}

// compared is the look at two groups; nil where they cannot be compared. From 100
// people in the smaller group it is raised by the size class, B or C; below that
// see apart, and no letter.
func compared(people []itemstat.Matched, f Flag) *test {
	d, err := itemstat.Compare(people)
	var no *itemstat.RefusedError
	if errors.As(err, &no) || err != nil || min(d.Reference, d.Focal) < needGroup {
		return nil
	}
	f.Difference, f.N, f.shares = d, min(d.Reference, d.Focal), sharesOf(people)
	t := &test{}
	if d.P.Known() {
		f.Luck, t.raised = d.P.Value, d.Size != itemstat.SizeA
	} else {
		f.Luck = tail(d.Score)
		t.raised = apart(f)
	}
	t.flag = f
	return t
}

// unshrunken is the logarithm of the odds ratio before it was drawn towards 1, and
// its standard error: from the posterior's mean m and SD s, and the prior's SD π,
// the error is 1/√(1/s² − 1/π²) and the estimate m·(1 + error²/π²).
func unshrunken(f itemstat.Figure) (ln, se float64, ok bool) {
	if !f.Known() {
		return 0, 0, false
	}
	const prior = itemstat.PriorSpread
	m := math.Log(f.Value)
	s := (math.Log(f.Hi) - m) / distuv.UnitNormal.Quantile(0.95)
	precision := 1/(s*s) - 1/(prior*prior)
	if precision <= 0 {
		return 0, 0, false
	}
	se = 1 / math.Sqrt(precision)
	return m * (1 + se*se/(prior*prior)), se, true
}

// sentence says how the focal group differs. An odds ratio above 1 is to its
// disadvantage.
func (f Flag) sentence(who, whom string) string {
	d, odds, letter := f.Difference, f.Difference.Shrunken, "drawn towards 1; no size class below 100 people"
	if d.Odds.Known() {
		odds, letter = d.Odds, "size class "+string(d.Size)
	}
	way, value, lo, hi := "less", odds.Value, odds.Lo, odds.Hi
	if value < 1 {
		way, value, lo, hi = "more", 1/odds.Value, 1/odds.Hi, 1/odds.Lo
	}
	return fmt.Sprintf("%s %s often than %s: %s. Odds 1 to %.1f (90 %% interval %.1f to %.1f, %s), %d people against %d.",
		who, way, whom, f.shares, value, lo, hi, letter, d.Focal, d.Reference)
}
