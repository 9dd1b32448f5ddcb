package itemmodel

import (
	"soloright/content"
	"soloright/quiz"
)

// truthOfCause: every cause of the fault is right, whichever is the lead, so none but
// the lead's may be offered.
func truthOfCause(t failer, p *content.Procedure, it quiz.Item) truth {
	f := find(p.Faults, func(f *content.Fault) bool { return f.ID == ends(it)[1] })
	var causes []string
	for _, c := range f.Causes {
		causes = append(causes, c.Text)
	}
	return statedTruth(t, it, causes, f.Not)
}
