package itemmodel

import (
	"cmp"
	"math/rand/v2"

	"soloright/content"
	"soloright/quiz"
)

// sayTheFacing asks for the way round in words: the feature of the part toward
// either end, then "either way round" and "as the pipework requires". Where the
// procedure names no feature it is the one by which the shape is drawn; a part
// whose two sides look alike has none, and there is no item: to name a face of
// such a part would tell that it may go in either way.
var sayTheFacing = &model{name: "say-the-facing", version: 1, kinds: []content.FactKind{content.KindFacing}, plan: planSay}

type sayPlan struct {
	lead    content.Fact
	part    *content.Part
	stem    string
	ways    [2]string // toward the end that is stated, toward the other
	because facingTexts
}

func planSay(src *quiz.Source, lead content.Fact) plan {
	part := src.Index.Part(lead.Subject)
	f := part.Facing
	if !endsDiffer(f) {
		return none("the two ends of its surrounding are not told apart")
	}
	face := cmp.Or(f.Feature, content.Shapes[partShape(src, part.ID)].Feature)
	if face == "" {
		return none("no feature tells its two sides apart in words")
	}
	p := &sayPlan{lead: lead, part: part, stem: facingStem(part), because: facingFeedback(part)}
	p.ways = [2]string{face + " toward the " + f.Toward, face + " toward the " + f.Away}
	return p
}

func (p *sayPlan) count() (int, string) { return 1, "" }

func (p *sayPlan) write(rnd *rand.Rand) (quiz.Item, error) {
	first := rnd.IntN(2)
	it := facingItem(p.lead, p.part, &p.because, first == 0, quiz.Option{Text: p.ways[first]}, quiz.Option{Text: p.ways[1-first]})
	it.Signature, it.Stem = "said", p.stem
	return it, nil
}
