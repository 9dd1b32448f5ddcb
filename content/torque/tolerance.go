package torque

import (
	"errors"
	"fmt"
	"math/big"
	"strings"
)

// Tolerance says how far a value may lie from its target: "±10 %", "±1.5 N·m",
// "−5 % +10 %". It cannot be changed. The zero Tolerance is none: IsZero reports it.
type Tolerance struct {
	text        string
	minus, plus *big.Rat // neither below 0, in unit
	unit        Unit
}

// ParseTolerance reads a tolerance: one number after ±, or one after − and one
// after +, in either order, perhaps with a slash or comma between. ASCII spellings
// (+/-, +-, -) are read. Each number has a unit; the first may leave it to the
// second. A percentage is of the target, and below it less than 100 %. Text
// returns s without surrounding blanks. The error says what to write.
func ParseTolerance(s string) (Tolerance, error) {
	t, err := parseTolerance(strings.TrimSpace(s))
	if err != nil {
		return Tolerance{}, fmt.Errorf("read tolerance %s: %w", quote(s), err)
	}
	return t, nil
}

var errTolerance = errors.New("write one number after ±, or one after − and one after +, each with its unit: ±10 %, −5 % +10 %")

func parseTolerance(s string) (Tolerance, error) {
	t, err := sides(s)
	switch {
	case err != nil:
		return Tolerance{}, err
	case t.minus.Sign() == 0 && t.plus.Sign() == 0:
		return Tolerance{}, errors.New("it allows nothing, and no tool meets that: write the deviation that the joint bears")
	case t.unit == Percent && t.minus.Cmp(big.NewRat(100, 1)) >= 0:
		return Tolerance{}, errors.New("100 % below the target leaves nothing: write a smaller percentage")
	}
	return t, nil
}

func sides(s string) (Tolerance, error) {
	for _, both := range []string{"±", "+/-", "+/−", "+-", "+−"} {
		if rest, ok := strings.CutPrefix(s, both); ok {
			v, u, err := side(rest)
			if err == nil && u.IsZero() {
				_, err = ParseUnit("")
			}
			return Tolerance{s, v, v, u}, err
		}
	}
	return eachSide(s)
}

// side reads a number without a sign and a unit, which may be missing.
func side(s string) (*big.Rat, Unit, error) {
	if s = strings.TrimSpace(s); !startsPlain(s) {
		return nil, Unit{}, errTolerance
	}
	v, unitText, err := parseNumber(s, typedBytes)
	if err != nil || unitText == "" {
		return v, Unit{}, err
	}
	u, err := ParseUnit(unitText)
	return v, u, err
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
	a, aUnit, err := side(first[len(signOf(first)):])
	if err != nil {
		return Tolerance{}, err
	}
	b, u, err := side(second[len(signOf(second)):])
	if err != nil {
		return Tolerance{}, err
	}
	if u.IsZero() {
		_, err := ParseUnit("")
		return Tolerance{}, err
	}
	if !aUnit.IsZero() && aUnit != u {
		return Tolerance{}, fmt.Errorf("the two sides have different units, %s and %s: write both in one", aUnit, u)
	}
	if signOf(first) == "+" {
		a, b = b, a
	}
	return Tolerance{s, a, b, u}, nil
}

// splitSides cuts s before its second sign; one of the two must be a plus and one a
// minus. A hyphen with no number after it belongs to a unit ("ft-lb").
func splitSides(s string) (first, second string, ok bool) {
	head := signOf(s)
	if head == "" {
		return "", "", false
	}
	for i := len(head); i < len(s); i++ {
		sign := signOf(s[i:])
		if sign == "" || (sign == "+") == (head == "+") || !startsPlain(strings.TrimSpace(s[i+len(sign):])) {
			continue
		}
		return strings.TrimRight(s[:i], "/,; "), s[i:], true
	}
	return "", "", false
}

// Text returns the tolerance as it was written.
func (t Tolerance) Text() string { return t.text }

// String returns the tolerance as the program prints it: "±10 %", "−5 % +10 %".
func (t Tolerance) String() string {
	if t.IsZero() {
		return ""
	}
	minus, plus := Of(t.minus, t.unit).String(), Of(t.plus, t.unit).String()
	if minus == plus {
		return "±" + plus
	}
	return "−" + minus + " +" + plus
}

// IsZero reports whether t is no tolerance at all.
func (t Tolerance) IsZero() bool { return t.minus == nil }

// Unit returns the unit of the tolerance; Percent where it is of the target.
func (t Tolerance) Unit() Unit { return t.unit }

// Equal reports whether both tolerances allow the same, whatever the text or the
// unit; a percentage never equals an amount.
func (t Tolerance) Equal(o Tolerance) bool {
	if t.IsZero() || o.IsZero() {
		return t.IsZero() && o.IsZero()
	}
	return Of(t.minus, t.unit).Equal(Of(o.minus, o.unit)) && Of(t.plus, t.unit).Equal(Of(o.plus, o.unit))
}

// Band returns the lowest and the highest value allowed, both inclusive, exactly,
// in the unit of the target. A percentage is of the target's size, whatever the
// target measures. It is an error where an amount has another dimension than the
// target, or either is missing.
func (t Tolerance) Band(target Quantity) (lo, hi Quantity, err error) {
	if t.IsZero() || target.IsZero() {
		return lo, hi, errors.New("work out a band: the tolerance or the target is missing")
	}
	share, err := t.share(target)
	if err != nil {
		return lo, hi, fmt.Errorf("work out the band of %s about %s: %w", t.text, target.text, err)
	}
	down, up := mul(t.minus, share), mul(t.plus, share)
	return Of(down.Sub(target.value, down), target.unit), Of(up.Add(target.value, up), target.unit), nil
}

// share is what one of the tolerance's units is in the unit of the target.
func (t Tolerance) share(target Quantity) (*big.Rat, error) {
	if t.unit == Percent {
		hundredth := new(big.Rat).Abs(target.value)
		return hundredth.Mul(hundredth, big.NewRat(1, 100)), nil
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
