package itemmodel

import (
	"math/big"
	"regexp"
	"slices"
	"strings"
	"testing"

	"soloright/content"
	"soloright/quiz"
)

// The oracle of wrench settings. It shares no code with the models: it takes the
// wrench from the words of the stem and the target from the texts of the procedure,
// with factors of its own, and walks over every mark of the scale.

// factors are exact: torques in N·m, lengths in mm, pressures in bar, times in s.
// 1 lbf = 4.4482216152605 N, 1 in = 25.4 mm, g = 9.80665 m/s² (NIST SP 811, 2008,
// Appendix B).
var factors = map[string]string{
	"N·m": "1", "dN·m": "0.1", "N·cm": "0.01", "kgf·m": "9.80665", "kgf·cm": "0.0980665",
	"lbf·ft": "1.3558179483314004", "lbf·in": "0.1129848290276167", "ozf·in": "0.00706155181422604375",
	"mm": "1", "µm": "0.001", "in": "25.4", "thou": "0.0254", "bar": "1", "mbar": "0.001", "kPa": "0.01", "min": "60", "s": "1", "h": "3600",
}

// failer is what an oracle fails by: a test, or the harness of the laws.
type failer interface {
	Helper()
	Fatalf(format string, args ...any)
}

func ratOf(t failer, s string) *big.Rat {
	t.Helper()
	v, ok := new(big.Rat).SetString(strings.Replace(strings.TrimSpace(s), "−", "-", 1))
	if !ok {
		t.Fatalf("%q is no number", s)
	}
	return v
}

// oracleIn reads "13.6 N·m" and converts it.
func oracleIn(t failer, text, unit string) *big.Rat {
	t.Helper()
	number, from, _ := strings.Cut(text, " ")
	if from == unit {
		return ratOf(t, number)
	}
	if factors[from] == "" || factors[unit] == "" {
		t.Fatalf("%q or %q is unknown", from, unit)
	}
	v := new(big.Rat).Mul(ratOf(t, number), ratOf(t, factors[from]))
	return v.Quo(v, ratOf(t, factors[unit]))
}

var onePart = regexp.MustCompile(`([±+−])\s*([0-9.]+) ?(\S*)`)

// oracleBand works out the band of a target in the unit; nil without a tolerance.
func oracleBand(t failer, target content.Tighten, unit string) *[2]*big.Rat {
	t.Helper()
	if target.Tolerance == nil {
		return nil
	}
	centre := oracleIn(t, target.Torque.Text(), unit)
	band := [2]*big.Rat{new(big.Rat).Set(centre), new(big.Rat).Set(centre)}
	for _, m := range onePart.FindAllStringSubmatch(target.Tolerance.Text(), -1) {
		by := new(big.Rat)
		if m[3] == "%" {
			by.Mul(centre, ratOf(t, m[2])).Quo(by, big.NewRat(100, 1))
		} else {
			by = oracleIn(t, m[2]+" "+m[3], unit)
		}
		if m[1] != "+" {
			band[0].Sub(band[0], by)
		}
		if m[1] != "−" {
			band[1].Add(band[1], by)
		}
	}
	return &band
}

var scaleWords = regexp.MustCompile(`\((scale|display) in (\S+), from ([0-9.]+) to ([0-9.]+), (?:a mark every|last digit) ([0-9.]+)\)`)

type oracleScale struct {
	unit           string
	digital        bool
	min, max, step *big.Rat
}

func scaleOf(t failer, stem string) oracleScale {
	t.Helper()
	m := scaleWords.FindStringSubmatch(stem)
	if m == nil {
		t.Fatalf("the stem does not give the wrench's unit, range and graduation: %s", stem)
	}
	return oracleScale{m[2], m[1] == "display", ratOf(t, m[3]), ratOf(t, m[4]), ratOf(t, m[5])}
}

// right walks over every mark; none where it is not this wrench.
func (o oracleScale) right(exact *big.Rat, band *[2]*big.Rat) (set [][2]*big.Rat) {
	if exact.Cmp(o.min) < 0 || exact.Cmp(o.max) > 0 {
		return nil
	}
	if band != nil && o.step.Cmp(new(big.Rat).Sub(band[1], band[0])) > 0 {
		return nil
	}
	if o.digital {
		half := new(big.Rat).Quo(o.step, big.NewRat(2, 1))
		return [][2]*big.Rat{{new(big.Rat).Sub(exact, half), new(big.Rat).Add(exact, half)}}
	}
	var best *big.Rat
	for m := new(big.Rat).Set(o.min); m.Cmp(o.max) <= 0; m = new(big.Rat).Add(m, o.step) {
		off := new(big.Rat).Sub(m, exact)
		off.Abs(off)
		switch {
		case best == nil || off.Cmp(best) < 0:
			best, set = off, [][2]*big.Rat{{m, m}}
		case off.Cmp(best) == 0:
			set = append(set, [2]*big.Rat{m, m})
		}
	}
	return set
}

// checkSetting holds an item against the oracle.
func checkSetting(t testing.TB, it quiz.Item, exact *big.Rat, band *[2]*big.Rat) {
	t.Helper()
	o := scaleOf(t, it.Stem)
	if it.Interaction.Unit != o.unit || it.Interaction.Kind != quiz.Numeric {
		t.Errorf("unit beside the box is %q, the wrench reads %q", it.Interaction.Unit, o.unit)
	}
	if len(it.Interaction.Options) != 1 || it.Interaction.Options[0].Text != "not this wrench" {
		t.Errorf("“not this wrench” is not offered: %v", it.Interaction.Options)
	}
	set := o.right(exact, band)
	key := it.Key.Number
	if got, want := key.Other != "", len(set) == 0; got != want {
		t.Fatalf("not this wrench is %v, want %v: %s", got, want, it.Stem)
	}
	var got [][2]string
	for _, in := range key.Accept {
		got = append(got, [2]string{in.Lo, in.Hi})
	}
	var want [][2]string
	for _, in := range set {
		want = append(want, [2]string{in[0].RatString(), in[1].RatString()})
		if band != nil && (in[0].Cmp(band[0]) < 0 || in[1].Cmp(band[1]) > 0) {
			t.Errorf("the right setting %v lies outside the band: %s", in, it.Stem)
		}
	}
	if !slices.Equal(got, want) {
		t.Errorf("accepts %v, want %v: %s", got, want, it.Stem)
	}
	checkMistakes(t, it)
}

// checkMistakes holds that no mistake touches a right number or another mistake, and
// that each has its feedback and there is at least one.
func checkMistakes(t testing.TB, it quiz.Item) {
	t.Helper()
	var all [][2]*big.Rat
	add := func(in quiz.Interval) {
		s := [2]*big.Rat{ratOf(t, in.Lo), ratOf(t, in.Hi)}
		if s[0].Cmp(s[1]) > 0 {
			t.Errorf("interval %v is turned round", in)
		}
		for _, o := range all {
			if s[0].Cmp(o[1]) <= 0 && o[0].Cmp(s[1]) <= 0 {
				t.Errorf("%v touches %v: %s", s, o, it.Stem)
			}
		}
		all = append(all, s)
	}
	for _, in := range it.Key.Number.Accept {
		add(in)
	}
	for _, m := range it.Key.Number.Mistakes {
		add(m.Interval)
		if m.Because == "" {
			t.Errorf("a mistake without feedback: %s", it.Stem)
		}
	}
	if len(it.Key.Number.Mistakes) == 0 {
		t.Errorf("no mistake is foreseen: %s", it.Stem)
	}
}
