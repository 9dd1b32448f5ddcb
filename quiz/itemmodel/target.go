package itemmodel

import (
	"math/big"

	"soloright/content"
	"soloright/content/torque"
	"soloright/quiz"
)

// target is the torque that a joint is tightened to, with its tolerance band.
type target struct {
	joint  *content.Joint
	torque torque.Quantity
	band   *[2]torque.Quantity // nil where the joint states no tolerance
}

// targetOf returns the target torque of a joint; why says that it has none.
func targetOf(src *quiz.Source, joint string) (t target, why string) {
	j := src.Index.Joint(joint)
	if j == nil {
		return t, "there is no such joint"
	}
	t.joint = j
	if j.Tighten.Torque == nil || (j.Tighten.By != content.ByTorque && j.Tighten.By != content.ByTorqueAngle) {
		return t, "the joint is not tightened to a torque"
	}
	t.torque = *j.Tighten.Torque
	if j.Tighten.Tolerance != nil {
		lo, hi, err := j.Tighten.Tolerance.Band(t.torque)
		if err != nil {
			return t, "the tolerance does not fit the torque"
		}
		t.band = &[2]torque.Quantity{lo, hi}
	}
	return t, ""
}

// words are the target and its tolerance as the procedure gives them.
func (t target) words() string {
	if t.joint.Tighten.Tolerance == nil {
		return t.torque.Text()
	}
	return t.torque.Text() + " " + t.joint.Tighten.Tolerance.Text()
}

// on returns a percentage of the target, with the same percentage of its band (a
// load step's tolerance is a percentage of the step's value), as a setting of the wrench.
func (t target) on(w wrench, percent int) (setting, bool) {
	return t.times(w, big.NewRat(int64(percent), 100))
}

// times returns share of the target and of its band as a setting of the wrench.
func (t target) times(w wrench, share *big.Rat) (setting, bool) {
	of := func(q torque.Quantity) torque.Quantity { return torque.Of(mul(q.Value(), share), q.Unit()) }
	if t.band == nil {
		return settingOf(w, of(t.torque), nil)
	}
	return settingOf(w, of(t.torque), &[2]torque.Quantity{of(t.band[0]), of(t.band[1])})
}

// unitSlips adds the mistakes of conversion: the factor turned round, the number
// taken over as it is, foot and inch or metre and centimetre confused.
func (s setting) unitSlips(k *numberKey, from torque.Unit, value *big.Rat) {
	if from == s.wrench.Unit {
		return
	}
	factor := factorWords(from, s.wrench.Unit)
	turned := quo(mul(value, value), s.Exact)
	s.slip(k, turned, "The unit factor is turned round: "+factor+".")
	s.slip(k, value, "The number is taken over without converting: "+factor+".")
	for _, c := range [][3]string{{"lbf·in", "lbf·ft", "12"}, {"lbf·ft", "lbf·in", "1/12"}, {"kgf·cm", "kgf·m", "100"}} {
		if c[0] != s.wrench.Unit.String() {
			continue
		}
		by, _ := new(big.Rat).SetString(c[2])
		s.slip(k, quo(s.Exact, by), "That is the value in "+c[1]+"; this wrench reads "+c[0]+".")
	}
	s.slip(k, mul(s.Exact, big.NewRat(10, 1)), "The decimal point has slipped: "+factor+".")
	s.slip(k, quo(s.Exact, big.NewRat(10, 1)), "The decimal point has slipped: "+factor+".")
}
