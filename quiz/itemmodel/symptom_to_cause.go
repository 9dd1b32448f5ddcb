package itemmodel

import (
	"soloright/content"
	"soloright/quiz"
)

// symptomToCause asks for one probable cause of a symptom, among what it is stated not to be.
var symptomToCause = &model{name: "symptom-to-cause", version: 1, kinds: []content.FactKind{content.KindCause}, plan: planCause}

// planCause takes its wrong answers only from what the fault is stated not to be: the
// other causes of the same fault are right as well, and those of other faults are not
// stated to be wrong here.
func planCause(src *quiz.Source, lead content.Fact) plan {
	f := src.Index.Fault(lead.Subject)
	for _, c := range f.Causes {
		if c.ID == lead.Sub {
			return telling(src, newChoice(lead, sentence(f.Symptom)+" What do you look for?", c.Text, f.Not))
		}
	}
	return none("there is no such cause")
}
