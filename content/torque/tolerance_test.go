package torque

import (
	"math/big"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestTolerance(t *testing.T) {
	for _, c := range []struct{ s, prints, target, lo, hi string }{
		{"±10 %", "±10 %", "13.6 N·m", "12.24 N·m", "14.96 N·m"},
		{"+/-10%", "±10 %", "13.6 N·m", "12.24 N·m", "14.96 N·m"},
		{"+- 10 %", "±10 %", "20 bar", "18 bar", "22 bar"},
		{"±1.5 N·m", "±1.5 N·m", "13.6 N·m", "12.1 N·m", "15.1 N·m"},
		{"±1,5Nm", "±1.5 N·m", "13.6 N·m", "12.1 N·m", "15.1 N·m"},
		{"-5 % +10 %", "−5 % +10 %", "40 N·m", "38 N·m", "44 N·m"},
		{"−5 % +10 %", "−5 % +10 %", "40 N·m", "38 N·m", "44 N·m"},
		{"+10 % / −5 %", "−5 % +10 %", "40 N·m", "38 N·m", "44 N·m"},
		{"+10 −5 %", "−5 % +10 %", "40 N·m", "38 N·m", "44 N·m"},
		{"-0 +2 N·m", "−0 N·m +2 N·m", "40 N·m", "40 N·m", "42 N·m"},
		{"+5 ft-lb -2 ft-lb", "−2 lbf·ft +5 lbf·ft", "40 lbf·ft", "38 lbf·ft", "45 lbf·ft"},
		{"+5 ft-lb, -24 in-lb", "", "", "", ""},
		{"±1 lbf·ft", "±1 lbf·ft", "120 lbf·in", "108 lbf·in", "132 lbf·in"},
		{"±10 %", "±10 %", "-20 °C", "-22 °C", "-18 °C"},
		{"±10 %", "±10 %", "30 %", "27 %", "33 %"}, // of a load step: a percentage of the step
		{"±0.05 mm", "±0.05 mm", "1/4 in", "6.3 mm", "6.4 mm"},
	} {
		tol, err := ParseTolerance(c.s)
		if c.prints == "" {
			if err == nil {
				t.Errorf("%q is read as %v", c.s, tol)
			}
			continue
		}
		if err != nil || tol.Text() != c.s || tol.String() != c.prints {
			t.Errorf("%q: got %q, %v, %v; want %q", c.s, tol.Text(), tol, err, c.prints)
			continue
		}
		lo, hi, err := tol.Band(parse(t, c.target))
		if err != nil || !lo.Equal(parse(t, c.lo)) || !hi.Equal(parse(t, c.hi)) {
			t.Errorf("%q of %s: got %v to %v, %v; want %s to %s", c.s, c.target, lo, hi, err, c.lo, c.hi)
		}
	}
}

func TestParseToleranceRefuses(t *testing.T) {
	for s, says := range map[string]string{
		"": "write one number after ±", "10 %": "write one number after ±", "5": "write one number after ±", "±": "write one number after ±",
		"+10 %": "write one number after ±", "-10 %": "write one number after ±", "±-5 %": "write one number after ±", "±±5 %": "write one number after ±",
		"+5 % +10 %": "write one number after ±", "-5 % -10 %": "write one number after ±", "--5 % +10 %": "write one number after ±", "±ten %": "write one number after ±",
		"±10": "unit is missing", "-5 +10": "unit is missing", "-5 % +10": "unit is missing", "±5 % +10 %": "not known", "±1,200 N·m": "write 1200",
		"±0 N·m": "allows nothing", "-0 +0 %": "allows nothing", "±100 %": "leaves nothing", "-120 % +5 %": "leaves nothing",
		"-5 % +10 N·m": "different units, % and N·m", "±5 nm": "N·m", "-5 nm +6 N·m": "N·m", "-5 N·m +6 nm": "N·m",
	} {
		tol, err := ParseTolerance(s)
		if err == nil || !tol.IsZero() || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: got %v, %v; want the error to say %q", s, tol, err, says)
		}
	}
}

func TestToleranceEqual(t *testing.T) {
	read := func(s string) Tolerance {
		tol, err := ParseTolerance(s)
		if err != nil {
			t.Fatal(err)
		}
		return tol
	}
	for _, c := range []struct {
		a, b string
		want bool
	}{
		{"±10 %", "+10 % -10 %", true}, {"±10 %", "±9 %", false}, {"±10 %", "-10 % +9 %", false}, {"±10 %", "±10 N·m", false},
		{"±12 lbf·in", "±1 lbf·ft", true},
	} {
		if got := read(c.a).Equal(read(c.b)); got != c.want {
			t.Errorf("%s equals %s: %v", c.a, c.b, got)
		}
	}
	if (Tolerance{}).Equal(read("±10 %")) || !(Tolerance{}).Equal(Tolerance{}) {
		t.Error("no tolerance equals one, or not itself")
	}
}

func TestBandErrors(t *testing.T) {
	tol, _ := ParseTolerance("±1 mm")
	if _, _, err := tol.Band(parse(t, "5 bar")); err == nil {
		t.Error("millimetres about a pressure")
	}
	if _, _, err := tol.Band(Quantity{}); err == nil {
		t.Error("a band about nothing")
	}
	if _, _, err := (Tolerance{}).Band(parse(t, "5 bar")); err == nil {
		t.Error("a band of no tolerance")
	}
}

// TestBandHoldsTheTarget in every unit, and is as wide as the two sides together.
func TestBandHoldsTheTarget(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		minus := rapid.Int64Range(0, 99).Draw(t, "minus")
		plus := rapid.Int64Range(1, 200).Draw(t, "plus")
		target := Of(big.NewRat(rapid.Int64Range(1, 100000).Draw(t, "target"), 7), rapid.SampledFrom(Units(Torque)).Draw(t, "unit"))
		tol, err := ParseTolerance(Of(big.NewRat(-minus, 1), Percent).String() + " +" + Of(big.NewRat(plus, 1), Percent).String())
		if minus == 0 {
			tol, err = ParseTolerance("-0 % +" + Of(big.NewRat(plus, 1), Percent).String())
		}
		if err != nil {
			t.Fatal(err)
		}
		lo, hi, err := tol.Band(target)
		if err != nil {
			t.Fatal(err)
		}
		below, _ := lo.Cmp(target)
		above, _ := hi.Cmp(target)
		width := new(big.Rat).Sub(hi.Value(), lo.Value())
		want := target.Value()
		want.Mul(want, big.NewRat(minus+plus, 100))
		if below > 0 || above < 0 || width.Cmp(want) != 0 {
			t.Fatalf("%v of %v: %v to %v", tol, target, lo, hi)
		}
	})
}

func FuzzParseTolerance(f *testing.F) {
	for _, s := range []string{"±10 %", "+/-10%", "-5 % +10 %", "+5 ft-lb -2 ft-lb", "+10 −5 %", "±1,5Nm", "-0 +2 N·m"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		tol, err := ParseTolerance(s)
		if (err == nil) == tol.IsZero() {
			t.Fatalf("%q: %v, %v", s, tol, err)
		}
		if err != nil {
			return
		}
		for _, again := range []string{tol.Text(), tol.String()} {
			if back, err := ParseTolerance(again); err != nil || !back.Equal(tol) {
				t.Fatalf("%q gives %q, which reads as %v, %v", s, again, back, err)
			}
		}
	})
}
