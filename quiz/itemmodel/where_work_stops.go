package itemmodel

import (
	"soloright/content"
	"soloright/quiz"
)

// whereWorkStops asks at which hold point the assessor looks at something.
var whereWorkStops = &model{name: "where-work-stops", version: 1, kinds: []content.FactKind{content.KindHold}, plan: planHold}

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
