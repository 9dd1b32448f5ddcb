package itemmodel

import (
	"math/rand/v2"

	"soloright/content"
	"soloright/quiz"
)

// tick is an option of a multiple choice.
type tick struct {
	text      string
	fact      content.FactID
	because   string // why it is wrong to tick it; "" for a right one
	dangerous bool   // a wrong one whose choice is a critical miss
}

// writeMultiple shuffles the options and writes a multiple choice of them. The
// signature is their texts.
func writeMultiple(rnd *rand.Rand, stem string, ticks []tick) quiz.Item {
	rnd.Shuffle(len(ticks), func(i, j int) { ticks[i], ticks[j] = ticks[j], ticks[i] })
	n, right := len(ticks), 0
	it := quiz.Item{
		Stem: stem, Seconds: 30 + 6*n,
		Interaction: quiz.Interaction{Kind: quiz.Multiple, Options: make([]quiz.Option, n)},
		Key:         quiz.Key{Options: make([]quiz.KeyOption, n)},
		Feedback:    make([]quiz.Feedback, 0, n),
	}
	parts := make([]string, n)
	for i, t := range ticks {
		parts[i] = t.text
		it.Interaction.Options[i] = quiz.Option{ID: letter(i), Text: t.text}
		it.Key.Options[i] = quiz.KeyOption{ID: letter(i), Right: t.because == "", Fact: t.fact, Dangerous: t.dangerous}
		if t.because == "" {
			right++
		} else {
			it.Feedback = append(it.Feedback, quiz.Feedback{Option: letter(i), Text: t.because})
		}
	}
	it.Chance = chanceMultiple(right, n-right)
	it.Signature = signature("", parts)
	return it
}

// split is how many right and wrong options are shown, and in how many ways they
// can be chosen.
type split struct{ right, wrong, ways int }

// splits lists how n options may be divided, where the given numbers stand to
// choose from and some right ones are shown in any case.
func splits(n, always, right, wrong int) []split {
	var out []split
	for r := max(1, always); r < n; r++ {
		if ways := times(choose(right, r-always), choose(wrong, n-r)); ways > 0 {
			out = append(out, split{r, n - r, ways})
		}
	}
	return out
}

// allWays adds up the ways, at most quiz.MaxCount.
func allWays(ss []split) int {
	sum := 0
	for _, s := range ss {
		sum = min(quiz.MaxCount, sum+s.ways)
	}
	return sum
}
