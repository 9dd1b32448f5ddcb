package clearance

import (
	"cmp"
	"errors"
	"fmt"
	"slices"

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

// ObserveTopics lists the topics.
var ObserveTopics = []ObserveTopic{ObserveIsolation, ObserveFacing, ObserveStack, ObserveJoint}

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

// PolicyFault is a field of a policy that cannot be so.
type PolicyFault struct {
	Field   string // as JSON names it
	Message string
}

// PolicyBound is the least and the most that a number of a policy may be.
type PolicyBound struct {
	Field    string // as JSON names it
	Min, Max int
	name     string
	value    func(Policy) int
}

// PolicyBounds are the bounds of every number of a policy, in its order.
var PolicyBounds = []PolicyBound{
	{"cut", 50, 100, "cut, in percent", func(p Policy) int { return int(p.Cut) }},
	{"tries", 1, 20, "tries", func(p Policy) int { return p.Tries }},
	{"wait_days", 0, 365, "waiting time, in days", func(p Policy) int { return p.WaitDays }},
	{"rebuilds", 1, 20, "observed rebuilds", func(p Policy) int { return p.Rebuilds }},
	{"months", 1, 120, "months of validity", func(p Policy) int { return p.Months }},
	{"notice_days", 0, 365, "notice, in days", func(p Policy) int { return p.NoticeDays }},
	{"grace_days", 0, 365, "grace, in days", func(p Policy) int { return p.GraceDays }},
	{"training_window", 0, 3650, "training window, in days", func(p Policy) int { return p.TrainingWindow }},
	{"wanted", 50, 99, "level wanted, in percent", func(p Policy) int { return cmp.Or(p.Wanted, defaultWanted) }},
	{"times_a_year", 1, 3650, "times a year", func(p Policy) int { return cmp.Or(p.TimesAYear, defaultTimesAYear) }},
}

// Faults names every field that cannot be as it is.
func (p Policy) Faults() (out []PolicyFault) {
	for _, b := range PolicyBounds {
		if v := b.value(p); v < b.Min || v > b.Max {
			out = append(out, PolicyFault{b.Field, fmt.Sprintf("%s: %d; it must be from %d to %d", b.name, v, b.Min, b.Max)})
		}
	}
	seen := map[ObserveTopic]bool{}
	for _, t := range p.ObserveAgain {
		if !slices.Contains(ObserveTopics, t) {
			out = append(out, PolicyFault{"observe_again", fmt.Sprintf("observe again: there is no topic %q", string(t))})
		} else if seen[t] {
			out = append(out, PolicyFault{"observe_again", fmt.Sprintf("observe again: %s stands twice", t)})
		}
		seen[t] = true
	}
	return out
}

// Check returns an error that says what cannot be, the first of [Policy.Faults].
func (p Policy) Check() error {
	if f := p.Faults(); len(f) > 0 {
		return errors.New(f[0].Message)
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
