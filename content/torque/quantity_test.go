package torque

import (
	"encoding/json"
	"math/big"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

func TestParse(t *testing.T) {
	for s, want := range map[string]struct{ text, value, prints string }{
		"13.6 N·m":   {"13.6 N·m", "68/5", "13.6 N·m"},
		" 13,6Nm ":   {"13,6Nm", "68/5", "13.6 N·m"},
		"120 lbf·in": {"120 lbf·in", "120", "120 lbf·in"},
		"0.05 mm":    {"0.05 mm", "1/20", "0.05 mm"},
		"0,050 mm":   {"0,050 mm", "1/20", "0.05 mm"},
		"5 min":      {"5 min", "5", "5 min"},
		"30 %":       {"30 %", "30", "30 %"},
		"-5 °C":      {"-5 °C", "-5", "−5 °C"},
		"1/4 in":     {"1/4 in", "1/4", "0.25 in"},
		"1/3 turn":   {"1/3 turn", "1/3", "1/3 turn"},
		"1500 rpm":   {"1500 rpm", "1500", "1500 /min"},
	} {
		q, err := Parse(s)
		if err != nil {
			t.Errorf("%q: %v", s, err)
			continue
		}
		if q.Text() != want.text || q.Value().RatString() != want.value || q.String() != want.prints {
			t.Errorf("%q: got %q, %v, %q; want %+v", s, q.Text(), q.Value(), q, want)
		}
	}
}

func TestParseSaysWhatToWrite(t *testing.T) {
	for s, says := range map[string]string{
		"13.6":              "unit is missing: write one such as N·m",
		"N·m":               "does not begin with a number",
		"1,200 N·m":         "write 1200",
		"13.6 Mn":           "write",
		"13.6 nm":           "for newton metres write N·m",
		"10 lb":             "lbf·ft or lbf·in",
		"5 to 6 mm":         "unit \"to 6 mm\" is not known",
		"":                  "does not begin with a number",
		"1e3 N·m":           "exponent",
		"13.6 N·m and more": "not known",
	} {
		q, err := Parse(s)
		if err == nil || !q.IsZero() || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: got %v, %v; want the error to say %q", s, q, err, says)
		}
	}
}

func TestZeroQuantity(t *testing.T) {
	var q Quantity
	if !q.IsZero() || q.Text() != "" || q.String() != "" || q.Value() != nil || !q.Equal(Quantity{}) {
		t.Errorf("the zero quantity is %+v", q)
	}
	if _, err := q.In(Bar); err == nil {
		t.Error("the zero quantity converts")
	}
	if _, err := q.Cmp(parse(t, "1 bar")); err == nil {
		t.Error("the zero quantity compares")
	}
	nothing := parse(t, "0 N·m")
	if nothing.IsZero() || nothing.Equal(q) || q.Equal(nothing) {
		t.Error("0 N·m is taken for no quantity")
	}
	if !Of(nil, Bar).IsZero() || !Of(big.NewRat(1, 1), Unit{}).IsZero() {
		t.Error("a quantity without number or unit is not zero")
	}
}

func TestQuantityCannotBeChanged(t *testing.T) {
	v := big.NewRat(5, 1)
	q := Of(v, Bar)
	v.SetInt64(7)
	q.Value().SetInt64(8)
	if in, err := q.In(Bar); err != nil || in.SetInt64(9) == nil || q.String() != "5 bar" {
		t.Errorf("the quantity is now %v", q)
	}
}

