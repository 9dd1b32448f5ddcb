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
	Rate
	Count
)

var dimensionNames = [...]string{
	"no dimension", "torque", "length", "pressure", "angle", "time", "ratio",
	"temperature", "mass", "volume", "rate", "count",
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

// The units. Each is printed as its entry in the table of units says.
var (
	NewtonMetre             = Unit{1}
	DecinewtonMetre         = Unit{2}
	NewtonCentimetre        = Unit{3}
	PoundForceFoot          = Unit{4}
	PoundForceInch          = Unit{5}
	OunceForceInch          = Unit{6}
	KilogramForceMetre      = Unit{7}
	KilogramForceCentimetre = Unit{8}

	Metre      = Unit{9}
	Centimetre = Unit{10}
	Millimetre = Unit{11}
	Micrometre = Unit{12}
	Foot       = Unit{13}
	Inch       = Unit{14}
	Thou       = Unit{15}

	Pascal                           = Unit{16}
	Kilopascal                       = Unit{17}
	Megapascal                       = Unit{18}
	Bar                              = Unit{19}
	Millibar                         = Unit{20}
	PSI                              = Unit{21}
	KilogramForcePerSquareCentimetre = Unit{22}

	Degree = Unit{23}
	Turn   = Unit{24}

	Second = Unit{25}
	Minute = Unit{26}
	Hour   = Unit{27}

	Percent       = Unit{28}
	DegreeCelsius = Unit{29}

	Gram     = Unit{30}
	Kilogram = Unit{31}

	Millilitre = Unit{32}
	Litre      = Unit{33}

	PerMinute = Unit{34}
	Piece     = Unit{35}
)

// unitData is what the package knows of one unit. factor is the size of the unit
// in the coherent unit of its dimension: N·m, m, Pa, °, s, 1, °C, kg, m³, 1/min, 1.
type unitData struct {
	print     string
	dimension Dimension
	factor    *big.Rat
}

// units is indexed by Unit.id.
var units = makeUnits()

func makeUnits() []unitData {
	pound := product("0.45359237", "9.80665") // the pound-force in newtons
	inch := product("0.0254")
	poundInch := mul(pound, inch)
	return []unitData{
		{"", Dimensionless, product("1")},
		{"N·m", Torque, product("1")},
		{"dN·m", Torque, product("0.1")},
		{"N·cm", Torque, product("0.01")},
		{"lbf·ft", Torque, mul(poundInch, product("12"))},
		{"lbf·in", Torque, poundInch},
		{"ozf·in", Torque, mul(poundInch, product("1/16"))},
		{"kgf·m", Torque, product("9.80665")},
		{"kgf·cm", Torque, product("9.80665", "0.01")},

		{"m", Length, product("1")},
		{"cm", Length, product("0.01")},
		{"mm", Length, product("0.001")},
		{"µm", Length, product("0.000001")},
		{"ft", Length, mul(inch, product("12"))},
		{"in", Length, inch},
		{"thou", Length, mul(inch, product("0.001"))},

		{"Pa", Pressure, product("1")},
		{"kPa", Pressure, product("1000")},
		{"MPa", Pressure, product("1000000")},
		{"bar", Pressure, product("100000")},
		{"mbar", Pressure, product("100")},
		{"psi", Pressure, new(big.Rat).Quo(pound, mul(inch, inch))},
		{"kgf/cm²", Pressure, product("9.80665", "10000")},

		{"°", Angle, product("1")},
		{"turn", Angle, product("360")},

		{"s", Time, product("1")},
		{"min", Time, product("60")},
		{"h", Time, product("3600")},

		{"%", Ratio, product("0.01")},
		{"°C", Temperature, product("1")},

		{"g", Mass, product("0.001")},
		{"kg", Mass, product("1")},

		{"mL", Volume, product("0.000001")},
		{"L", Volume, product("0.001")},

		{"1/min", Rate, product("1")},
		{"pcs", Count, product("1")},
	}
}

// product multiplies constants of this package, written as decimals or fractions.
func product(factors ...string) *big.Rat {
	p := big.NewRat(1, 1)
	for _, f := range factors {
		v, _ := new(big.Rat).SetString(f)
		p.Mul(p, v)
	}
	return p
}

func mul(a, b *big.Rat) *big.Rat { return new(big.Rat).Mul(a, b) }

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
