package itemmodel

import (
	"math/rand/v2"
	"strconv"

	"soloright/content"
	"soloright/quiz"
)

// howManyGoIn asks how many of a part go in. Known mistakes are the numbers of
// other parts.
var howManyGoIn = &model{name: "how-many-go-in", version: 1, kinds: []content.FactKind{content.KindQuantity}, plan: planHowMany}

// mostMistakes is how many other parts' numbers get feedback of their own.
const mostMistakes = 4

type howManyPlan struct{ it quiz.Item }

func planHowMany(src *quiz.Source, lead content.Fact) plan {
	part := src.Index.Part(lead.Subject)
	n := strconv.Itoa(part.Quantity)
	it := quiz.Item{
		Stem: sentenceHead(part.Name) + ": how many go in?", Signature: n, Explain: sentence(lead.Text), Seconds: 30,
		Interaction: quiz.Interaction{Kind: quiz.Numeric, Unit: "pcs"},
		Key:         quiz.Key{Number: &quiz.KeyNumber{Exact: n, Accept: []quiz.Interval{{Lo: n, Hi: n}}}},
		Chance:      chanceCount(part.Quantity),
	}
	seen := map[int]bool{part.Quantity: true}
	for _, f := range src.Index.Of(content.KindQuantity) {
		other := src.Index.Part(f.Subject)
		if seen[other.Quantity] || len(it.Key.Number.Mistakes) == mostMistakes {
			continue
		}
		seen[other.Quantity] = true
		q := strconv.Itoa(other.Quantity)
		it.Key.Number.Mistakes = append(it.Key.Number.Mistakes, quiz.Mistake{Interval: quiz.Interval{Lo: q, Hi: q},
			Because: sentence("that is the number of another part, the " + other.Name)})
	}
	return &howManyPlan{it}
}

func (p *howManyPlan) count() (int, string) { return 1, "" }

func (p *howManyPlan) write(*rand.Rand) (quiz.Item, error) { return p.it, nil }
