package torque

import (
	"fmt"
	"math/big"
)

// Display is how a wrench shows its value.
type Display int

// The displays.
const (
	Scale   Display = iota // marks on a scale or a micrometer sleeve
	Digital                // figures
)

// String returns "scale" or "digital".
func (d Display) String() string {
	if d == Digital {
		return "digital"
	}
	return "scale"
}

// MarshalText writes "scale" or "digital".
func (d Display) MarshalText() ([]byte, error) { return []byte(d.String()), nil }

// UnmarshalText reads "scale" or "digital".
func (d *Display) UnmarshalText(b []byte) error {
	switch string(b) {
	case "scale":
		*d = Scale
	case "digital":
		*d = Digital
	default:
		return fmt.Errorf("display %s is not known: write scale or digital", quote(string(b)))
	}
	return nil
}

// Wrench is a torque wrench as its scale shows it. Min, Max and Graduation are in
// Unit. The marks are the whole multiples of Graduation from Min to Max; on a
// digital display Graduation is one step of the last digit. As JSON the numbers
// are exact fractions in strings ("27/2").
type Wrench struct {
	Name       string   `json:"name"`
	Unit       Unit     `json:"unit"`
	Min        *big.Rat `json:"min"`
	Max        *big.Rat `json:"max"`
	Graduation *big.Rat `json:"graduation"`
	Display    Display  `json:"display"`
}

// Check returns what makes the wrench impossible, or nil. Min and Max must fall
// on marks, so that which mark is nearest is never in doubt.
func (w Wrench) Check() error {
	switch {
	case w.Unit.Dimension() != Torque:
		return fmt.Errorf("wrench %q: its unit is %s, which is no unit of torque: write one such as N·m", w.Name, name(w.Unit))
	case w.Min == nil || w.Max == nil || w.Graduation == nil:
		return fmt.Errorf("wrench %q: give its least value, its greatest and its graduation", w.Name)
	case w.Graduation.Sign() <= 0:
		return fmt.Errorf("wrench %q: its graduation is %s: write one above 0", w.Name, exactText(w.Graduation))
	case w.Min.Sign() < 0 || w.Min.Cmp(w.Max) >= 0:
		return fmt.Errorf("wrench %q: its range %s to %s is empty or below 0: write the least value first", w.Name, exactText(w.Min), exactText(w.Max))
	case !w.onMark(w.Min) || !w.onMark(w.Max):
		return fmt.Errorf("wrench %q: an end of its range %s to %s is no whole number of graduations of %s: give the marks at its ends",
			w.Name, exactText(w.Min), exactText(w.Max), exactText(w.Graduation))
	}
	return nil
}

func (w Wrench) onMark(v *big.Rat) bool { return new(big.Rat).Quo(v, w.Graduation).IsInt() }

// ToolTolerance returns what a setting torque wrench may be off by, as a share of
// the value set: ±4 % where the tool's greatest value is over 10 N·m, else ±6 %
// (ISO 6789, from memory; screwdriver types differ). It is an error where maximum
// is no torque.
func ToolTolerance(maximum Quantity) (Tolerance, error) {
	c, err := maximum.Cmp(Of(big.NewRat(10, 1), NewtonMetre))
	if err != nil {
		return Tolerance{}, fmt.Errorf("find the tolerance of a wrench: %w", err)
	}
	if c > 0 {
		return ParseTolerance("±4 %")
	}
	return ParseTolerance("±6 %")
}
