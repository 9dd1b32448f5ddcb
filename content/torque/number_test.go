package torque

import (
	"math/big"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestParseNumber(t *testing.T) {
	for s, want := range map[string][2]string{
		"13.6": {"68/5", ""}, "13,6": {"68/5", ""}, " 13.6 ": {"68/5", ""}, "13.6 lbf·in": {"68/5", "lbf·in"},
		"13,6Nm": {"68/5", "Nm"}, ".5": {"1/2", ""}, ",5": {"1/2", ""}, "5.": {"5", ""}, "0": {"0", ""}, "-0": {"0", ""},
		"+7": {"7", ""}, "-7": {"-7", ""}, "−7": {"-7", ""}, "− 7 °C": {"-7", "°C"}, "+ 7": {"7", ""},
		"3/8 in": {"3/8", "in"}, "3/8": {"3/8", ""}, "30%": {"30", "%"}, `0.015"`: {"3/200", `"`}, "90°": {"90", "°"},
		"0,125": {"1/8", ""}, "1.200": {"6/5", ""}, "1234,567": {"1234567/1000", ""}, "1,2000": {"6/5", ""}, "13,60": {"68/5", ""},
		"007": {"7", ""}, "5/min": {"5", "/min"}, "5 bananas": {"5", "bananas"}, "7 kgf/cm2": {"7", "kgf/cm2"}, "5 e": {"5", "e"},
		"13.6\u00a0N·m": {"68/5", "N·m"},
	} {
		v, unit, err := ParseNumber(s)
		if err != nil || v.RatString() != want[0] || unit != want[1] {
			t.Errorf("%q: got %v, %q, %v; want %v", s, v, unit, err, want)
		}
	}
}

func TestParseNumberRefuses(t *testing.T) {
	for s, says := range map[string]string{
		"": "begin with a number", "   ": "begin with a number", "N·m": "begin with a number", ".": "begin with a number", "-": "begin with a number",
		"NaN": "begin with a number", "Inf": "begin with a number", "-inf": "begin with a number", "∞": "begin with a number", "½": "begin with a number",
		"１３": "begin with a number", "٣": "begin with a number", "--5": "begin with a number",
		"1,200": "1200, or 1.200", "-12,000": "12000, or 12.000", "999,999 Pa": "999999",
		"1,200.5": "decimal mark", "1.200,5": "decimal mark", "1.200.000": "decimal mark", "1,200,000": "decimal mark", "1..5": "decimal mark",
		"1 200": "one piece", "1'200": "one piece", "1’200": "one piece", "1_200": "one piece", "1\u00a0200": "one piece", "1\u202f200": "one piece", "1·5": "one piece",
		"1e3": "exponent", "1E+3": "exponent", "1e−3": "exponent", "1.5e3 N·m": "exponent",
		"13½": "plain digits", "13٣": "plain digits", "5²": "plain digits",
		"5-6": "one number", "5–6": "one number", "5 − 6": "one number", "13.6±0.5": "one number", "5 (6)": "one number", "5;6": "one number", "5 /8": "one number",
		"3/0": "fraction", "3/8/2": "fraction", "1.5/2": "fraction", "1,200/3": "fraction",
		"5\x00": "control", "5\tN": "control", "5 N\n·m": "control", "5\xff": "not text",
		strings.Repeat("9", 61): "too long", "5 " + strings.Repeat("m", 60): "too long",
	} {
		v, unit, err := ParseNumber(s)
		if err == nil {
			t.Errorf("%q is read as %v %q", s, v, unit)
			continue
		}
		if v != nil || unit != "" || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: got %v, %q, %v; want the error to say %q", s, v, unit, err, says)
		}
	}
}

func TestDecimal(t *testing.T) {
	for _, c := range []struct {
		v      string
		places int
		want   string
	}{
		{"6.864655", 5, "6.86466"}, {"-6.864655", 5, "-6.86466"}, {"6.8646549", 5, "6.86465"},
		{"0.5", 0, "1"}, {"-0.5", 0, "-1"}, {"1.5", 0, "2"}, {"2.5", 0, "3"}, {"0.49", 0, "0"}, {"-0.49", 0, "0"}, {"-0.001", 2, "0.00"},
		{"1/3", 4, "0.3333"}, {"2/3", 4, "0.6667"}, {"5", 2, "5.00"}, {"12345", -3, "12345"},
	} {
		if got := Decimal(rat(t, c.v), c.places); got != c.want {
			t.Errorf("%s to %d: got %s, want %s", c.v, c.places, got, c.want)
		}
	}
	if got := Decimal(nil, 1); got != "0.0" {
		t.Errorf("nil: got %s", got)
	}
}

// TestDecimalRounds holds Decimal to the definition of rounding, in whole numbers.
func TestDecimalRounds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		num := rapid.Int64Range(-1e9, 1e9).Draw(t, "num")
		den := rapid.Int64Range(1, 4000).Draw(t, "den")
		places := rapid.IntRange(0, 4).Draw(t, "places")
		scale := [...]int64{1, 10, 100, 1000, 10000}[places]
		abs := max(num, -num) * scale
		want := big.NewRat((2*abs+den)/(2*den), scale) // half up on the absolute value
		if num < 0 {
			want.Neg(want)
		}
		got, ok := new(big.Rat).SetString(Decimal(big.NewRat(num, den), places))
		if !ok || got.Cmp(want) != 0 {
			t.Fatalf("%d/%d to %d: got %v, want %v", num, den, places, got, want)
		}
	})
}

// TestParseNumberReadsBack: a number written with any mark, sign and unit is read
// as it was meant, or refused as ambiguous; never read as another.
func TestParseNumberReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		whole := rapid.StringMatching(`0|[1-9][0-9]{0,5}`).Draw(t, "whole")
		part := rapid.StringMatching(`[0-9]{0,5}`).Draw(t, "part")
		mark := rapid.SampledFrom([]string{".", ","}).Draw(t, "mark")
		sign := rapid.SampledFrom([]string{"", "+", "-", "−"}).Draw(t, "sign")
		unit := rapid.SampledFrom([]string{"", " N·m", "Nm", " %"}).Draw(t, "unit")
		s := sign + whole + mark + part + unit
		want, _ := new(big.Rat).SetString(whole + "." + part + "0")
		if sign == "-" || sign == "−" {
			want.Neg(want)
		}
		v, rest, err := ParseNumber(s)
		if mark == "," && len(part) == 3 && len(whole) <= 3 && whole != "0" {
			if err == nil {
				t.Fatalf("%q may be two numbers and is read as %v", s, v)
			}
			return
		}
		if err != nil || v.Cmp(want) != 0 || rest != strings.TrimSpace(unit) {
			t.Fatalf("%q: got %v, %q, %v", s, v, rest, err)
		}
	})
}

func FuzzParseNumber(f *testing.F) {
	for _, s := range []string{"13,6", "13.6 lbf·in", "1,200", "1e3", "−.5", "3/8 in", "NaN", "1 200", "5-6", "٣", "5\x00"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		v, unit, err := ParseNumber(s)
		if (err == nil) != (v != nil) {
			t.Fatalf("%q: %v, %v", s, v, err)
		}
		if err != nil {
			return
		}
		again := strings.TrimSpace(exactText(v) + " " + unit)
		if len(again) > typedBytes {
			return
		}
		w, rest, err := ParseNumber(again)
		if err != nil || w.Cmp(v) != 0 || rest != unit {
			t.Fatalf("%q reads as %v %q; %q reads as %v %q, %v", s, v, unit, again, w, rest, err)
		}
	})
}
