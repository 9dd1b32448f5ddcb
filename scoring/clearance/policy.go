package clearance

import (
	"cmp"
	"fmt"

	"soloright/content"
)

// Policy is what a site asks for before somebody works alone. The policy in force
// on a date decides for that date: one in force at the last signature decides
// what it took and how long it lasts, one in force on the date asked about
// decides grace, notice, tries and the training window.
type Policy struct {
	Cut            content.Cut    `json:"cut"`             // whole percent of the marks that pass
	Tries          int            `json:"tries"`           // failed ones before training is due
	WaitDays       int            `json:"wait_days"`       // days between two tries; 0: none
	Rebuilds       int            `json:"rebuilds"`        // observed rebuilds required
	Officer        bool           `json:"officer"`         // technician and assessor always sign; does a safety officer approve
	Months         int            `json:"months"`          // of validity, from the last signature
	NoticeDays     int            `json:"notice_days"`     // before a clearance lapses
	GraceDays      int            `json:"grace_days"`      // after a revision that changed facts; 0: to the end of its day
	TrainingWindow int            `json:"training_window"` // days after a training in which its trainer may not assess; 0: no window
	ObserveAgain   []ObserveTopic `json:"observe_again,omitempty"`

	// For lessons, not for clearances. 0, as in a policy set before there were these, is the default.
	Wanted     int `json:"wanted,omitempty"`       // the share of a fact that each person is to hold, in whole percent
	TimesAYear int `json:"times_a_year,omitempty"` // how often the work comes up: whole, so that rare work is exact too
}

// WantedShare is the level wanted, 0 to 1: the share h of what is held, not of
// right answers. The default .90 is the true level from which a master may fail
// a sitting no more often than one time in ten: who is there on each fact
// passes, and who is not has something to learn.
func (p Policy) WantedShare() float64 { return float64(cmp.Or(p.Wanted, defaultWanted)) / 100 }

// TimesAMonth is how often the work comes up a month; by default once.
func (p Policy) TimesAMonth() float64 { return float64(cmp.Or(p.TimesAYear, defaultTimesAYear)) / 12 }

const (
	defaultWanted     = 90
	defaultTimesAYear = 12
)

// ObserveTopic is what a changed fact is about when its hold point may have to be
// observed again.
type ObserveTopic string

// The topics.
const (
	ObserveFacing    ObserveTopic = "facing"
	ObserveStack     ObserveTopic = "stack"
	ObserveJoint     ObserveTopic = "joint"
	ObserveIsolation ObserveTopic = "isolation"
)

// DefaultPolicy is in force where none was set: three tries with a day between,
// one observed rebuild, technician and assessor sign, a year (29 CFR
// 1910.147(c)(6)(i) has energy control inspected at least annually), a month's
// notice, two weeks' grace, a quarter of a year between training and assessing.
func DefaultPolicy() Policy {
	return Policy{
		Cut: 80, Tries: 3, WaitDays: 1, Rebuilds: 1, Months: 12, NoticeDays: 30, GraceDays: 14, TrainingWindow: 90,
		ObserveAgain: []ObserveTopic{ObserveIsolation}, Wanted: defaultWanted, TimesAYear: defaultTimesAYear,
	}
}

// Check returns an error that says what cannot be.
func (p Policy) Check() error {
	for _, b := range []struct {
		name            string
		value, min, max int
	}{
		{"cut, in percent", int(p.Cut), 50, 100},
		{"tries", p.Tries, 1, 20},
		{"waiting time, in days", p.WaitDays, 0, 365},
		{"observed rebuilds", p.Rebuilds, 1, 20},
		{"months of validity", p.Months, 1, 120},
		{"notice, in days", p.NoticeDays, 0, 365},
		{"grace, in days", p.GraceDays, 0, 365},
		{"training window, in days", p.TrainingWindow, 0, 3650},
		{"level wanted, in percent", cmp.Or(p.Wanted, defaultWanted), 50, 99},
		{"times a year", cmp.Or(p.TimesAYear, defaultTimesAYear), 1, 3650},
	} {
		if b.value < b.min || b.value > b.max {
			return fmt.Errorf("%s: %d; it must be from %d to %d", b.name, b.value, b.min, b.max)
		}
	}
	seen := map[ObserveTopic]bool{}
	for _, t := range p.ObserveAgain {
		switch t {
		case ObserveFacing, ObserveStack, ObserveJoint, ObserveIsolation:
		default:
			return fmt.Errorf("observe again: there is no topic %q", string(t))
		}
		if seen[t] {
			return fmt.Errorf("observe again: %s stands twice", t)
		}
		seen[t] = true
	}
	return nil
}

// ObservesAgain reports whether a change of the fact makes its hold point due to
// be observed again.
func (p Policy) ObservesAgain(f content.Fact) bool {
	for _, t := range p.ObserveAgain {
		if t == topicOf(f) {
			return true
		}
	}
	return false
}

func topicOf(f content.Fact) ObserveTopic {
	switch {
	case f.Kind == content.KindFacing:
		return ObserveFacing
	case f.Kind == content.KindLayer || f.Kind == content.KindSplit:
		return ObserveStack
	case f.Kind.Topic() == content.TopicTightening:
		return ObserveJoint
	case f.Isolation() || f.Kind == content.KindRestore:
		return ObserveIsolation
	}
	return ""
}
