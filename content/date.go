package content

import (
	"fmt"
	"time"
)

// Date is a day of the calendar without a place or a time, "2026-03-02".
type Date struct{ t time.Time }

// ParseDate reads a date as ISO 8601's extended format, YYYY-MM-DD.
func ParseDate(s string) (Date, error) {
	t, err := time.Parse(time.DateOnly, s)
	if err != nil {
		return Date{}, fmt.Errorf("%q is no date; write it as 2026-03-02", s)
	}
	return Date{t}, nil
}

// String returns the date as YYYY-MM-DD, or "" for the zero Date.
func (d Date) String() string {
	if d.t.IsZero() {
		return ""
	}
	return d.t.Format(time.DateOnly)
}

// IsZero reports whether the date was never set.
func (d Date) IsZero() bool { return d.t.IsZero() }

// Before reports whether d is an earlier day than e.
func (d Date) Before(e Date) bool { return d.t.Before(e.t) }

// MarshalText writes the date as YYYY-MM-DD.
func (d Date) MarshalText() ([]byte, error) { return []byte(d.String()), nil }

// UnmarshalText reads what MarshalText writes.
func (d *Date) UnmarshalText(b []byte) error {
	if len(b) == 0 {
		*d = Date{}
		return nil
	}
	p, err := ParseDate(string(b))
	if err != nil {
		return err
	}
	*d = p
	return nil
}

// DateOf returns the day of t in t's own location.
func DateOf(t time.Time) Date {
	y, m, d := t.Date()
	return Date{time.Date(y, m, d, 0, 0, 0, 0, time.UTC)}
}

// Time returns the midnight at which the day begins in UTC.
func (d Date) Time() time.Time { return d.t }
