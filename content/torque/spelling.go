package torque

import (
	"fmt"
	"strings"
	"unicode"
)

// spellings lists how the trade writes each unit. A "·" stands for any of the
// signs that people put between two units (· - . * × or a space) and for none.
// Capitals count first; where they do not match, they are disregarded, unless
// that would make two units one (refused below).
var spellings = map[Unit]string{
	NewtonMetre:             "N·m|newton·metre|newton·metres|newton·meter|newton·meters",
	DecinewtonMetre:         "dN·m",
	NewtonCentimetre:        "N·cm|cN·m",
	PoundForceFoot:          "lbf·ft|ft·lbf|lb·ft|ft·lb|lbs·ft|ft·lbs|pound·feet|pound·foot|foot·pound|foot·pounds|lbf·feet",
	PoundForceInch:          "lbf·in|in·lbf|lb·in|in·lb|lbs·in|in·lbs|pound·inch|pound·inches|inch·pound|inch·pounds|lbf·inch|inch·lb|inch·lbs",
	OunceForceInch:          "ozf·in|in·ozf|oz·in|in·oz|ounce·inch|ounce·inches|inch·ounce|inch·ounces",
	KilogramForceMetre:      "kgf·m|m·kgf|kg·m|m·kg|kp·m|m·kp",
	KilogramForceCentimetre: "kgf·cm|cm·kgf|kg·cm|cm·kg|kp·cm|cm·kp",

	Metre:      "m|metre|metres|meter|meters",
	Centimetre: "cm|centimetre|centimetres|centimeter|centimeters",
	Millimetre: "mm|millimetre|millimetres|millimeter|millimeters",
	Micrometre: "µm|um|micron|microns|micrometre|micrometres",
	Foot:       "ft|foot|feet",
	Inch:       "in|\"|″|''|inch|inches",
	Thou:       "thou|thousandth|thousandths",

	Pascal:                           "Pa|pascal|pascals|N/m²",
	Kilopascal:                       "kPa|kilopascal|kilopascals",
	Megapascal:                       "MPa|megapascal|megapascals|N/mm²",
	Bar:                              "bar|bars|bar·g|bar(g)",
	Millibar:                         "mbar|millibar|millibars",
	PSI:                              "psi|psi·g|psi(g)|lbf/in²|lb/in²",
	KilogramForcePerSquareCentimetre: "kgf/cm²|kg/cm²|kp/cm²|ksc",

	Degree: "°|deg|degs|degree|degrees",
	Turn:   "turn|turns|rev|revs|revolution|revolutions",

	Second: "s|sec|secs|second|seconds",
	Minute: "min|mins|minute|minutes",
	Hour:   "h|hr|hrs|hour|hours",

	Percent:       "%|percent|per·cent|pct",
	DegreeCelsius: "°C|deg·C|℃|degree·Celsius|degrees·Celsius|Celsius",

	Gram:     "g|gram|grams|gramme|grammes",
	Kilogram: "kg|kilogram|kilograms",

	Millilitre: "mL|ml|millilitre|millilitres|milliliter|milliliters|cm³|cc",
	Litre:      "L|l|litre|litres|liter|liters|dm³",

	PerMinute: "1/min|/min|per·min|per·minute|r/min|rpm|min⁻¹",
	Piece:     "pcs|pc|piece|pieces",
}

// refused lists what people write that has no single meaning, or a meaning that
// the program does not keep, and what to write instead.
var refused = map[string]string{
	"N":     "a force, not a torque: write N·m with the lever",
	"lb":    "a mass or a force: for a torque write lbf·ft or lbf·in",
	"lbs":   "a mass or a force: for a torque write lbf·ft or lbf·in",
	"lbf":   "a force: for a torque write lbf·ft or lbf·in",
	"#":     "a mass, a force or a number: for a torque write lbf·ft or lbf·in",
	"oz":    "a mass or a force: for a torque write ozf·in",
	"ozf":   "a force: for a torque write ozf·in",
	"kgf":   "a force: for a torque write kgf·m or kgf·cm, for a pressure kgf/cm²",
	"nm":    "nanometres as it stands: for newton metres write N·m",
	"NM":    "nautical miles as it stands: for newton metres write N·m",
	"nM":    "no unit of a torque: for newton metres write N·m",
	"mN·m":  "a thousandth of a newton metre: write it in N·m, or in N·cm (1 N·cm is 10 mN·m)",
	"Mn·m":  "no unit: for newton metres write N·m",
	"MN·m":  "a million newton metres: write it in N·m",
	"kN·m":  "a thousand newton metres: write it in N·m",
	"daN·m": "ten newton metres: write it in N·m",
	"N·mm":  "a thousandth of a newton metre: write it in N·m, or in N·cm (1 N·cm is 10 N·mm)",
	"mPa":   "thousandths of a pascal as it stands: for megapascals write MPa",
	"mpa":   "thousandths of a pascal or megapascals: for megapascals write MPa",
	"MPA":   "thousandths of a pascal or megapascals: for megapascals write MPa",
	"mil":   "a thousandth of an inch or a millimetre: write thou or mm",
	"mils":  "a thousandth of an inch or a millimetre: write thou or mm",
	"'":     "feet or minutes: write ft or min",
	"′":     "feet or minutes: write ft or min",
	"M":     "no unit: write m for metres, min for minutes",
	"bara":  "an absolute pressure, which gauges do not show: write the gauge pressure in bar",
	"psia":  "an absolute pressure, which gauges do not show: write the gauge pressure in psi",
	"at":    "a technical atmosphere or a standard one: write kgf/cm² or bar",
	"atm":   "a standard atmosphere: write bar (1 atm is 1.01325 bar)",
	"kg/f":  "unclear: write kgf·m, kgf·cm or kgf/cm²",
	"°F":    "degrees Fahrenheit, which are not kept: write °C",
	"F":     "degrees Fahrenheit, which are not kept: write °C",
	"C":     "a charge as it stands: for degrees Celsius write °C",
	"K":     "kelvins, which are not kept: write °C",
	"rad":   "radians, which are not kept: write °",
}

