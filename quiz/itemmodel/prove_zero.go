package itemmodel

import (
	"soloright/content"
	"soloright/quiz"
)

// proveZero asks how an energy is proved to be at zero, among what is stated to be
// no proof.
var proveZero = &model{name: "prove-zero", version: 1, kinds: []content.FactKind{content.KindProof}, plan: planProof}

func planProof(src *quiz.Source, lead content.Fact) plan {
	e := src.Index.Energy(lead.Subject)
	return newChoice(lead, sentence(sentenceHead(e.Source))+" How do you prove that it is at zero?", e.Prove, e.NoProof)
}
