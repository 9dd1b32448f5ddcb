package itemmodel

import (
	"strings"

	"soloright/content"
	"soloright/quiz"
)

// normalOrFault asks about something seen on the bench or in service, in two variants:
// what it comes from, among the readings that the procedure states to be wrong; and
// which of several sights is normal, or a fault, where the others are stated to be the
// contrary.
var normalOrFault = &model{name: "normal-or-fault", version: 1, kinds: []content.FactKind{content.KindObservation}, plan: planObservation}

func planObservation(src *quiz.Source, lead content.Fact) plan {
	o := src.Index.Observation(lead.Subject)
	from := newChoice(lead, sentence(o.Seen)+" What do you make of it?", o.Means, o.Not)
	from.explain = sightExplained(o)
	stem := "Which of these is a fault?"
	if o.Normal {
		stem = "Which of these is normal, and no fault?"
	}
	which := newChoice(lead, stem, o.Seen, contrary(src, o))
	which.explain = from.explain
	return eitherOf(variant{"which", telling(src, which), true}, variant{"from", telling(src, from), true})
}

// contrary are the sights that are normal where o is a fault, or faults where it is normal.
func contrary(src *quiz.Source, o *content.Observation) (out []content.Wrong) {
	for i := range src.Procedure.Observations {
		if other := &src.Procedure.Observations[i]; other.Normal != o.Normal {
			out = append(out, content.Wrong{Text: other.Seen, Because: sightExplained(other)})
		}
	}
	return out
}

func sightExplained(o *content.Observation) string {
	is := "That is a fault: "
	if o.Normal {
		is = "That is normal: "
	}
	return is + inside(strings.TrimSuffix(o.Means, ".")) + "."
}
