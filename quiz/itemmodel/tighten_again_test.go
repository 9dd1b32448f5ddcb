package itemmodel

import (
	"soloright/content"
	"soloright/quiz"
)

func truthOfAgain(t failer, p *content.Procedure, it quiz.Item) truth {
	a := rawJoint(p, it).Again
	return statedTruth(t, it, []string{a.When}, a.Not)
}
