package itemmodel

import (
	"slices"

	"soloright/content"
	"soloright/content/torque"
	"soloright/quiz"
)

// placeTheSplit asks where the split of a ring stands, among angles that are stated
// to be wrong.
var placeTheSplit = &model{name: "place-the-split", version: 1, kinds: []content.FactKind{content.KindSplit}, plan: planSplit}

// planSplit offers angles, rising.
func planSplit(src *quiz.Source, lead content.Fact) plan {
	s := stackOf(src, lead.Subject)
	layer := s.st.Layers[s.order.at(lead.Sub)]
	angles := slices.SortedFunc(slices.Values(layer.Split.Not), func(a, b content.WrongAngle) int { return turn(a.Angle, b.Angle) })
	var wrong []content.Wrong
	larger := map[string]bool{}
	for _, a := range angles {
		if t := turn(a.Angle, layer.Split.Angle); t != 0 {
			wrong = append(wrong, content.Wrong{Text: a.Angle.Text(), Because: a.Because})
			larger[a.Angle.Text()] = t > 0
		}
	}
	stem := sentence(sentenceHead(s.st.Title)) + " Seen from the " + s.st.From + ", clockwise from the " + layer.Split.From + ": where does the split of the " + partName(src, layer.Part) + " stand?"
	return newChoice(lead, stem, layer.Split.Angle.Text(), wrong).inOrder(func(w content.Wrong) bool { return larger[w.Text] })
}

// turn compares two angles; angles that cannot be compared are taken for equal,
// so that none of them is offered.
func turn(a, b torque.Quantity) int {
	c, err := a.Cmp(b)
	if err != nil {
		return 0
	}
	return c
}
