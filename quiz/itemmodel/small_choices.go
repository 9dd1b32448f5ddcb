package itemmodel

import (
	"slices"
	"strings"

	"soloright/content"
	"soloright/content/torque"
	"soloright/quiz"
)

// The models that ask for one statement among what the procedure states to be wrong.
var (
	proveZero = &model{name: "prove-zero", version: 1, kinds: []content.FactKind{content.KindProof}, plan: planProof}

	pressureThatReturns = &model{name: "pressure-that-returns", version: 1, kinds: []content.FactKind{content.KindReturn}, plan: planReturn}

	easeTheJoint = &model{name: "ease-the-joint", version: 1, kinds: []content.FactKind{content.KindOpening}, plan: planOpening}

	placeTheSplit = &model{name: "place-the-split", version: 1, kinds: []content.FactKind{content.KindSplit}, plan: planSplit}

	whereWorkStops = &model{name: "where-work-stops", version: 1, kinds: []content.FactKind{content.KindHold}, plan: planHold}
)

func planProof(src *quiz.Source, lead content.Fact) plan {
	e := src.Index.Energy(lead.Subject)
	return newChoice(lead, sentence(sentenceHead(e.Source))+" How do you prove that it is at zero?", e.Prove, e.NoProof)
}

func planReturn(src *quiz.Source, lead content.Fact) plan {
	e := src.Index.Energy(lead.Subject)
	return newChoice(lead, sentence(sentenceHead(e.Source))+" It can build up again: "+inside(strings.TrimSuffix(e.Returns.How, "."))+". What do you do about it?", e.Returns.Do, e.Returns.Not)
}

func planOpening(src *quiz.Source, lead content.Fact) plan {
	o := src.Index.Opening(lead.Subject)
	return newChoice(lead, sentence(sentenceHead(o.Title))+" There may still be pressure behind it. How do you open it?", o.Do, o.Not)
}

// planSplit offers angles, rising.
func planSplit(src *quiz.Source, lead content.Fact) plan {
	s := stackOf(src, lead.Subject)
	layer := s.st.Layers[s.order.at(lead.Sub)]
	angles := slices.SortedFunc(slices.Values(layer.Split.Not), func(a, b content.WrongAngle) int { return turn(a.Angle, b.Angle) })
	var wrong []content.Wrong
	larger := map[string]bool{}
	for _, a := range angles {
		if t := turn(a.Angle, layer.Split.Angle); t != 0 {
			wrong = append(wrong, content.Wrong{Text: a.Angle.Text(), Because: a.Because})
			larger[a.Angle.Text()] = t > 0
		}
	}
	stem := sentence(sentenceHead(s.st.Title)) + " Seen from the " + s.st.From + ", clockwise from the " + layer.Split.From + ": where does the split of the " + partName(src, layer.Part) + " stand?"
	return newChoice(lead, stem, layer.Split.Angle.Text(), wrong).inOrder(func(w content.Wrong) bool { return larger[w.Text] })
}

// turn compares two angles; angles that cannot be compared are taken for equal,
// so that none of them is offered.
func turn(a, b torque.Quantity) int {
	c, err := a.Cmp(b)
	if err != nil {
		return 0
	}
	return c
}

// planHold asks at which of the hold points the assessor looks at what is stated
// for the lead's: at each of the others he is stated to look at something else.
func planHold(src *quiz.Source, lead content.Fact) plan {
	step := src.Index.Step(lead.Subject)
	var wrong []content.Wrong
	for _, f := range src.Index.Of(content.KindHold) {
		if other := src.Index.Step(f.Subject); f.ID != lead.ID && !sameText(other.Hold.Look, step.Hold.Look) {
			wrong = append(wrong, content.Wrong{Text: other.Text, Because: sentence("at that step the assessor looks at " + inside(other.Hold.Look))})
		}
	}
	c := newChoice(lead, "The assessor has to see "+inside(step.Hold.Look)+". At which step does the work stop for it?", step.Text, wrong)
	if len(c.wrong) < fewestWrong {
		return none("fewer than two other hold points are stated")
	}
	c.shows, c.tells = toldBy(src, step.Hold.Look, step.Parts), stepsOf(src).toldByText
	return c
}
