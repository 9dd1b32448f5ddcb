package itemmodel

import (
	"soloright/content"
	"soloright/quiz"
)

// guardAgainst asks for one control of a hazard among what is stated to be none.
var guardAgainst = &model{name: "guard-against", version: 1, kinds: []content.FactKind{content.KindHazard}, plan: planGuard}

func planGuard(src *quiz.Source, lead content.Fact) plan {
	h := src.Index.Hazard(lead.Subject)
	told := map[string][]content.FactID{}
	controls := make([]string, len(h.Controls))
	for i, c := range h.Controls {
		controls[i] = c.Text
		told[c.Text] = toldBy(src, c.Text, nil)
	}
	c := newChoiceAny(lead, sentence(h.Hazard)+" What do you do against it?", controls, h.Not)
	c.tells = func(text string) []content.FactID { return told[text] }
	return c
}
