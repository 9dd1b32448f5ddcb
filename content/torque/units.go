package torque

import "math/big"

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

	MillilitrePerMinute = Unit{34}
	LitrePerMinute      = Unit{35}

	PerMinute = Unit{36}
	Piece     = Unit{37}
)

// unitData is what the package knows of one unit. factor is the size of the unit
// in the coherent unit of its dimension: N·m, m, Pa, °,
// s, 1, °C, kg, m³, L/min, /min, 1.
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

		{"mL/min", Flow, product("0.001")},
		{"L/min", Flow, product("1")},

		{"/min", Rate, product("1")},
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
