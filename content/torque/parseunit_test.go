package torque

import (
	"strings"
	"testing"
)

// Spellings met in the trade; common practice, no source.
var spelled = map[string]string{
	"N·m":     "N·m Nm N-m N.m N*m N⋅m N•m N×m Newton-metres newton·meter",
	"dN·m":    "dN·m dNm dN.m",
	"N·cm":    "N·cm Ncm N.cm N-cm cNm NCM",
	"lbf·ft":  "lbf·ft ft-lb ft·lbf lb-ft ft.lb ft.-lb. ft-lbs lbf-ft FT-LB Ft·Lb lbft ftlb foot-pounds pound-feet lb.ft.",
	"lbf·in":  "lbf·in lb·in in-lb in·lbf in.lbs lbs-in LBF.IN inlb inch-pounds in.-lb. lbf·inch",
	"ozf·in":  "ozf·in oz-in in-oz oz.in. ozin ounce-inches",
	"kgf·m":   "kgf·m kg-m kgm kgf.m kg·m kgfm mkg kpm kp·m m·kp",
	"kgf·cm":  "kgf·cm kgf.cm cmkg kg-cm kgcm kp·cm cm.kg",
	"mm":      "mm MM millimetres millimeter",
	"µm":      "µm μm um micron",
	"in":      "in \" in. inch Inches ″ ” ''",
	"thou":    "thou thousandths",
	"ft":      "ft feet ft.",
	"m":       "m metres",
	"cm":      "cm",
	"bar":     "bar Bar BAR barg bar(g)",
	"kPa":     "kPa KPA kpa",
	"MPa":     "MPa N/mm² N/mm2 N/mm^2",
	"psi":     "psi PSI psig lbf/in² lb/in2",
	"kgf/cm²": "kgf/cm² kgf/cm2 kg/cm² kg/cm2 kg/cm^2 kp/cm² ksc",
	"°":       "° º ˚ deg degrees deg.",
	"turn":    "turn turns rev",
	"s":       "s sec seconds",
	"min":     "min mins minutes min.",
	"h":       "h hr hours",
	"%":       "% percent",
	"°C":      "°C ℃ ºC degC celsius",
	"mL":      "mL ml cc cm³ cm3",
	"L":       "L l litres",
	"L/min":   "L/min l/min",
	"mL/min":  "mL/min ml/min",
	"/min":    "/min 1/min rpm min⁻¹",
	"g":       "g grams",
	"kg":      "kg kilograms",
	"pcs":     "pcs pieces",
}

func TestParseUnitSpellings(t *testing.T) {
	for want, all := range spelled {
		for s := range strings.FieldsSeq(all) {
			if u, err := ParseUnit(s); err != nil || u.String() != want {
				t.Errorf("%q: got %q, %v; want %q", s, u, err, want)
			}
		}
	}
	for s, want := range map[string]Unit{
		"lbf in": PoundForceInch, " ft lb ": PoundForceFoot, "deg C": DegreeCelsius,
		"kgf / cm²": KilogramForcePerSquareCentimetre, "lb. in.": PoundForceInch, "per cent": Percent,
		"N\u00a0m": NewtonMetre, "lbf\u2011ft": PoundForceFoot,
	} {
		if u, err := ParseUnit(s); err != nil || u != want {
			t.Errorf("%q: got %q, %v; want %q", s, u, err, want)
		}
	}
}

