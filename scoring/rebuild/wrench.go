package rebuild

import (
	"slices"

	"soloright/content"
	"soloright/content/torque"
)

// Wrench is a torque wrench as the register of wrenches has it.
type Wrench struct {
	ID         string
	Indicating bool            // shows the torque; else it is set and signals
	Min, Max   torque.Quantity // of its scale; zero: not stated
	// Calibrations in the order in which they were recorded.
	Calibrations []Calibration
}

// Calibration is one calibration of a wrench. Good is as found: an adjustment that
// follows is recorded as a second one.
type Calibration struct {
	Done        content.Date `json:"done,omitzero"`
	Due         content.Date `json:"due,omitzero"` // the last day on which it holds
	Good        bool         `json:"good"`
	Certificate string       `json:"certificate,omitempty"`
}

// Holds returns the calibration by which a wrench holds on a day: the last one done
// by then, where it was good and is not past its due day, unless the next one after
// that day found the wrench out of tolerance. Otherwise why says what is wrong.
func (w Wrench) Holds(day content.Date) (c Calibration, why string) {
	last, next := w.around(day)
	switch {
	case last == nil:
		return c, "was not calibrated by then"
	case !last.Good:
		return *last, "was found out of tolerance on " + last.Done.String()
	case last.Due.Before(day):
		return *last, "was out of calibration since " + last.Due.String()
	case next != nil && !next.Good:
		return *last, "was found out of tolerance afterwards, on " + next.Done.String()
	}
	return *last, ""
}

// around returns the last calibration done by a day and the first after it. Of
// several on one day the one recorded last is the last; found out comes before put
// right, so the first after a day is the first recorded.
func (w Wrench) around(day content.Date) (last, next *Calibration) {
	all := w.byDay()
	for i := range all {
		if c := &all[i]; !day.Before(c.Done) {
			last = c
		} else if next == nil {
			next = c
		}
	}
	return last, next
}

func (w Wrench) byDay() []Calibration {
	all := slices.Clone(w.Calibrations)
	slices.SortStableFunc(all, func(a, b Calibration) int { return a.Done.Time().Compare(b.Done.Time()) })
	return all
}

// Doubt is the time in which a wrench that was found out of tolerance may have been
// wrong: from its last good calibration, that day included, to the day on which it
// was found out. From is zero where there was no good one before.
type Doubt struct {
	From, Found content.Date
	Certificate string
}

// Doubts lists them, the oldest first. Whatever was tightened with the wrench in one
// of them is in doubt.
func (w Wrench) Doubts() []Doubt {
	var out []Doubt
	var good content.Date
	for _, c := range w.byDay() {
		if c.Good {
			good = c.Done
			continue
		}
		out = append(out, Doubt{good, c.Done, c.Certificate})
	}
	return out
}

// LastGood returns the day of the last good calibration by a day; zero where there
// is none.
func (w Wrench) LastGood(day content.Date) (d content.Date) {
	for _, c := range w.byDay() {
		if c.Good && !day.Before(c.Done) {
			d = c.Done
		}
	}
	return d
}
