package itemmodel

import (
	"soloright/content"
	"soloright/quiz"
)

// tightEnough asks by what a joint is known to be tight enough: a torque, a torque and
// then an angle, an angle from snug, a gap, or the stop. The procedure states one of
// the five for each joint, and with it that the others are wrong there.
var tightEnough = &model{name: "tight-enough", version: 1, kinds: []content.FactKind{content.KindTarget}, plan: named(planTight)}

// ways are the ways of tightening, each with what somebody is told who tightens by it
// where the joint is tightened by another.
var ways = []struct {
	by            content.TightenBy
	text, because string
}{
	{content.ByTorque, "the torque wrench shows the stated torque", "No torque alone is stated for it"},
	{content.ByTorqueAngle, "it has had the stated torque and then the stated angle", "No torque with an angle after it is stated for it"},
	{content.ByTurns, "it has been turned the stated angle from snug", "No angle from snug is stated for it"},
	{content.ByGap, "the gap measures what is stated", "No gap is stated for it"},
	{content.ToStop, "it is down on its stop, metal to metal", "It is not screwed down to a stop"},
}

func planTight(src *quiz.Source, lead content.Fact) plan {
	j := src.Index.Joint(lead.Subject)
	right, wrong := "", []content.Wrong(nil)
	for _, w := range ways {
		if w.by == j.Tighten.By {
			right = w.text
			continue
		}
		wrong = append(wrong, content.Wrong{Text: w.text, Because: w.because + ": " + j.Tighten.Words() + "."})
	}
	if right == "" {
		return none("the way of tightening is not stated")
	}
	return newChoice(lead, j.Title+": how do you know that it is tight enough?", right, wrong)
}
