package torque

import (
	"math/big"
	"strings"
	"testing"
)

// Six figures, worked out from the exact definitions and cross-checked.
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
	{"7 kgf/cm²", Bar, 5, "6.86466"}, // an exact tie, 6.864655: binary floats round it down
	{"30 psi", Kilopascal, 3, "206.843"},
	// T = K·D·F for 3/4-10 UNC, 50 ksi on the root area 0.301907 in² (F 15 095.35 lbf):
	// the worked values behind the US customary tables of ASME PCC-1, at K 0.20 and 0.16.
	{"2264.3025 lbf·in", PoundForceFoot, 3, "188.692"},
	{"1811.442 lbf·in", PoundForceFoot, 3, "150.954"},
}

func TestConvert(t *testing.T) {
	for _, c := range converted {
		v, err := parse(t, c.given).In(c.to)
		if err != nil {
			t.Fatal(err)
		}
		if got := Decimal(v, c.places); got != c.is {
			t.Errorf("%s in %v: got %s, want %s", c.given, c.to, got, c.is)
		}
	}
}

// TestFactorsExact: worked out by hand from 1 lb = 0.45359237 kg, g = 9.80665 m/s²
// and 1 in = 0.0254 m.
func TestFactorsExact(t *testing.T) {
	for u, want := range map[Unit]string{
		DecinewtonMetre:         "0.1",
		NewtonCentimetre:        "0.01",
		PoundForceFoot:          "1.3558179483314004",
		PoundForceInch:          "0.1129848290276167",
		OunceForceInch:          "0.00706155181422604375",
		KilogramForceMetre:      "9.80665",
		KilogramForceCentimetre: "0.0980665",
	} {
		if f, err := u.Factor(NewtonMetre); err != nil || f.Cmp(rat(t, want)) != 0 {
			t.Errorf("%v: got %v, %v; want %s", u, f, err, want)
		}
	}
}

// TestFactorsNIST: the factors as NIST SP 811 (2008), Appendix B.8, prints them, to
// seven significant digits.
func TestFactorsNIST(t *testing.T) {
	for _, c := range []struct {
		from, to Unit
		printed  string
		places   int
	}{
		{PoundForceFoot, NewtonMetre, "1.355818", 6},
		{PoundForceInch, NewtonMetre, "0.1129848", 7},
		{OunceForceInch, NewtonMetre, "0.007061552", 9},
		{KilogramForceMetre, NewtonMetre, "9.80665", 5},
		{PSI, Pascal, "6894.757", 3},
		{KilogramForcePerSquareCentimetre, Pascal, "98066.50", 2},
	} {
		f, err := c.from.Factor(c.to)
		if err != nil {
			t.Fatal(err)
		}
		if got := Decimal(f, c.places); got != c.printed {
			t.Errorf("%v in %v: got %s, want %s", c.from, c.to, got, c.printed)
		}
	}
}

// TestFactorsBetween: ratios that are whole by definition.
func TestFactorsBetween(t *testing.T) {
	for _, c := range []struct {
		from, to Unit
		want     string
	}{
		{PoundForceFoot, PoundForceInch, "12"},
		{PoundForceInch, OunceForceInch, "16"},
		{KilogramForceMetre, KilogramForceCentimetre, "100"},
		{Foot, Inch, "12"},
		{Inch, Thou, "1000"},
		{Inch, Millimetre, "25.4"},
		{Metre, Micrometre, "1000000"},
		{Metre, Centimetre, "100"},
		{Megapascal, Bar, "10"},
		{Bar, Millibar, "1000"},
		{Bar, Kilopascal, "100"},
		{Turn, Degree, "360"},
		{Hour, Minute, "60"},
		{Minute, Second, "60"},
		{Kilogram, Gram, "1000"},
		{Litre, Millilitre, "1000"},
		{LitrePerMinute, MillilitrePerMinute, "1000"},
	} {
		if f, err := c.from.Factor(c.to); err != nil || f.Cmp(rat(t, c.want)) != 0 {
			t.Errorf("%v in %v: got %v, %v; want %s", c.from, c.to, f, err, c.want)
		}
	}
}

func TestDimensionsDoNotMix(t *testing.T) {
	for d := Torque; d <= Count; d++ {
		for _, u := range Units(d) {
			if u.Dimension() != d {
				t.Errorf("%v is listed under %v and says %v", u, d, u.Dimension())
			}
			for e := Torque; e <= Count; e++ {
				_, err := u.Factor(Units(e)[0])
				if (err == nil) != (d == e) {
					t.Errorf("%v to %v: %v", u, Units(e)[0], err)
				}
			}
		}
	}
	if _, err := (Unit{}).Factor(Bar); err == nil || !strings.Contains(err.Error(), "no unit") {
		t.Errorf("the zero unit converts: %v", err)
	}
}

func parse(t testing.TB, s string) Quantity {
	t.Helper()
	q, err := Parse(s)
	if err != nil {
		t.Fatal(err)
	}
	return q
}

func rat(t testing.TB, s string) *big.Rat {
	t.Helper()
	v, ok := new(big.Rat).SetString(s)
	if !ok {
		t.Fatalf("%q is no number", s)
	}
	return v
}
