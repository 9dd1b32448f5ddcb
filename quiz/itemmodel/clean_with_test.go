package itemmodel

import (
	"strings"

	"soloright/content"
	"soloright/quiz"
)

func truthOfClean(t failer, p *content.Procedure, it quiz.Item) truth {
	c := rawInspection(p, it).Clean
	tr := statedTruth(t, it, c.With, c.Not)
	if strings.HasSuffix(it.Stem, "What must you not use?") {
		return contraryTruth(tr)
	}
	return tr
}
