package itemmodel

import (
	"soloright/content"
	"soloright/quiz"
)

func truthOfCheckPass(t failer, p *content.Procedure, it quiz.Item) truth {
	c := rawJoint(p, it).CheckPass
	return statedTruth(t, it, []string{c.Do}, c.Not)
}
