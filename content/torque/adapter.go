package torque

import (
	"errors"
	"fmt"
	"math/big"
)

// InLine returns what to set a wrench to when an adapter sits in line with it,
// pointing away from the hand: T·L/(L+E), with L from the square drive to the
// middle of the grip and E from the square drive to the fastener. The result is
// exact, in the target's unit. (US Army TM 9-254, adapter length compensation.)
func InLine(target, wrench, adapter Quantity) (Quantity, error) {
	return Angled(target, wrench, adapter, Of(new(big.Rat), Degree))
}

// Angled returns what to set a wrench to when the adapter is turned by an angle
// from the line of the wrench: 0° points away from the hand, 90° needs no
// correction, more is turned back towards the hand and needs a higher setting. The
// effective length is L + E·cos a. The result is in the target's unit; it is exact
// for 0, 60, 90, 120 and 180°, else as exact as Cosine.
//
// Lengths must be above 0 (the adapter's may be 0), the target too, the angle from
// 0 to 180°. An adapter turned back as far as the middle of the grip leaves no
// lever; that is an error.
func Angled(target, wrench, adapter, angle Quantity) (Quantity, error) {
	s, err := angled(target, wrench, adapter, angle)
	if err != nil {
		return Quantity{}, fmt.Errorf("correct %s for an adapter: %w", target.text, err)
	}
	return s, nil
}

func angled(target, wrench, adapter, angle Quantity) (Quantity, error) {
	if target.unit.Dimension() != Torque || target.value.Sign() <= 0 {
		return Quantity{}, errors.New("the target is not a torque above 0: write one such as 30 N·m")
	}
	length, err := wrench.In(Metre)
	if err != nil {
		return Quantity{}, fmt.Errorf("length of the wrench: %w", err)
	}
	extra, err := adapter.In(Metre)
	if err != nil {
		return Quantity{}, fmt.Errorf("length of the adapter: %w", err)
	}
	if length.Sign() <= 0 || extra.Sign() < 0 {
		return Quantity{}, fmt.Errorf("lengths %s and %s: the wrench's must be above 0, the adapter's not below", wrench.text, adapter.text)
	}
	cos, err := cosineOf(angle)
	if err != nil {
		return Quantity{}, err
	}
	effective := cos.Add(length, cos.Mul(extra, cos))
	if effective.Sign() <= 0 {
		return Quantity{}, fmt.Errorf("an adapter of %s turned back by %s leaves a wrench of %s no lever: use a shorter adapter or turn it outward",
			adapter.text, angle.text, wrench.text)
	}
	v := length.Mul(length, target.value)
	return Of(v.Quo(v, effective), target.unit), nil
}

func cosineOf(angle Quantity) (*big.Rat, error) {
	deg, err := angle.In(Degree)
	if err != nil {
		return nil, fmt.Errorf("angle of the adapter: %w", err)
	}
	if deg.Sign() < 0 || deg.Cmp(big.NewRat(180, 1)) > 0 {
		return nil, fmt.Errorf("angle of the adapter %s: write one from 0 ° (in line) to 180 ° (turned right back)", angle.text)
	}
	return Cosine(deg), nil
}
