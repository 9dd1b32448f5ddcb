package torque

import (
	"encoding/json"
	"fmt"
	"math/big"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func wrench(t testing.TB, u Unit, minimum, maximum, graduation string, d Display) Wrench {
	return Wrench{Name: "shop wrench", Unit: u, Min: rat(t, minimum), Max: rat(t, maximum), Graduation: rat(t, graduation), Display: d}
}

// accepted writes the right settings of s as text.
func accepted(s Setting) string {
	var all []string
	for _, in := range s.Accept {
		all = append(all, in.Lo.RatString()+".."+in.Hi.RatString())
	}
	return strings.Join(all, " ")
}

// TestSet: the rule on cases worked by hand.
func TestSet(t *testing.T) {
	for _, c := range []struct {
		why, target, band string // the tolerance
		w                 Wrench
		reason            Reason
		accept            string
	}{
		{"on a mark", "20 N·m", "", wrench(t, NewtonMetre, "5", "25", "0.5", Scale), Settable, "20..20"},
		{"below a mark", "20.3 N·m", "", wrench(t, NewtonMetre, "5", "25", "0.5", Scale), Settable, "41/2..41/2"},
		{"a tie: both", "20.25 N·m", "", wrench(t, NewtonMetre, "5", "25", "0.5", Scale), Settable, "20..20 41/2..41/2"},
		{"13.6 N·m is 120.37 lbf·in", "13.6 N·m", "±10 %", wrench(t, PoundForceInch, "30", "150", "1", Scale), Settable, "120..120"},
		{"7 dN·m steps, a tie across units", "13.5 dN·m", "", wrench(t, NewtonMetre, "1", "5", "0.1", Scale), Settable, "13/10..13/10 7/5..7/5"},
		{"digital, half the last digit", "13.6 N·m", "", wrench(t, NewtonMetre, "2", "20", "0.1", Digital), Settable, "271/20..273/20"},
		{"least value itself", "5 N·m", "", wrench(t, NewtonMetre, "5", "25", "0.5", Scale), Settable, "5..5"},
		{"greatest value itself", "25 N·m", "", wrench(t, NewtonMetre, "5", "25", "0.5", Scale), Settable, "25..25"},
		{"just below the range", "4.999 N·m", "", wrench(t, NewtonMetre, "5", "25", "0.5", Scale), OutOfRange, ""},
		{"just above the range", "25.001 N·m", "", wrench(t, NewtonMetre, "5", "25", "0.5", Digital), OutOfRange, ""},
		{"graduation as wide as the band", "20 N·m", "±0.25 N·m", wrench(t, NewtonMetre, "5", "25", "0.5", Scale), Settable, "20..20"},
		{"graduation wider than the band", "20 N·m", "±0.24 N·m", wrench(t, NewtonMetre, "5", "25", "0.5", Scale), TooCoarse, ""},
		{"last digit wider than the band", "20 N·m", "±0.24 N·m", wrench(t, NewtonMetre, "5", "25", "0.5", Digital), TooCoarse, ""},
		{"out of range comes first", "30 N·m", "±0.24 N·m", wrench(t, NewtonMetre, "5", "25", "0.5", Scale), OutOfRange, ""},
		{"a length", "20 mm", "", wrench(t, NewtonMetre, "5", "25", "0.5", Scale), Unfit, ""},
		{"no wrench", "20 N·m", "", Wrench{}, Unfit, ""},
	} {
		target := parse(t, c.target)
		s := c.w.Set(target, bandOf(t, c.band, target))
		if s.Reason != c.reason || accepted(s) != c.accept || s.Settable() != (c.accept != "") || (s.Err != nil) != (c.reason == Unfit) {
			t.Errorf("%s: got %q %s, %v; want %q %s", c.why, s.Reason, accepted(s), s.Err, c.reason, c.accept)
		}
	}
}

func bandOf(t testing.TB, tolerance string, target Quantity) *[2]Quantity {
	t.Helper()
	if tolerance == "" {
		return nil
	}
	tol, err := ParseTolerance(tolerance)
	if err != nil {
		t.Fatal(err)
	}
	lo, hi, err := tol.Band(target)
	if err != nil {
		t.Fatal(err)
	}
	return &[2]Quantity{lo, hi}
}

// TestSetOutsideBand: a lopsided tolerance may leave the nearest mark outside it.
func TestSetOutsideBand(t *testing.T) {
	w := wrench(t, NewtonMetre, "5", "25", "0.5", Scale)
	target := parse(t, "20.2 N·m")
	if s := w.Set(target, bandOf(t, "-0 +1 N·m", target)); !s.OutsideBand || accepted(s) != "20..20" {
		t.Errorf("got %s, outside %v", accepted(s), s.OutsideBand)
	}
	if s := w.Set(target, bandOf(t, "±1 N·m", target)); s.OutsideBand {
		t.Error("20 N·m lies outside 19.2 to 21.2 N·m")
	}
}

func TestWrenchCheck(t *testing.T) {
	for says, w := range map[string]Wrench{
		"no unit of torque": wrench(t, Bar, "5", "25", "0.5", Scale),
		"is no unit":        {},
		"least value":       {Unit: NewtonMetre},
		"above 0":           wrench(t, NewtonMetre, "5", "25", "0", Scale),
		"empty":             wrench(t, NewtonMetre, "25", "5", "0.5", Scale),
		"below 0":           wrench(t, NewtonMetre, "-5", "5", "0.5", Scale),
		"whole number":      wrench(t, NewtonMetre, "5.2", "25", "0.5", Scale),
		"graduations of":    wrench(t, NewtonMetre, "5", "25.1", "0.5", Scale),
	} {
		if err := w.Check(); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("got %v; want it to say %q", err, says)
		}
	}
	if err := wrench(t, NewtonMetre, "0", "25", "0.5", Scale).Check(); err != nil {
		t.Error(err)
	}
}

