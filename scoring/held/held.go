// Package held says what a crew holds, fact by fact and person by person, from
// right and wrong answers, and ranks what to teach. It takes plain numbers and
// gives plain numbers.
//
// Each pair of a person and a fact has a share h, the chance that the person has
// the fact right by knowing it. An answer is right with the chance h + (1 − h)·g,
// where g is the stored chance of full marks of its item; the level wanted refers
// to h. Few pairs have more than a handful of answers, so each borrows from the
// others (empirical Bayes):
//
//   - across facts: the level m of a fact, what somebody of this crew is to be
//     expected to hold of it, comes from one beta over the facts; but for one fact in
//     thirty (see [Odd]), which may be anywhere;
//   - across people: a person stands b above or below the crew on every fact, on the
//     scale of the logit, and the b come from one normal about 0;
//   - the pair itself: h comes from the beta with the mean logistic(logit m + b) and
//     the strength κ (its two parameters' sum), the same for all pairs.
//
// The beta over facts, the spread of the b and κ are those that the answers make
// most likely, each under a weak prior that keeps it finite where a crew is
// small: ln κ and ln(α + β) normal about ln 4 with SD 1.5, the mean of the beta
// uniform, the variance of the b worth four people at ½ logit each. What a pair
// borrows never rests on its own answers: m and b are judged without them. Their
// uncertainty widens what is borrowed, so that the intervals hold what they
// promise in a crew of eight, too.
//
// The figures with their intervals are those of package itemstat: the posterior
// mean, the equal-tailed 90 % interval, and the probability that h is below the
// level wanted.
package held

import (
	"fmt"
	"math"

	"soloright/scoring/itemstat"
)

// Pair is what one person answered on one fact.
type Pair struct {
	Person, Fact int // 0 up
	Tallies      []itemstat.Tally
}

// Crew is what a crew answered. A pair without answers may be left out.
type Crew struct {
	People, Facts int
	Pairs         []Pair
}

// check refuses what is out of range.
func (c Crew) check() error {
	refuse := func(format string, args ...any) error {
		return &itemstat.RefusedError{Reason: itemstat.OutOfRange, Detail: fmt.Sprintf(format, args...)}
	}
	if c.People < 0 || c.Facts < 0 || c.People > mostOf || c.Facts > mostOf {
		return refuse("a crew of %d people and %d facts", c.People, c.Facts)
	}
	seen := make(map[[2]int]bool, len(c.Pairs))
	for _, p := range c.Pairs {
		key := [2]int{p.Person, p.Fact}
		if p.Person < 0 || p.Person >= c.People || p.Fact < 0 || p.Fact >= c.Facts {
			return refuse("person %d, fact %d", p.Person, p.Fact)
		}
		if seen[key] {
			return refuse("person %d, fact %d stands twice", p.Person, p.Fact)
		}
		seen[key] = true
		for _, t := range p.Tallies {
			if math.IsNaN(t.Guess) || t.Guess < 0 || t.Guess >= 1 || t.Right < 0 || t.Right > t.Answered || t.Answered > mostAnswers {
				return refuse("person %d, fact %d: %+v", p.Person, p.Fact, t)
			}
		}
	}
	return nil
}

// mostAnswers is how many answers one tally may count, mostOf how many people or
// facts a crew may have.
const (
	mostAnswers = 100_000
	mostOf      = 1_000_000
)

// answered counts the answers of some tallies.
func answered(ts []itemstat.Tally) (n int) {
	for _, t := range ts {
		n += t.Answered
	}
	return n
}
