package itemmodel

import (
	"soloright/content"
	"soloright/quiz"
)

// easeTheJoint asks how a joint that may hold pressure is opened, among ways that
// are stated to be wrong.
var easeTheJoint = &model{name: "ease-the-joint", version: 1, kinds: []content.FactKind{content.KindOpening}, plan: planOpening}

func planOpening(src *quiz.Source, lead content.Fact) plan {
	o := src.Index.Opening(lead.Subject)
	return newChoice(lead, sentence(sentenceHead(o.Title))+" There may still be pressure behind it. How do you open it?", o.Do, o.Not)
}