func TestWrenchJSON(t *testing.T) {
	const want = `{"name":"shop wrench","unit":"lbf·in","min":"30","max":"150","graduation":"1/2","display":"digital"}`
	got, err := json.Marshal(wrench(t, PoundForceInch, "30", "150", "0.5", Digital))
	if err != nil || string(got) != want {
		t.Errorf("got %s, %v; want %s", got, err, want)
	}
	var w Wrench
	if err := json.Unmarshal(got, &w); err != nil {
		t.Fatal(err)
	}
	if back, err := json.Marshal(w); err != nil || string(back) != want {
		t.Errorf("got %s, %v", back, err)
	}
	if err := json.Unmarshal([]byte(`{"display":"analogue"}`), &w); err == nil || !strings.Contains(err.Error(), "scale or digital") {
		t.Errorf("an unknown display: %v", err)
	}
}

// TestSetAgainstEveryMark: the oracle walks all marks of the wrench in whole
// numbers and keeps the nearest. Everything is in thousandths of a N·m.
func TestSetAgainstEveryMark(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		step := rapid.Int64Range(1, 2000).Draw(t, "step")
		first := rapid.Int64Range(0, 30).Draw(t, "first")
		last := rapid.Int64Range(first+1, first+60).Draw(t, "last")
		target := rapid.Int64Range(1, (last+2)*step).Draw(t, "target")
		minus := rapid.Int64Range(0, 2*step).Draw(t, "minus")
		plus := rapid.Int64Range(1, 2*step).Draw(t, "plus")
		milli := func(v int64) *big.Rat { return big.NewRat(v, 1000) }
		w := Wrench{Unit: NewtonMetre, Min: milli(first * step), Max: milli(last * step), Graduation: milli(step)}
		s := w.Set(Of(milli(target), NewtonMetre), &[2]Quantity{Of(milli(target-minus), NewtonMetre), Of(milli(target+plus), NewtonMetre)})

		var nearest []int64
		best := int64(1 << 60)
		for k := first; k <= last; k++ {
			off := max(k*step-target, target-k*step)
			if off < best {
				nearest, best = nil, off
			}
			if off == best {
				nearest = append(nearest, k*step)
			}
		}
		want := fmt.Sprint(nearest)
		if target < first*step || target > last*step || step > minus+plus {
			want = "[]"
		}
		var got []int64
		for _, in := range s.Accept {
			v := new(big.Rat).Mul(in.Lo, big.NewRat(1000, 1))
			if in.Lo.Cmp(in.Hi) != 0 || !v.IsInt() || !s.Accepts(in.Lo) {
				t.Fatalf("%v is no mark", in)
			}
			got = append(got, v.Num().Int64())
		}
		if fmt.Sprint(got) != want {
			t.Fatalf("got %v (%q), want %s", got, s.Reason, want)
		}
	})
}

// TestSetDigital: right is what lies within half a step, ends included, and nothing else.
func TestSetDigital(t *testing.T) {
	w := wrench(t, PoundForceInch, "20", "300", "0.1", Digital)
	s := w.Set(parse(t, "13.6 N·m"), nil)
	hair, half := rat(t, "1e-30"), rat(t, "0.05")
	for _, c := range []struct {
		off  *big.Rat
		want bool
	}{
		{new(big.Rat), true}, {half, true}, {new(big.Rat).Neg(half), true},
		{new(big.Rat).Add(half, hair), false}, {new(big.Rat).Neg(new(big.Rat).Add(half, hair)), false},
	} {
		if got := s.Accepts(new(big.Rat).Add(s.Exact, c.off)); got != c.want {
			t.Errorf("%s off: %v", c.off.FloatString(31), got)
		}
	}
	if !s.Accepts(rat(t, "120.4")) || s.Accepts(rat(t, "120.5")) { // 13.6 N·m is 120.37 lbf·in
		t.Errorf("accepts %s", accepted(s))
	}
}

// TestToolTolerance: ISO 6789, from memory; 10 N·m itself is not over 10 N·m.
func TestToolTolerance(t *testing.T) {
	for maximum, want := range map[string]string{
		"10 N·m": "±6 %", "10.01 N·m": "±4 %", "5 N·m": "±6 %", "88 lbf·in": "±6 %", "89 lbf·in": "±4 %", "200 N·m": "±4 %",
	} {
		if tol, err := ToolTolerance(parse(t, maximum)); err != nil || tol.String() != want {
			t.Errorf("%s: got %v, %v; want %s", maximum, tol, err, want)
		}
	}
	if _, err := ToolTolerance(parse(t, "10 mm")); err == nil {
		t.Error("a length has a wrench tolerance")
	}
}

func BenchmarkSet(b *testing.B) {
	w := wrench(b, PoundForceInch, "30", "150", "1", Scale)
	target := parse(b, "13.6 N·m")
	band := bandOf(b, "±10 %", target)
	for b.Loop() {
		if s := w.Set(target, band); !s.Settable() {
			b.Fatal(s.Reason)
		}
	}
}

func BenchmarkAngled(b *testing.B) {
	target, length, adapter, angle := parse(b, "30 N·m"), parse(b, "300 mm"), parse(b, "60 mm"), parse(b, "37 °")
	for b.Loop() {
		if _, err := Angled(target, length, adapter, angle); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkParse(b *testing.B) {
	for b.Loop() {
		if _, err := Parse("13.6 lbf·in"); err != nil {
			b.Fatal(err)
		}
	}
}
