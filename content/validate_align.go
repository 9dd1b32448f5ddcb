package content

import (
	"fmt"
	"math/big"

	"soloright/content/torque"
)

func (c *checker) align(path string, a *Align, t *Tighten) {
	switch {
	case a.MaxTorque == nil && a.MaxAngle == nil:
		c.add(path, "has no maximum: nobody could know when to stop", "add max_torque: or max_angle:")
	case a.MaxTorque != nil && a.MaxAngle != nil:
		c.add(path, "has a maximum of torque and one of angle", "keep the one that the manual gives")
	}
	if t.By == ToStop || t.By == ByGap {
		c.add(path, fmt.Sprintf("a joint tightened by %s cannot be turned on to a hole", t.By), "leave align out, or write another word under tighten.by")
	}
	if every := aroundCircle(a.Every); every != nil && a.Every.Value().Sign() > 0 {
		c.everyHole(join(path, "every"), a.Every)
	}
	c.beyondTarget(path, a, t)
}

// everyHole checks that the aligned angles close round the circle.
func (c *checker) everyHole(path string, every torque.Quantity) {
	times := new(big.Rat).Quo(big.NewRat(360, 1), inUnit(every, torque.Degree))
	if !times.IsInt() {
		c.add(path, fmt.Sprintf("%s does not go into 360 ° a whole number of times", every.Text()), "give the angle from one aligned hole to the next, as in 60 °")
	}
}

// beyondTarget checks that the maximum torque leaves room above the target.
func (c *checker) beyondTarget(path string, a *Align, t *Tighten) {
	if a.MaxTorque == nil || a.MaxTorque.Unit().Dimension() != torque.Torque {
		return
	}
	p := join(path, "max_torque")
	switch {
	case t.By == ByTurns:
		c.add(p, "a joint tightened by turns has no torque to compare it with", "give max_angle: instead")
	case t.Torque != nil && t.Torque.Unit().Dimension() == torque.Torque && compare(*a.MaxTorque, *t.Torque) <= 0:
		c.add(p, fmt.Sprintf("the maximum %s is not above the target %s", a.MaxTorque.Text(), t.Torque.Text()), "give a maximum above the target")
	}
}
