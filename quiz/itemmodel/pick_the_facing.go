package itemmodel

import (
	"math/rand/v2"

	"soloright/content"
	"soloright/quiz"
)

// pickTheFacing shows a part both ways round in one labelled surrounding, then
// "either way round" and "as the pipework requires", always last and always the
// same number, so that the options say nothing of the kind of facing. Only the
// whole figure is mirrored. A part whose two sides look alike has a dab of
// marking paint on one, and the stem says which side that is.
var pickTheFacing = &model{name: "pick-the-facing", version: 1, kinds: []content.FactKind{content.KindFacing}, plan: planFacing}

// The two fixed options.
const (
	eitherWay  = "either way round"
	asPipework = "as the pipework requires"
)

type facingPlan struct {
	lead    content.Fact
	part    *content.Part
	f       *content.Facing
	stem    string
	drawn   [2]*quiz.Drawn // to the left, to the right
	because facingTexts
}

// facingTexts says why each answer is wrong.
type facingTexts struct{ turned, oneWay, either, pipework string }

func planFacing(src *quiz.Source, lead content.Fact) plan {
	part := src.Index.Part(lead.Subject)
	f := part.Facing
	if f.Toward == "" || f.Away == "" || sameText(f.Toward, f.Away) {
		return none("the two ends of its surrounding are not told apart")
	}
	shape := partShape(src, part.ID)
	mark := !content.Shapes[shape].Asymmetric
	p := &facingPlan{lead: lead, part: part, f: f, because: facingFeedback(part)}
	p.drawn = [2]*quiz.Drawn{{Shape: shape, Toward: "left", Mark: mark}, {Shape: shape, Toward: "right", Mark: mark}}
	p.stem = sentenceHead(part.Name) + ", between the " + f.Toward + " and the " + f.Away + ": which way round does it go in?"
	if f.Toward > f.Away { // the order of the two must not tell which is which
		p.stem = sentenceHead(part.Name) + ", between the " + f.Away + " and the " + f.Toward + ": which way round does it go in?"
	}
	if mark {
		p.stem += " A dab of marking paint is on " + markedFace(f) + "."
	}
	return p
}

func markedFace(f *content.Facing) string {
	if f.Feature != "" {
		return "the " + f.Feature
	}
	return "one face"
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
	left, right := p.f.Toward, p.f.Away
	mirrored := rnd.IntN(2)
	if mirrored == 1 {
		left, right = right, left
	}
	first := rnd.IntN(2) // the drawing that stands first
	it := quiz.Item{
		Signature: "facing", Stem: p.stem, Explain: sentence(p.lead.Text), Seconds: 45, Chance: oneOf(4),
		Figure: &quiz.Figure{Facing: &quiz.FacingFigure{Part: p.part.Name, Left: left, Right: right}},
		Interaction: quiz.Interaction{Kind: quiz.Choice, Fixed: 2, Options: []quiz.Option{
			{ID: "a", Drawn: p.drawn[first]}, {ID: "b", Drawn: p.drawn[1-first]}, {ID: "c", Text: eitherWay}, {ID: "d", Text: asPipework}}},
	}
	for i, o := range it.Interaction.Options {
		text := p.wrong(i, first, mirrored)
		it.Key.Options = append(it.Key.Options, quiz.KeyOption{ID: o.ID, Right: text == "", Fact: p.lead.ID, Dangerous: text != "" && p.lead.Critical && p.f.Kind == content.Directional})
		if text != "" {
			it.Feedback = append(it.Feedback, quiz.Feedback{Option: o.ID, Text: text})
		}
	}
	return it, nil
}

// wrong returns why option i is wrong, "" for the right one. The feature of a
// directional part looks toward the end that stands left unless the figure is
// mirrored, so the drawing with the number of mirrored is right.
func (p *facingPlan) wrong(i, first, mirrored int) string {
	directional := p.f.Kind == content.Directional
	drawn := i
	if first == 1 {
		drawn = 1 - i
	}
	switch {
	case i < 2 && directional && drawn == mirrored, i == 2 && p.f.Kind == content.Reversible, i == 3 && p.f.Kind == content.AsPipework:
		return ""
	case i < 2 && directional:
		return p.because.turned
	case i < 2:
		return p.because.oneWay
	case i == 2:
		return p.because.either
	}
	return p.because.pipework
}
