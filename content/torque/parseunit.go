package torque

import (
	"fmt"
	"strings"
	"unicode"
)

// ParseUnit reads a unit in any of the trade's spellings: "Nm", "ft-lb", "in·lbf",
// "kg/cm2". Blanks round it are dropped. The error says what to write instead; a
// spelling that may mean two units is refused ("nm": nanometres?). It is for what
// an author writes; ParseUnitFor is for what a technician types.
func ParseUnit(s string) (Unit, error) {
	key := fold(s)
	if key == "" {
		return Unit{}, fmt.Errorf("the unit is missing: write one such as %s", examples)
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

// ParseUnitFor reads a unit where the dimension is known, and so forgives wrong
// capitals that ParseUnit must refuse: for a torque "nm" and "NM" are N·m, for a
// pressure "mpa" is MPa, for a length ' is feet. A unit of another dimension is
// returned as it is read; that it is wrong is for the caller to say.
func ParseUnitFor(d Dimension, s string) (Unit, error) {
	if u, ok := forgiven[d][strings.ToLower(fold(s))]; ok {
		return u, nil
	}
	return ParseUnit(s)
}

// forgiven lists, in lower case, what has one sensible meaning in one dimension.
var forgiven = map[Dimension]map[string]Unit{
	Torque:   {"nm": NewtonMetre, "n·m": NewtonMetre},
	Pressure: {"mpa": Megapascal},
	Length:   {"'": Foot},
}

const examples = "N·m, lbf·ft, lbf·in, kgf·cm, mm, in, bar, psi, kPa, °, s, min, h, %"

// exact, caseless and unclear are the spellings by their folded form.
var exact, caseless, unclear = indexSpellings()

func indexSpellings() (exact, caseless map[string]Unit, unclear map[string]string) {
	exact, caseless, unclear = map[string]Unit{}, map[string]Unit{}, map[string]string{}
	for u, all := range spellings {
		for s := range strings.SplitSeq(all, "|") {
			for _, key := range withAndWithout(s) {
				exact[key], caseless[strings.ToLower(key)] = u, u
			}
		}
	}
	for s, why := range refused {
		for _, key := range withAndWithout(s) {
			unclear[key] = why
		}
	}
	return exact, caseless, unclear
}

// withAndWithout returns the folded spelling with its "·" and without.
func withAndWithout(s string) []string {
	key := fold(s)
	return []string{key, strings.ReplaceAll(key, "·", "")}
}

// alike are signs that people write for another.
var alike = strings.NewReplacer("²", "2", "³", "3", "^", "", "μ", "µ", "º", "°", "˚", "°",
	"”", "\"", "“", "\"", "″", "\"", "’", "'", "‘", "'", "′", "'", "℃", "°C", "⁻¹", "-1")

// fold brings a spelling to the form in which spellings are compared: one "·" for
// every run of signs of multiplication and blanks, none at the ends (where a full
// stop marks an abbreviation) and beside a slash, powers as digits.
func fold(s string) string {
	var b strings.Builder
	gap := false
	for _, r := range alike.Replace(s) {
		if unicode.IsSpace(r) || strings.ContainsRune("·⋅•∙.-‐‑–*×", r) {
			gap = true
			continue
		}
		if gap && r != '/' && b.Len() > 0 && !strings.HasSuffix(b.String(), "/") {
			b.WriteString("·")
		}
		gap = false
		b.WriteRune(r)
	}
	return b.String()
}

// unknown says that s is no unit, and which unit is spelled nearly so. Long text is
// nearly nothing, and is not compared.
func unknown(s, key string) error {
	near := Unit{}
	if len(key) <= 40 {
		near = nearest(key)
	}
	if near.IsZero() {
		return fmt.Errorf("unit %s is not known: write one such as %s", quote(s), examples)
	}
	return fmt.Errorf("unit %s is not known: write %s, if that is meant", quote(s), near)
}

// nearest returns the unit with the spelling nearest to key, the zero Unit where
// none differs in fewer than three signs or all of them do.
func nearest(key string) Unit {
	best, near := 3, Unit{}
	for i := 1; i < len(units); i++ {
		for spelled := range strings.SplitSeq(spellings[Unit{uint8(i)}], "|") {
			if d := distance(strings.ToLower(key), strings.ToLower(fold(spelled))); d < best && d < len([]rune(key)) {
				best, near = d, Unit{uint8(i)}
			}
		}
	}
	return near
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
