package itemmodel

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"

	"soloright/content"
	"soloright/quiz"
)

// fewestWrong is how many texts must be stated wrong before there is a choice item.
const fewestWrong = 2

// choicePlan is a choice between one right text and texts that the procedure
// states to be wrong, each with its reason as the feedback. Three of the wrong
// ones are shown; two where only two are stated, and where three are stated
// sometimes two, so that there is a fresh item to be had.
type choicePlan struct {
	lead    content.Fact
	stem    string
	rights  []string        // texts that are right; one of them is shown
	wrong   []content.Wrong // texts that are wrong, distinct and never right
	explain string          // by default the lead fact as a sentence
	seconds int             // by default 45
	shows   []content.FactID
	figure  *quiz.Figure
	tells   func(text string) []content.FactID // what an option's text gives away; nil: nothing

	// ordered says that the options have a natural order (numbers rising) and are
	// not shuffled: wrong is in that order, and the right text, of which there is
	// one, stands before wrong[rightAt].
	ordered bool
	rightAt int
}

// newChoice makes the plan of a choice item. Of texts that read alike one is
// kept, and a wrong text that reads like a right one is dropped.
func newChoice(lead content.Fact, stem, right string, wrong []content.Wrong) *choicePlan {
	return newChoiceAny(lead, stem, []string{right}, wrong)
}

// newChoiceAny is newChoice with several texts that are right, of which each item shows one.
func newChoiceAny(lead content.Fact, stem string, rights []string, wrong []content.Wrong) *choicePlan {
	c := &choicePlan{lead: lead, stem: stem, explain: sentence(lead.Text), seconds: 45}
	for _, r := range rights {
		if !slices.ContainsFunc(c.rights, func(o string) bool { return sameText(o, r) }) {
			c.rights = append(c.rights, r)
		}
	}
	for _, w := range wrong {
		isRight := slices.ContainsFunc(c.rights, func(o string) bool { return sameText(o, w.Text) })
		twice := slices.ContainsFunc(c.wrong, func(o content.Wrong) bool { return sameText(o.Text, w.Text) })
		if !isRight && !twice {
			c.wrong = append(c.wrong, w)
		}
	}
	return c
}

// inOrder says that the options stand in their natural order: wrong must have
// been given in it, and the right text stands before the first wrong one for
// which after is true.
func (c *choicePlan) inOrder(after func(content.Wrong) bool) *choicePlan {
	c.ordered = true
	if c.rightAt = slices.IndexFunc(c.wrong, after); c.rightAt < 0 {
		c.rightAt = len(c.wrong)
	}
	return c
}

// shown gives the least and the greatest number of wrong texts that are shown.
func (c *choicePlan) shown() (least, most int) {
	n := len(c.wrong)
	return min(3, max(fewestWrong, n-1)), min(3, n)
}

func (c *choicePlan) count() (int, string) {
	if len(c.rights) == 0 {
		return 0, "the procedure does not state what is right"
	}
	if n := len(c.wrong); n < fewestWrong {
		return 0, fmt.Sprintf("the procedure states %d wrong answers to it, at least %d are needed", n, fewestWrong)
	}
	least, most := c.shown()
	sum := 0
	for k := least; k <= most; k++ {
		sum += choose(len(c.wrong), k)
	}
	return times(len(c.rights), min(sum, quiz.MaxCount)), ""
}

// pick chooses the wrong texts of one item, ascending; every set that count
// counts is as likely as any other.
func (c *choicePlan) pick(rnd *rand.Rand) []int {
	n := len(c.wrong)
	least, most := c.shown()
	k := most
	if least < most && rnd.IntN(choose(n, least)+choose(n, most)) < choose(n, least) {
		k = least
	}
	return some(rnd, n, k)
}

func (c *choicePlan) write(rnd *rand.Rand) (quiz.Item, error) {
	right := c.rights[rnd.IntN(len(c.rights))]
	wrong := c.pick(rnd)
	n := len(wrong) + 1
	at := c.place(rnd, wrong)
	it := quiz.Item{
		Stem: c.stem, Figure: c.figure, Explain: c.explain, Seconds: c.seconds,
		Shows: slices.Clone(c.shows), Chance: oneOf(n),
		Interaction: quiz.Interaction{Kind: quiz.Choice, Options: make([]quiz.Option, n), Ordered: c.ordered},
		Key:         quiz.Key{Options: make([]quiz.KeyOption, n)},
		Feedback:    make([]quiz.Feedback, 0, n-1),
	}
	parts := make([]string, 0, n)
	for i := range n {
		text, isRight := right, i == at
		if !isRight {
			w := c.wrong[wrong[len(it.Feedback)]]
			text = w.Text
			it.Feedback = append(it.Feedback, quiz.Feedback{Option: letter(i), Text: w.Because})
			parts = append(parts, text)
		}
		if c.tells != nil {
			it.Shows = union(it.Shows, c.tells(text)...)
		}
		it.Interaction.Options[i] = quiz.Option{ID: letter(i), Text: text}
		it.Key.Options[i] = quiz.KeyOption{ID: letter(i), Right: isRight, Fact: c.lead.ID, Dangerous: !isRight && c.lead.Critical}
	}
	it.Signature = signature(right, parts)
	return it, nil
}

// place shuffles the wrong texts and says where the right one stands; in ordered
// options it stands where its value puts it.
func (c *choicePlan) place(rnd *rand.Rand, wrong []int) int {
	if c.ordered {
		at := 0
		for _, w := range wrong {
			if w < c.rightAt {
				at++
			}
		}
		return at
	}
	rnd.Shuffle(len(wrong), func(i, j int) { wrong[i], wrong[j] = wrong[j], wrong[i] })
	return rnd.IntN(len(wrong) + 1)
}

// stated makes wrong answers of texts that the procedure states for something
// else; because must say so of each.
func stated(texts []string, because func(i int) string) []content.Wrong {
	out := make([]content.Wrong, len(texts))
	for i, t := range texts {
		out[i] = content.Wrong{Text: strings.TrimSpace(t), Because: because(i)}
	}
	return out
}
