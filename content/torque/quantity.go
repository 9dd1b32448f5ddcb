package torque

import (
	"errors"
	"fmt"
	"math/big"
	"strings"
)

// Quantity is a number with a unit, exact, with the text it was written as. It
// cannot be changed. The zero Quantity is no quantity: IsZero reports it, its
// texts are "", and it equals only itself. 0 N·m is not the zero Quantity.
type Quantity struct {
	text  string
	value *big.Rat // never handed out, never changed
	unit  Unit
}

// Parse reads a quantity: a number as ParseNumber reads it and a unit as ParseUnit
// does, at most 1000 bytes long. Text returns s without surrounding blanks. The
// error says what to write.
func Parse(s string) (Quantity, error) {
	v, unitText, err := parseNumber(s, writtenBytes)
	if err != nil {
		return Quantity{}, fmt.Errorf("read quantity %s: %w", quote(s), err)
	}
	u, err := ParseUnit(unitText)
	if err != nil {
		return Quantity{}, fmt.Errorf("read quantity %s: %w", quote(s), err)
	}
	return Quantity{strings.TrimSpace(s), v, u}, nil
}

// Of returns v of the unit; its text is the exact decimal, or a fraction where
// the decimal has no end; Parse reads it back. A nil v or the zero Unit gives the
// zero Quantity.
func Of(v *big.Rat, u Unit) Quantity {
	if v == nil || u.IsZero() {
		return Quantity{}
	}
	q := Quantity{value: new(big.Rat).Set(v), unit: u}
	q.text = q.String()
	return q
}

// Text returns the quantity as it was written.
func (q Quantity) Text() string { return q.text }

// String returns the quantity as the program prints it, exactly: a decimal point,
// a true minus sign, the unit's own name: "13.6 N·m" for "13,6Nm".
func (q Quantity) String() string {
	if q.IsZero() {
		return ""
	}
	return strings.Replace(exactText(q.value), "-", "−", 1) + " " + q.unit.String()
}

// IsZero reports whether q is no quantity at all.
func (q Quantity) IsZero() bool { return q.value == nil }

// Value returns a copy of the number in the quantity's own unit; nil for the zero Quantity.
func (q Quantity) Value() *big.Rat {
	if q.IsZero() {
		return nil
	}
	return new(big.Rat).Set(q.value)
}

// Unit returns the unit in which the quantity was written.
func (q Quantity) Unit() Unit { return q.unit }

var errNone = errors.New("there is no quantity: write a number with its unit, such as 13.6 N·m")

// In returns the number of units u that the quantity is, exactly. It is an error
// where the dimensions differ or q is the zero Quantity.
func (q Quantity) In(u Unit) (*big.Rat, error) {
	if q.IsZero() {
		return nil, errNone
	}
	f, err := q.unit.Factor(u)
	if err != nil {
		return nil, fmt.Errorf("convert %s to %s: %w", q.text, name(u), err)
	}
	return f.Mul(f, q.value), nil
}

// Cmp returns −1, 0 or 1 as q is less than, equal to or greater than o. It is an
// error where the dimensions differ or one is the zero Quantity.
func (q Quantity) Cmp(o Quantity) (int, error) {
	if q.IsZero() || o.IsZero() {
		return 0, errNone
	}
	v, err := o.In(q.unit)
	if err != nil {
		return 0, fmt.Errorf("compare %s with %s: %w", q.text, o.text, err)
	}
	return q.value.Cmp(v), nil
}

// Equal reports whether both are the same amount, whatever the unit or the text:
// 12 lbf·in equals 1 lbf·ft.
func (q Quantity) Equal(o Quantity) bool {
	if q.IsZero() || o.IsZero() {
		return q.IsZero() && o.IsZero()
	}
	c, err := q.Cmp(o)
	return err == nil && c == 0
}

// MarshalText writes the text of the quantity as it was written.
func (q Quantity) MarshalText() ([]byte, error) { return []byte(q.text), nil }

// UnmarshalText reads a quantity as Parse does, and nothing as the zero Quantity.
func (q *Quantity) UnmarshalText(b []byte) error {
	if len(b) == 0 {
		*q = Quantity{}
		return nil
	}
	v, err := Parse(string(b))
	if err != nil {
		return err
	}
	*q = v
	return nil
}