// ParseUnit reads a unit in any of the trade's spellings: "Nm", "ft-lb", "in·lbf",
// "kg/cm2". Blanks round it are dropped. The error says what to write instead; a
// spelling that may mean two units is refused.
func ParseUnit(s string) (Unit, error) {
	key := fold(s)
	if key == "" {
		return Unit{}, fmt.Errorf("the unit is missing: write one of %s", examples)
	}
	if u, ok := exact[key]; ok {
		return u, nil
	}
	if why, ok := unclear[key]; ok {
		return Unit{}, fmt.Errorf("unit %s is %s", quote(s), why)
	}
	if u, ok := caseless[strings.ToLower(key)]; ok {
		return u, nil
	}
	return Unit{}, unknown(s, key)
}

const examples = "N·m, lbf·ft, lbf·in, kgf·cm, mm, in, bar, psi, kPa, °, s, min, h, %"

// exact, caseless and unclear are the spellings by their folded form.
var exact, caseless, unclear = indexSpellings()

func indexSpellings() (exact, caseless map[string]Unit, unclear map[string]string) {
	exact, caseless, unclear = map[string]Unit{}, map[string]Unit{}, map[string]string{}
	for u, all := range spellings {
		for s := range strings.SplitSeq(all, "|") {
			exact[fold(s)] = u
			caseless[strings.ToLower(fold(s))] = u
		}
	}
	for s, why := range refused {
		unclear[fold(s)] = why
	}
	return exact, caseless, unclear
}

// fold brings a spelling to the form in which spellings are compared: signs of
// multiplication and blanks dropped, powers as digits, one letter for micro.
func fold(s string) string {
	var b strings.Builder
	for _, r := range strings.TrimSpace(s) {
		switch {
		case strings.ContainsRune("·⋅•∙.-‐‑–*×_", r) || unicode.IsSpace(r):
		case r == '²':
			b.WriteByte('2')
		case r == '³':
			b.WriteByte('3')
		case r == 'μ': // Greek mu; the table has the micro sign
			b.WriteRune('µ')
		case r == 'º' || r == '˚': // ordinal sign, ring above
			b.WriteRune('°')
		case r == '”' || r == '“':
			b.WriteByte('"')
		case r == '’' || r == '‘':
			b.WriteByte('\'')
		case r == '^': // "cm^2"
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}

// unknown says that s is no unit, and which units are spelled nearly so.
func unknown(s, key string) error {
	best, near := 3, Unit{}
	for i := 1; i < len(units); i++ {
		for spelled := range strings.SplitSeq(spellings[Unit{uint8(i)}], "|") {
			if d := distance(strings.ToLower(key), strings.ToLower(fold(spelled))); d < best && d < len(key) {
				best, near = d, Unit{uint8(i)}
			}
		}
	}
	if near.IsZero() {
		return fmt.Errorf("unit %s is not known: write one of %s", quote(s), examples)
	}
	return fmt.Errorf("unit %s is not known: if you mean %s, write %s", quote(s), near, near)
}

// distance is the edit distance of two short strings, in code points.
func distance(a, b string) int {
	x, y := []rune(a), []rune(b)
	row := make([]int, len(y)+1)
	for j := range row {
		row[j] = j
	}
	for i := range x {
		last := row[0]
		row[0] = i + 1
		for j := range y {
			cost := last
			if x[i] != y[j] {
				cost = 1 + min(last, row[j], row[j+1])
			}
			last, row[j+1] = row[j+1], cost
		}
	}
	return row[len(y)]
}

// quote quotes what somebody wrote, cut short, for a message.
func quote(s string) string {
	const most = 40
	if r := []rune(s); len(r) > most {
		s = string(r[:most]) + "…"
	}
	return fmt.Sprintf("%q", s)
}