// TestParseUnitRefuses: each of these may mean two things, or something that is
// not kept; the message names what to write.
func TestParseUnitRefuses(t *testing.T) {
	for s, remedy := range map[string]string{
		"": "N·m", "  ": "N·m", "·": "N·m",
		"nm": "N·m", "NM": "N·m", "N": "N·m", "N/m": "N·m", "J": "N·m", "daN·m": "N·m", "daNm": "N·m", "kNm": "N·m", "mNm": "N·cm",
		"lb": "lbf·ft", "lbs": "lbf·ft", "lbf": "lbf·in", "#": "lbf·ft", "ft/lb": "lbf·ft", "lb/in": "lbf·in", "oz": "ozf·in",
		"kgf": "kgf·m", "kg/cm": "kgf·cm", "kg/m": "kgf·m",
		"mpa": "MPa", "mPa": "MPa", "bara": "bar", "psia": "psi", "atm": "bar", "at": "kgf/cm²",
		"mil": "thou or mm", "'": "ft or min", "′": "ft or min", "M": "min", "°F": "°C", "F": "°C", "C": "°C", "K": "°C", "rad": "°",
		"m-in": "write", "N··cmm": "write", "banana": "N·m", "mmm": "write mm", "newton metros": "write N·m", "barr": "write bar", "psii": "write psi",
		"lbf·im": "write lbf·in", "degress": "write °",
	} {
		u, err := ParseUnit(s)
		if err == nil || !u.IsZero() {
			t.Errorf("%q is read as %v", s, u)
			continue
		}
		if !strings.Contains(err.Error(), remedy) {
			t.Errorf("%q: %v; want it to name %q", s, err, remedy)
		}
	}
}

// TestParseUnitFor: where the dimension is known, wrong capitals have one meaning.
func TestParseUnitFor(t *testing.T) {
	for _, c := range []struct {
		d    Dimension
		s    string
		want Unit
	}{
		{Torque, "nm", NewtonMetre}, {Torque, "NM", NewtonMetre}, {Torque, "n.m", NewtonMetre}, {Torque, "N·m", NewtonMetre},
		{Torque, "mm", Millimetre}, {Torque, "ft-lb", PoundForceFoot},
		{Pressure, "mpa", Megapascal}, {Length, "'", Foot},
	} {
		if u, err := ParseUnitFor(c.d, c.s); err != nil || u != c.want {
			t.Errorf("%v %q: got %v, %v; want %v", c.d, c.s, u, err, c.want)
		}
	}
	for _, c := range []struct {
		d Dimension
		s string
	}{{Torque, "lb"}, {Length, "nm"}, {Time, "'"}, {Torque, ""}} {
		if u, err := ParseUnitFor(c.d, c.s); err == nil {
			t.Errorf("%v %q is read as %v", c.d, c.s, u)
		}
	}
}

// TestSpellingsAreDistinct: no spelling, with or without capitals and signs, stands
// for two units, and none that is refused is read all the same.
func TestSpellingsAreDistinct(t *testing.T) {
	owner := map[string]Unit{}
	for u, all := range spellings {
		for s := range strings.SplitSeq(all, "|") {
			for _, key := range withAndWithout(s) {
				key = strings.ToLower(key)
				if o, ok := owner[key]; ok && o != u {
					t.Errorf("%q is both %v and %v", key, o, u)
				}
				owner[key] = u
			}
		}
	}
	for s := range refused {
		for _, key := range withAndWithout(s) {
			if u, ok := exact[key]; ok {
				t.Errorf("%q is refused and is %v", s, u)
			}
		}
	}
}

func TestUnitsPrintWhatIsRead(t *testing.T) {
	for i := 1; i < len(units); i++ {
		u := Unit{uint8(i)}
		if back, err := ParseUnit(u.String()); err != nil || back != u {
			t.Errorf("%v: got %v, %v", u, back, err)
		}
		if spellings[u] == "" {
			t.Errorf("%v has no spellings", u)
		}
	}
}

func FuzzParseUnit(f *testing.F) {
	for _, all := range spellings {
		for s := range strings.SplitSeq(all, "|") {
			f.Add(s)
		}
	}
	for s := range refused {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		u, err := ParseUnit(s)
		if (err == nil) == u.IsZero() {
			t.Fatalf("%q: unit %v, error %v", s, u, err)
		}
		if err != nil {
			return
		}
		if back, err := ParseUnit(u.String()); err != nil || back != u {
			t.Fatalf("%q is %v, which reads back as %v, %v", s, u, back, err)
		}
	})
}
