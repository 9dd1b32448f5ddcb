package torque

import (
	"fmt"
	"math"
	"math/big"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// TestInLinePublished: US Army TM 9-254, adapter length compensation: a wrench of
// 12 in with an adapter of 2 in, set to 60 lbf·in, applies 70 lbf·in.
func TestInLinePublished(t *testing.T) {
	s, err := InLine(parse(t, "70 lbf·in"), parse(t, "12 in"), parse(t, "2 in"))
	if err != nil || s.String() != "60 lbf·in" {
		t.Errorf("got %v, %v; want 60 lbf·in", s, err)
	}
}

// TestAngledExact: worked by hand from T·L/(L + E·cos a), L 300 mm, E 60 mm.
func TestAngledExact(t *testing.T) {
	for angle, want := range map[string]string{
		"0 °":       "25 N·m",     // 30·300/360
		"60 °":      "300/11 N·m", // 30·300/330
		"90 °":      "30 N·m",     // nothing to correct
		"0.25 turn": "30 N·m",
		"120 °":     "100/3 N·m", // 30·300/270: turned back, higher
		"180 °":     "37.5 N·m",  // 30·300/240
	} {
		s, err := Angled(parse(t, "30 N·m"), parse(t, "0.3 m"), parse(t, "60 mm"), parse(t, angle))
		if err != nil || !s.Equal(parse(t, want)) {
			t.Errorf("%s: got %v, %v; want %s", angle, s, err, want)
		}
	}
}

func TestAdapterErrors(t *testing.T) {
	for _, c := range [][5]string{
		{"30 N·m", "300 mm", "300 mm", "180 °", "no lever"},
		{"30 N·m", "300 mm", "700 mm", "120 °", "no lever"},
		{"30 bar", "300 mm", "60 mm", "0 °", "not a torque"},
		{"0 N·m", "300 mm", "60 mm", "0 °", "above 0"},
		{"30 N·m", "0 mm", "60 mm", "0 °", "above 0"},
		{"30 N·m", "300 mm", "-60 mm", "0 °", "not below"},
		{"30 N·m", "300 bar", "60 mm", "0 °", "length of the wrench"},
		{"30 N·m", "300 mm", "60 °", "0 °", "length of the adapter"},
		{"30 N·m", "300 mm", "60 mm", "5 mm", "angle of the adapter"},
		{"30 N·m", "300 mm", "60 mm", "-1 °", "from 0 °"},
		{"30 N·m", "300 mm", "60 mm", "181 °", "from 0 °"},
	} {
		s, err := Angled(parse(t, c[0]), parse(t, c[1]), parse(t, c[2]), parse(t, c[3]))
		if err == nil || !s.IsZero() || !strings.Contains(err.Error(), c[4]) {
			t.Errorf("%v: got %v, %v", c, s, err)
		}
	}
	if _, err := InLine(Quantity{}, Quantity{}, Quantity{}); err == nil {
		t.Error("nothing is corrected")
	}
	if s, err := InLine(parse(t, "30 N·m"), parse(t, "300 mm"), parse(t, "0 mm")); err != nil || !s.Equal(parse(t, "30 N·m")) {
		t.Errorf("no adapter: got %v, %v", s, err)
	}
}

// TestCosinePublished: √2/2, √3/2, half the golden ratio and (√6+√2)/4 to 40 places
// (from memory; TestCosineIdentities holds them to each other).
func TestCosinePublished(t *testing.T) {
	for _, c := range []struct {
		degrees int64
		want    string
	}{
		{45, "0.7071067811865475244008443621048490392848"},
		{30, "0.8660254037844386467637231707529361834714"},
		{36, "0.8090169943749474241022934171828190588602"},
		{15, "0.9659258262890682867497431997288973676339"},
	} {
		if got := Decimal(Cosine(big.NewRat(c.degrees, 1)), CosineDigits); got != c.want {
			t.Errorf("cos %d°: got %s, want %s", c.degrees, got, c.want)
		}
	}
}

// TestCosineIdentities: cos 2a = 2cos² a − 1 and the symmetries, to 38 places.
func TestCosineIdentities(t *testing.T) {
	small := rat(t, "1e-38")
	one, two := big.NewRat(1, 1), big.NewRat(2, 1)
	rapid.Check(t, func(t *rapid.T) {
		a := big.NewRat(rapid.Int64Range(-100000, 100000).Draw(t, "num"), rapid.Int64Range(1, 300).Draw(t, "den"))
		cos := Cosine(a)
		double := new(big.Rat).Mul(cos, cos)
		double.Mul(double, two).Sub(double, one)
		if d := double.Sub(double, Cosine(new(big.Rat).Mul(a, two))); d.Abs(d).Cmp(small) > 0 {
			t.Fatalf("cos 2·%v differs by %s", a, d.FloatString(50))
		}
		f, _ := a.Float64()
		g, _ := cos.Float64()
		if math.Abs(math.Cos(f*math.Pi/180)-g) > 1e-12 {
			t.Fatalf("cos %v: got %v, want %v", a, g, math.Cos(f*math.Pi/180))
		}
		back := new(big.Rat).Sub(big.NewRat(180, 1), a)
		if Cosine(new(big.Rat).Neg(a)).Cmp(cos) != 0 || Cosine(back).Neg(Cosine(back)).Cmp(cos) != 0 {
			t.Fatalf("cos %v is not even, or not odd about 90°", a)
		}
	})
}

func TestCosineExact(t *testing.T) {
	for deg, want := range map[int64]string{0: "1", 60: "1/2", 90: "0", 120: "-1/2", 180: "-1", 240: "-1/2", 270: "0", 300: "1/2", 360: "1", -60: "1/2", -90: "0", 780: "1/2"} {
		if got := Cosine(big.NewRat(deg, 1)).RatString(); got != want {
			t.Errorf("cos %d°: got %s, want %s", deg, got, want)
		}
	}
}

// TestAngledTurns: the further an adapter is turned back, the higher the setting;
// below the target up to 90°, above it beyond.
func TestAngledTurns(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		target := Of(big.NewRat(rapid.Int64Range(1, 5000).Draw(t, "target"), 10), NewtonMetre)
		wrench := Of(big.NewRat(rapid.Int64Range(200, 900).Draw(t, "wrench"), 1), Millimetre)
		adapter := Of(big.NewRat(rapid.Int64Range(10, 150).Draw(t, "adapter"), 1), Millimetre)
		a := rapid.IntRange(0, 179).Draw(t, "angle")
		s := make([]Quantity, 2)
		for i := range s {
			var err error
			if s[i], err = Angled(target, wrench, adapter, Of(big.NewRat(int64(a+i), 1), Degree)); err != nil {
				t.Fatal(err)
			}
		}
		rises, _ := s[1].Cmp(s[0])
		side, _ := s[0].Cmp(target)
		want := map[bool]int{true: -1, false: 1}[a < 90]
		if a == 90 {
			want = 0
		}
		if rises != 1 || side != want {
			t.Fatalf("at %d° %v, at %d° %v, target %v", a, s[0], a+1, s[1], target)
		}
	})
}

func ExampleInLine() {
	target, _ := Parse("70 lbf·in")
	wrench, _ := Parse("12 in")
	adapter, _ := Parse("2 in")
	setting, _ := InLine(target, wrench, adapter)
	fmt.Println(setting)
	// Output: 60 lbf·in
}
