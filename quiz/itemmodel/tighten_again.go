package itemmodel

import (
	"soloright/content"
	"soloright/quiz"
)

// tightenAgain asks when a joint is tightened again, or whether ever.
var tightenAgain = &model{name: "tighten-again", version: 1, kinds: []content.FactKind{content.KindAgain}, plan: planAgain}

func planAgain(src *quiz.Source, lead content.Fact) plan {
	j := src.Index.Joint(lead.Subject)
	return telling(src, newChoice(lead, j.Title+": the joint is tightened and checked. When is it tightened again?", j.Again.When, j.Again.Not))
}
