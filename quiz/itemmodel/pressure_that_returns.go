package itemmodel

import (
	"strings"

	"soloright/content"
	"soloright/quiz"
)

// pressureThatReturns asks what is done because an energy can build up again, among
// what is stated not to be enough.
var pressureThatReturns = &model{name: "pressure-that-returns", version: 1, kinds: []content.FactKind{content.KindReturn}, plan: planReturn}

func planReturn(src *quiz.Source, lead content.Fact) plan {
	e := src.Index.Energy(lead.Subject)
	return newChoice(lead, sentence(sentenceHead(e.Source))+" It can build up again: "+inside(strings.TrimSuffix(e.Returns.How, "."))+". What do you do about it?", e.Returns.Do, e.Returns.Not)
}
