package torque

import (
	"math/big"
	"testing"
)

// given and is are to six figures, worked out from the exact definitions and
// cross-checked; see also TestFactorsNIST.
var converted = []struct {
	given  string
	to     Unit
	places int
	is     string
}{
	{"30 lbf·ft", NewtonMetre, 4, "40.6745"},
	{"120 lbf·in", NewtonMetre, 4, "13.5582"},
	{"45 N·m", PoundForceFoot, 4, "33.1903"},
	{"5.5 N·m", PoundForceInch, 4, "48.6791"},
	{"2.5 kgf·m", PoundForceFoot, 4, "18.0825"},
	{"90 kgf·cm", PoundForceInch, 4, "78.1165"},
	{"100 psi", Bar, 5, "6.89476"},
	{"7 kgf/cm²", Bar, 5, "6.86466"}, // an exact tie, 6.864655
}

func TestConvert(t *testing.T) {
	for _, c := range converted {
		q, err := Parse(c.given)
		if err != nil {
			t.Fatal(err)
		}
		v, err := q.In(c.to)
		if err != nil {
			t.Fatal(err)
		}
		if got := Decimal(v, c.places); got != c.is {
			t.Errorf("%s in %v: got %s, want %s", c.given, c.to, got, c.is)
		}
	}
}

// TestFactorsExact: exact values in N·m (and Pa), worked out from 1 lb =
// 0.45359237 kg, g = 9.80665 m/s², 1 in = 0.0254 m.
func TestFactorsExact(t *testing.T) {
	for u, want := range map[Unit]string{
		PoundForceFoot:          "1.3558179483314004",
		PoundForceInch:          "0.1129848290276167",
		OunceForceInch:          "0.00706155181422604375",
		KilogramForceCentimetre: "0.0980665",
	} {
		f, err := u.Factor(NewtonMetre)
		exact, _ := new(big.Rat).SetString(want)
		if err != nil || f.Cmp(exact) != 0 {
			t.Errorf("%v: got %v, %v; want %s", u, f, err, want)
		}
	}
}
