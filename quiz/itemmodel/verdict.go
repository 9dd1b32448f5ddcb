package itemmodel

import (
	"math/rand/v2"

	"soloright/content"
	"soloright/quiz"
)

// verdict is one option of a decision. Because is told to whoever takes it wrongly;
// dangerous says that taking it wrongly is a critical miss on a critical fact.
type verdict struct {
	text      string
	because   string
	dangerous bool
}

// decision is a choice among verdicts that exclude each other, of which one is right.
type decision struct {
	stem, explain, signature string
	verdicts                 []verdict
	right                    int
	seconds                  int
	shows                    []content.FactID
}

// inOrder writes the decision with its verdicts in their natural order.
func (d decision) inOrder(lead content.Fact) quiz.Item {
	order := make([]int, len(d.verdicts))
	for i := range order {
		order[i] = i
	}
	it := d.item(lead, order)
	it.Interaction.Ordered = true
	return it
}

// shuffled writes the decision with its verdicts shuffled.
func (d decision) shuffled(lead content.Fact, rnd *rand.Rand) quiz.Item {
	return d.item(lead, rnd.Perm(len(d.verdicts)))
}

func (d decision) item(lead content.Fact, order []int) quiz.Item {
	n := len(order)
	it := quiz.Item{Stem: d.stem, Explain: d.explain, Signature: d.signature, Seconds: d.seconds, Shows: d.shows, Chance: oneOf(n),
		Interaction: quiz.Interaction{Kind: quiz.Choice, Options: make([]quiz.Option, n)},
		Key:         quiz.Key{Options: make([]quiz.KeyOption, n)}, Feedback: make([]quiz.Feedback, 0, n-1)}
	for i, v := range order {
		option := d.verdicts[v]
		it.Interaction.Options[i] = quiz.Option{ID: letter(i), Text: option.text}
		it.Key.Options[i] = quiz.KeyOption{ID: letter(i), Right: v == d.right, Fact: lead.ID, Dangerous: v != d.right && option.dangerous && lead.Critical}
		if v != d.right {
			it.Feedback = append(it.Feedback, quiz.Feedback{Option: letter(i), Text: option.because})
		}
	}
	return it
}
