package itemmodel

import (
	"strings"

	"soloright/content"
	"soloright/quiz"
)

// setTheWrench asks what is set on a wrench that reads in another unit than the
// manual. There are two variants: the stem gives the manual's torque, so that the
// setting alone is tested; or it does not, and the torque must be known as well.
var setTheWrench = &model{name: "set-the-wrench", version: 1, kinds: []content.FactKind{content.KindTarget}, plan: named(planSetting),
	states: func(it *quiz.Item) bool { return strings.HasPrefix(it.Signature, givenTorque) }}

// givenTorque begins the signature of the first variant.
const givenTorque = "given|"

// planSetting finds the wrenches for a target.
func planSetting(src *quiz.Source, lead content.Fact) plan {
	t, why := targetOf(src, lead.Subject)
	if why != "" {
		return none(why)
	}
	c := &chooser{few: "no wrench in another unit comes near this torque"}
	for _, w := range wrenches(src) {
		if w.Unit == t.torque.Unit() {
			continue
		}
		if s, ok := t.on(w, 100); ok && s.sensible() {
			c.add(s, func() quiz.Item { return writeSetting(src, t, s, true) })
			c.add(s, func() quiz.Item { return writeSetting(src, t, s, false) })
		}
	}
	return c
}

func writeSetting(src *quiz.Source, t target, s setting, given bool) quiz.Item {
	it := quiz.Item{Signature: "by heart|" + s.wrench.id(), Seconds: 120}
	task := t.joint.Title + ": you have " + s.wrench.words() + ". What do you set it to for the torque that the procedure gives"
	if given {
		it.Signature = givenTorque + s.wrench.id()
		task = t.joint.Title + ": the procedure gives " + t.words() + ". You have " + s.wrench.words() + ". What do you set it to"
	}
	if t.joint.Tighten.By == content.ByTorqueAngle {
		task += ", before the turn by angle"
	}
	it.Stem = task + "?"
	k := s.start()
	s.unitSlips(k, t.torque.Unit(), t.torque.Value())
	if !given {
		otherTargets(src, t, s, k)
	}
	s.ask(&it, k)
	it.Explain = "The procedure gives " + t.words() + "; that is " + about(s.Exact) + " " + s.wrench.Unit.String() + ". " + s.result()
	return it
}

// otherTargets adds the torques of the procedure's other joints as mistakes.
func otherTargets(src *quiz.Source, t target, s setting, k *numberKey) {
	for i := range src.Procedure.Joints {
		o, why := targetOf(src, src.Procedure.Joints[i].ID)
		if why != "" || o.joint == t.joint {
			continue
		}
		if v, err := o.torque.In(s.wrench.Unit); err == nil && s.outside(v) {
			s.slip(k, v, "That is the torque of another joint, “"+o.joint.Title+"”: "+o.torque.Text()+".")
		}
	}
}

func targetID(t target) content.FactID {
	return content.FactID(string(content.KindTarget) + "/" + t.joint.ID)
}
