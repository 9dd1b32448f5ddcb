package itemmodel

import (
	"soloright/content"
	"soloright/quiz"
)

// checkPass asks what is done after the last load step, among what is stated to be wrong.
var checkPass = &model{name: "check-pass", version: 1, kinds: []content.FactKind{content.KindCheckPass}, plan: planCheckPass}

func planCheckPass(src *quiz.Source, lead content.Fact) plan {
	j := src.Index.Joint(lead.Subject)
	stem := j.Title + ": every fastener has had its last load step in the sequence. What do you do before you put the wrench away?"
	return telling(src, newChoice(lead, stem, j.CheckPass.Do, j.CheckPass.Not))
}
