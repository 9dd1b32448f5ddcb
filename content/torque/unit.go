package torque

import (
	"fmt"
	"math/big"
)

// Dimension is the kind of thing that a unit measures. Units of one dimension
// convert into each other, others never.
type Dimension int

// The dimensions. Temperature has one unit, so nothing is converted there.
const (
	Dimensionless Dimension = iota // the zero Unit
	Torque
	Length
	Pressure
	Angle
	Time
	Ratio
	Temperature
	Mass
	Volume
	Flow
	Rate
	Count
)

var dimensionNames = [...]string{
	"no dimension", "torque", "length", "pressure", "angle", "time", "ratio",
	"temperature", "mass", "volume", "flow", "rate", "count",
}

// String returns the name of the dimension: "torque".
func (d Dimension) String() string {
	if d < 0 || int(d) >= len(dimensionNames) {
		return fmt.Sprintf("dimension %d", int(d))
	}
	return dimensionNames[d]
}

// Unit is a unit of measurement. Units are compared with ==. The zero Unit is no
// unit at all; its String is "".
type Unit struct{ id uint8 }

func (u Unit) data() unitData {
	if int(u.id) >= len(units) {
		return units[0]
	}
	return units[u.id]
}

// String returns the unit as the program prints it: "N·m", "lbf·in", "kgf/cm²".
func (u Unit) String() string { return u.data().print }

// Dimension returns what the unit measures.
func (u Unit) Dimension() Dimension { return u.data().dimension }

// IsZero reports whether u is no unit at all.
func (u Unit) IsZero() bool { return u == Unit{} }

// Equal reports whether both are the same unit; == does the same.
func (u Unit) Equal(o Unit) bool { return u == o }

// Factor returns how many of the unit to make one of this unit, exactly:
// PoundForceFoot.Factor(PoundForceInch) is 12. It is an error where the
// dimensions differ.
func (u Unit) Factor(to Unit) (*big.Rat, error) {
	a, b := u.data(), to.data()
	if a.dimension != b.dimension {
		return nil, fmt.Errorf("%s is a unit of %v and %s of %v: one does not convert into the other",
			name(u), a.dimension, name(to), b.dimension)
	}
	return new(big.Rat).Quo(a.factor, b.factor), nil
}

// Units returns every unit of the dimension, in the order in which they are listed.
func Units(d Dimension) []Unit {
	var us []Unit
	for i := 1; i < len(units); i++ {
		if units[i].dimension == d {
			us = append(us, Unit{uint8(i)})
		}
	}
	return us
}

func name(u Unit) string {
	if u.IsZero() {
		return "no unit"
	}
	return u.String()
}

// MarshalText writes the unit as it is printed; the zero Unit as nothing.
func (u Unit) MarshalText() ([]byte, error) { return []byte(u.String()), nil }

// UnmarshalText reads any spelling that ParseUnit reads, and nothing as the zero Unit.
func (u *Unit) UnmarshalText(b []byte) error {
	if len(b) == 0 {
		*u = Unit{}
		return nil
	}
	v, err := ParseUnit(string(b))
	if err != nil {
		return err
	}
	*u = v
	return nil
}