func TestEqualAndCmp(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want int
	}{
		{"12 lbf·in", "1 lbf·ft", 0},
		{"16 ozf·in", "1 lb-in", 0},
		{"13.60 N·m", "13,6 Nm", 0},
		{"1 kgf·m", "9.80665 N·m", 0},
		{"1 lbf·ft", "1.3558179 N·m", 1},
		{"1 lbf·ft", "1.3558180 N·m", -1},
		{"1 in", "25.4 mm", 0},
	} {
		a, b := parse(t, c.a), parse(t, c.b)
		if got, err := a.Cmp(b); err != nil || got != c.want {
			t.Errorf("%s against %s: got %d, %v; want %d", c.a, c.b, got, err, c.want)
		}
		if a.Equal(b) != (c.want == 0) || !cmp.Equal(a, a) {
			t.Errorf("%s equals %s: %v", c.a, c.b, a.Equal(b))
		}
	}
	if _, err := parse(t, "1 bar").Cmp(parse(t, "1 mm")); err == nil || !strings.Contains(err.Error(), "1 bar with 1 mm") {
		t.Errorf("a pressure compares with a length: %v", err)
	}
	if parse(t, "1 bar").Equal(parse(t, "1 mm")) {
		t.Error("a pressure equals a length")
	}
}

// document is how other packages hold what this one makes.
type document struct {
	Torque    Quantity            `json:"torque"`
	Gap       *Quantity           `json:"gap,omitempty"`
	Tolerance Tolerance           `json:"tolerance"`
	Unit      Unit                `json:"unit"`
	By        map[string]Quantity `json:"by"`
}

func TestJSONKeepsTheText(t *testing.T) {
	for _, s := range []string{
		`{"torque":"13,60 Nm","gap":"0.05mm","tolerance":"+/-10%","unit":"lbf·in","by":{"a":"1/4 in"}}`,
		`{"torque":"","tolerance":"","unit":"","by":null}`,
	} {
		var d document
		if err := json.Unmarshal([]byte(s), &d); err != nil {
			t.Fatal(err)
		}
		if back, err := json.Marshal(d); err != nil || string(back) != s {
			t.Errorf("got %s, %v; want %s", back, err, s)
		}
	}
	for _, s := range []string{`{"torque":"13.6"}`, `{"torque":"1,200 N·m"}`, `{"tolerance":"10 %"}`, `{"unit":"nm"}`} {
		var d document
		if err := json.Unmarshal([]byte(s), &d); err == nil {
			t.Errorf("%s is read as %+v", s, d)
		}
	}
}

// TestOfReadsBack: whatever the program works out can be written and read again.
func TestOfReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := big.NewRat(rapid.Int64().Draw(t, "num"), rapid.Int64Range(1, 1<<40).Draw(t, "den"))
		from := rapid.SampledFrom(Units(Torque)).Draw(t, "from")
		to := rapid.SampledFrom(Units(Torque)).Draw(t, "to")
		in, err := Of(v, from).In(to)
		if err != nil {
			t.Fatal(err)
		}
		q := Of(in, to)
		for _, s := range []string{q.Text(), q.String()} {
			back, err := Parse(s)
			if err != nil || back.Unit() != to || back.Value().Cmp(in) != 0 {
				t.Fatalf("%q reads as %v, %v", s, back, err)
			}
		}
		if !q.Equal(Of(v, from)) {
			t.Fatalf("%v is not %v", q, Of(v, from))
		}
		if home, err := q.In(from); err != nil || home.Cmp(v) != 0 {
			t.Fatalf("%v there and back is %v, %v", v, home, err)
		}
	})
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"13.6 N·m", "13,6Nm", "0.05 mm", "1/4 in", "30%", "-5 °C", "1,200 N·m", `3"`, "5 nm", "1500 rpm", "7 kgf/cm^2"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		q, err := Parse(s)
		if (err == nil) == q.IsZero() {
			t.Fatalf("%q: %v, %v", s, q, err)
		}
		if err != nil {
			return
		}
		text, _ := q.MarshalText()
		var back, printed Quantity
		if err := back.UnmarshalText(text); err != nil || !back.Equal(q) || back.Text() != q.Text() {
			t.Fatalf("%q is written %q and read back as %v, %v", s, text, back, err)
		}
		if len(q.String()) > writtenBytes {
			return
		}
		if printed, err = Parse(q.String()); err != nil || !printed.Equal(q) || printed.String() != q.String() {
			t.Fatalf("%q prints %q, which reads as %v, %v", s, q, printed, err)
		}
	})
}
