package itemmodel

import (
	"strings"

	"soloright/content"
	"soloright/quiz"
)

// cleanWith asks what a feature may be cleaned with before it is inspected, or must not.
var cleanWith = &model{name: "clean-with", version: 1, kinds: []content.FactKind{content.KindClean}, plan: planClean}

// planClean has two variants: what a feature may be cleaned with, and what never.
func planClean(src *quiz.Source, lead content.Fact) plan {
	n := src.Index.Inspection(lead.Subject)
	what := featureOf(src, n)
	nots := make([]string, len(n.Clean.Not))
	for i, w := range n.Clean.Not {
		nots[i] = w.Text
	}
	may := newChoiceAny(lead, sentence(what+" – you clean it for inspection")+" What may you use?", n.Clean.With, n.Clean.Not)
	never := newChoiceAny(lead, sentence(what+" – you clean it for inspection")+" What must you not use?", nots,
		stated(n.Clean.With, func(int) string { return "That is permitted: clean with " + strings.Join(n.Clean.With, " or ") + "." }))
	return eitherOf(variant{"may", telling(src, may), true}, variant{"never", telling(src, never), false})
}
