package itemmodel

import (
	"math/rand/v2"

	"soloright/content"
	"soloright/quiz"
)

// pickTheFacing shows a part both ways round in one labelled surrounding, then
// "either way round" and "as the pipework requires", always last and always the
// same number, so that the options say nothing of the kind of facing. Only the
// whole figure is mirrored. Every part has a dab of marking paint on one face:
// those whose two sides look alike could not be drawn both ways without it, and
// if only they had it, it would tell which parts may go in either way.
var pickTheFacing = &model{onDrawing: true, name: "pick-the-facing", version: 1, kinds: []content.FactKind{content.KindFacing}, plan: planFacing}

// The two fixed options.
const (
	eitherWay  = "either way round"
	asPipework = "as the pipework requires"
)

type facingPlan struct {
	lead    content.Fact
	part    *content.Part
	stem    string
	drawn   [2]*quiz.Drawn // to the left, to the right
	because facingTexts
}

// facingTexts says why each answer is wrong.
type facingTexts struct{ turned, oneWay, either, pipework string }

func planFacing(src *quiz.Source, lead content.Fact) plan {
	part := src.Index.Part(lead.Subject)
	if !endsDiffer(part.Facing) {
		return none("the two ends of its surrounding are not told apart")
	}
	shape := partShape(src, part.ID)
	p := &facingPlan{lead: lead, part: part, because: facingFeedback(part)}
	p.drawn = [2]*quiz.Drawn{{Shape: shape, Toward: "left", Mark: true}, {Shape: shape, Toward: "right", Mark: true}}
	p.stem = facingStem(part) + " One face carries a dab of marking paint."
	return p
}

func endsDiffer(f *content.Facing) bool {
	return f.Toward != "" && f.Away != "" && !sameText(f.Toward, f.Away)
}

// facingStem asks for the way round. The two ends stand in the order of the
// alphabet, which does not tell which is which.
func facingStem(part *content.Part) string {
	a, b := part.Facing.Toward, part.Facing.Away
	if a > b {
		a, b = b, a
	}
	return sentenceHead(part.Name) + ", between the " + a + " and the " + b + ": which way round does it go in?"
}

func facingFeedback(part *content.Part) facingTexts {
	f := part.Facing
	said := sentence("the " + part.Name + " goes in " + f.Words())
	if f.Kind == content.Directional {
		said = sentence("the " + f.Feature + " of the " + part.Name + " faces the " + f.Toward)
	}
	if f.Because != "" {
		said += " " + sentence(f.Because)
	}
	texts := facingTexts{
		turned:   sentence("that is the wrong way round") + " " + said,
		oneWay:   sentence("it need not go in that way round only") + " " + said,
		either:   sentence("it does not go in either way round") + " " + said,
		pipework: sentence("the pipework does not decide it") + " " + said,
	}
	if f.Kind == content.AsPipework {
		texts.oneWay = sentence("that way round is right only where the pipework asks for it") + " " + said
	}
	if f.Wrong != "" {
		texts.turned = sentence("that is the wrong way round") + " " + sentence(f.Wrong)
		texts.either += " " + sentence("the other way round: "+inside(f.Wrong))
	}
	return texts
}

func (p *facingPlan) count() (int, string) { return 1, "" }

func (p *facingPlan) write(rnd *rand.Rand) (quiz.Item, error) {
	ends := [2]string{p.part.Facing.Toward, p.part.Facing.Away} // left, right
	mirrored, first := rnd.IntN(2), rnd.IntN(2)                 // first: the drawing that stands first
	if mirrored == 1 {
		ends[0], ends[1] = ends[1], ends[0]
	}
	it := facingItem(p.lead, p.part, &p.because, first == mirrored, quiz.Option{Drawn: p.drawn[first]}, quiz.Option{Drawn: p.drawn[1-first]})
	it.Signature, it.Stem = "drawn", p.stem
	it.Figure = &quiz.Figure{Facing: &quiz.FacingFigure{Part: p.part.Name, Left: ends[0], Right: ends[1]}}
	return it, nil
}

// facingItem writes the options, key and feedback: the two ways round, then the
// two fixed ones. toward says that the first way has the feature toward the end
// that is stated, which is right for a directional part.
func facingItem(lead content.Fact, part *content.Part, because *facingTexts, toward bool, ways ...quiz.Option) quiz.Item {
	kind := part.Facing.Kind
	right := 3
	texts := [4]string{because.oneWay, because.oneWay, because.either, because.pipework}
	switch kind {
	case content.Directional:
		if right = 1; toward {
			right = 0
		}
		texts[1-right] = because.turned
	case content.Reversible:
		right = 2
	}
	it := quiz.Item{
		Explain: sentence(lead.Text), Seconds: 45, Chance: oneOf(4),
		Interaction: quiz.Interaction{Kind: quiz.Choice, Fixed: 2, Options: append(ways, quiz.Option{Text: eitherWay}, quiz.Option{Text: asPipework})},
		Key:         quiz.Key{Options: make([]quiz.KeyOption, 4)},
		Feedback:    make([]quiz.Feedback, 0, 3),
	}
	for i := range it.Interaction.Options {
		id := letter(i)
		it.Interaction.Options[i].ID = id
		it.Key.Options[i] = quiz.KeyOption{ID: id, Right: i == right, Fact: lead.ID, Dangerous: i != right && lead.Critical && kind == content.Directional}
		if i != right {
			it.Feedback = append(it.Feedback, quiz.Feedback{Option: id, Text: texts[i]})
		}
	}
	return it
}
