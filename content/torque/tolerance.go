package torque

import (
	"errors"
	"fmt"
	"math/big"
	"strings"
)

// Tolerance says how far a value may lie from its target: "±10 %", "±1.5 N·m",
// "−5 % +10 %". The zero Tolerance is none: IsZero reports it.
type Tolerance struct {
	text        string
	minus, plus *big.Rat // both at least 0, in unit
	unit        Unit
}

// ParseTolerance reads a tolerance: one number after ±, or one after − and one
// after +, in either order, perhaps with a slash or comma between. ASCII spellings
// (+/-, +-, -) are read. Each number has a unit; the first may leave it to the
// second. A percentage is of the target and below is at most 100 %. The text is
// kept as written, without surrounding blanks.
func ParseTolerance(s string) (Tolerance, error) {
	t, err := parseTolerance(strings.TrimSpace(s))
	if err != nil {
		return Tolerance{}, fmt.Errorf("read tolerance %s: %w", quote(s), err)
	}
	if t.unit == Percent && t.minus.Cmp(big.NewRat(100, 1)) > 0 {
		return Tolerance{}, fmt.Errorf("read tolerance %s: more than 100 %% below leaves nothing: write a smaller percentage", quote(s))
	}
	return t, nil
}

var errTolerance = errors.New("write one number after ±, or one after − and one after +, each with its unit: ±10 %, −5 % +10 %")

func parseTolerance(s string) (Tolerance, error) {
	if len(s) > maxText {
		return Tolerance{}, errTolerance
	}
	for _, both := range []string{"±", "+/-", "+/−", "+-", "+−"} {
		if rest, ok := strings.CutPrefix(s, both); ok {
			return bothSides(s, rest)
		}
	}
	return eachSide(s)
}

func bothSides(s, rest string) (Tolerance, error) {
	if rest = strings.TrimSpace(rest); strings.ContainsAny(rest, "+-±−") && !startsPlain(rest) {
		return Tolerance{}, errTolerance
	}
	v, unitText, err := ParseNumber(rest)
	if err != nil {
		return Tolerance{}, err
	}
	u, err := ParseUnit(unitText)
	if err != nil {
		return Tolerance{}, err
	}
	return Tolerance{s, v, v, u}, nil
}

// startsPlain reports whether s begins with a digit or a decimal mark: no second sign.
func startsPlain(s string) bool {
	return s != "" && (isDigit(s[0]) || s[0] == '.' || s[0] == ',')
}

// eachSide reads "−5 % +10 %" and its like.
func eachSide(s string) (Tolerance, error) {
	first, second, ok := splitSides(s)
	if !ok {
		return Tolerance{}, errTolerance
	}
	a, aUnit, err := ParseNumber(first[len(signOf(first)):])
	if err != nil {
		return Tolerance{}, err
	}
	b, bUnit, err := ParseNumber(second[len(signOf(second)):])
	if err != nil {
		return Tolerance{}, err
	}
	u, err := commonUnit(aUnit, bUnit)
	if err != nil {
		return Tolerance{}, err
	}
	if signOf(first) == "+" {
		a, b = b, a
	}
	return Tolerance{s, a, b, u}, nil
}

// splitSides cuts s before its second sign. One of the two signs must be a plus
// and one a minus.
func splitSides(s string) (first, second string, ok bool) {
	head := signOf(s)
	if head == "" {
		return "", "", false
	}
	other := []string{"+"}
	if head == "+" {
		other = []string{"−", "-"}
	}
	for _, sign := range other {
		// A hyphen may stand in a unit ("ft-lb"): the sign is the last one before a number.
		if i := strings.LastIndex(s[len(head):], sign); i >= 0 {
			i += len(head)
			first = strings.TrimRight(strings.TrimSpace(s[:i]), "/,; ")
			return first, s[i:], startsPlain(strings.TrimSpace(s[i+len(sign):]))
		}
	}
	return "", "", false
}

func signOf(s string) string {
	for _, sign := range []string{"+", "-", "−"} {
		if strings.HasPrefix(s, sign) {
			return sign
		}
	}
	return ""
}

func commonUnit(a, b string) (Unit, error) {
	u, err := ParseUnit(b)
	if err != nil || a == "" {
		return u, err
	}
	v, err := ParseUnit(a)
	if err == nil && v != u {
		err = fmt.Errorf("the two sides have different units, %s and %s: write both in one", v, u)
	}
	return u, err
}

// Text returns the tolerance as it was written.
func (t Tolerance) Text() string { return t.text }

// String returns the tolerance as it was written.
func (t Tolerance) String() string { return t.text }

// IsZero reports whether t is no tolerance at all.
func (t Tolerance) IsZero() bool { return t.minus == nil }

// Unit returns the unit of the tolerance; Percent where it is of the target.
func (t Tolerance) Unit() Unit { return t.unit }

// Equal reports whether both tolerances allow the same, in the same kind of unit.
func (t Tolerance) Equal(o Tolerance) bool {
	if t.IsZero() || o.IsZero() {
		return t.IsZero() && o.IsZero()
	}
	return Of(t.minus, t.unit).Equal(Of(o.minus, o.unit)) && Of(t.plus, t.unit).Equal(Of(o.plus, o.unit))
}

// Band returns the lowest and the highest value allowed, both inclusive, exactly,
// in the unit of the target. A percentage is of the target's size. It is an error
// where the tolerance has another dimension than the target, or either is missing.
func (t Tolerance) Band(target Quantity) (lo, hi Quantity, err error) {
	if t.IsZero() || target.IsZero() {
		return lo, hi, errors.New("work out a band: the tolerance or the target is missing")
	}
	share, err := t.share(target)
	if err != nil {
		return lo, hi, fmt.Errorf("work out the band of %s about %s: %w", t.text, target.text, err)
	}
	down := new(big.Rat).Mul(t.minus, share)
	up := new(big.Rat).Mul(t.plus, share)
	return Of(down.Sub(target.value, down), target.unit), Of(up.Add(target.value, up), target.unit), nil
}

// share is what one of the tolerance's units is in the unit of the target.
func (t Tolerance) share(target Quantity) (*big.Rat, error) {
	if t.unit == Percent && target.unit.Dimension() != Ratio {
		part := new(big.Rat).Abs(target.value)
		return part.Mul(part, big.NewRat(1, 100)), nil
	}
	return t.unit.Factor(target.unit)
}

// MarshalText writes the tolerance as it was written.
func (t Tolerance) MarshalText() ([]byte, error) { return []byte(t.text), nil }

// UnmarshalText reads a tolerance as ParseTolerance does, and nothing as the zero Tolerance.
func (t *Tolerance) UnmarshalText(b []byte) error {
	if len(b) == 0 {
		*t = Tolerance{}
		return nil
	}
	v, err := ParseTolerance(string(b))
	if err != nil {
		return err
	}
	*t = v
	return nil
}
