package rebuild

import (
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"soloright/content"
	"soloright/content/torque"
	"soloright/scoring/clearance"
)

// As says what a fastener's value is.
type As string

// What a value can be.
const (
	AsSet       As = "set"       // what the wrench was set to, and whether it signalled
	AsIndicated As = "indicated" // the peak that an indicating wrench showed
	AsCheck     As = "check"     // read in the check pass that the procedure gives
	AsAngle     As = "angle"     // turned beyond snug
	AsGap       As = "gap"       // the gap that was measured
	AsStop      As = "stop"      // metal to metal
)

// Ways lists what the value of a joint's fasteners may be.
func Ways(j *content.Joint) []As {
	switch j.Tighten.By {
	case content.ByTurns:
		return []As{AsAngle}
	case content.ByGap:
		return []As{AsGap}
	case content.ToStop:
		return []As{AsStop}
	case content.ByTorqueAngle:
		return []As{AsSet, AsIndicated}
	}
	if j.CheckPass != nil {
		return []As{AsSet, AsIndicated, AsCheck}
	}
	return []As{AsSet, AsIndicated}
}

// TakesAngle reports whether an angle belongs to each fastener of a joint beside
// its torque: the one that follows the torque, or the extra one to the next hole.
func TakesAngle(j *content.Joint) bool {
	return j.Tighten.By == content.ByTorqueAngle || j.Align != nil && j.Align.MaxAngle != nil
}

// Entry is what the assessor wrote at one place of the sheet. Which fields are
// used depends on the place; quantities are written with their unit.
type Entry struct {
	Outcome   clearance.Outcome `json:"outcome,omitempty"`   // of a hold point
	Condition string            `json:"condition,omitempty"` // why it did not apply, as found
	As        As                `json:"as,omitempty"`        // of a fastener
	Value     string            `json:"value,omitempty"`     // of a fastener; of a test its pressure
	Reached   bool              `json:"reached,omitempty"`   // the set wrench signalled; the stop was reached
	Angle     string            `json:"angle,omitempty"`     // after the torque
	Wrench    string            `json:"wrench,omitempty"`    // as engraved
	Held      string            `json:"held,omitempty"`      // how long a test was held
	Readings  []string          `json:"readings,omitempty"`  // of a setting by the names of its readings, of a test by its criteria
	Started   string            `json:"started,omitempty"`   // of the times, RFC 3339
	Ended     string            `json:"ended,omitempty"`
	Note      string            `json:"note,omitempty"`
}

// Empty reports whether nothing is written.
func (e Entry) Empty() bool {
	said := slices.ContainsFunc(e.Readings, func(r string) bool { return r != "" })
	return !said && e.Outcome == "" && e.Condition == "" && e.As == "" && e.Value == "" && !e.Reached && e.Angle == "" && e.Wrench == "" &&
		e.Held == "" && e.Started == "" && e.Ended == "" && e.Note == ""
}

// EntryError says which field of an entry cannot be kept, and what to write.
type EntryError struct {
	Field   string
	Message string
}

func (e *EntryError) Error() string { return e.Field + ": " + e.Message }

const (
	longest     = 500 // characters of a text
	mostWrench  = 64
	mostReading = 200
)

// Check returns an [*EntryError] where an entry cannot be kept at a place: it does
// not read, or says what the place has no room for. What is missing, or is out of
// its limits, can be kept: it stands out instead.
func (p *Plan) Check(place string, e Entry) error {
	t, ok := p.find(place)
	if !ok {
		return &EntryError{"place", "The sheet has no such place."}
	}
	if err := texts(e); err != nil {
		return err
	}
	if err := strangers(e, t.fields()); err != nil {
		return err
	}
	switch {
	case t.hold != nil:
		return checkHold(t.hold.Hold, e)
	case t.joint != nil:
		return checkFastener(t.joint, e)
	case t.setting != nil:
		return checkSetting(t.setting, e)
	case t.test != nil:
		return checkTest(t.test, e)
	case t.times:
		return checkTimes(e)
	}
	return nil
}

// fields are those that a place has room for, besides the note.
func (t target) fields() []string {
	switch {
	case t.hold != nil:
		return []string{"outcome", "condition"}
	case t.joint != nil:
		return []string{"as", "value", "reached", "angle", "wrench"}
	case t.setting != nil:
		return []string{"readings"}
	case t.test != nil:
		return []string{"value", "held", "readings"}
	case t.times:
		return []string{"started", "ended"}
	}
	return nil
}

func strangers(e Entry, room []string) error {
	for field, used := range map[string]bool{"outcome": e.Outcome != "", "condition": e.Condition != "", "as": e.As != "", "value": e.Value != "", "reached": e.Reached,
		"angle": e.Angle != "", "wrench": e.Wrench != "", "held": e.Held != "", "readings": len(e.Readings) > 0, "started": e.Started != "", "ended": e.Ended != ""} {
		if used && !slices.Contains(room, field) {
			return &EntryError{field, "There is no room for this here."}
		}
	}
	return nil
}

// texts refuses what a sheet cannot hold: a text that is too long, or that has a
// character in it that is none.
func texts(e Entry) error {
	all := map[string]string{"condition": e.Condition, "value": e.Value, "angle": e.Angle, "wrench": e.Wrench, "held": e.Held, "note": e.Note}
	for i, r := range e.Readings {
		all[fmt.Sprintf("readings[%d]", i)] = r
	}
	for field, text := range all {
		most := longest
		if field == "wrench" {
			most = mostWrench
		}
		switch {
		case utf8.RuneCountInString(text) > most:
			return &EntryError{field, fmt.Sprintf("This is too long: at most %d characters.", most)}
		case !utf8.ValidString(text) || strings.ContainsFunc(text, func(r rune) bool { return r < ' ' && r != '\n' && r != '\r' && r != '\t' || r == 0x7f }):
			return &EntryError{field, "This holds a character that cannot be kept."}
		}
	}
	return nil
}

func checkHold(h *content.Hold, e Entry) error {
	switch e.Outcome {
	case "", clearance.Unaided, clearance.Prompted, clearance.Stopped, clearance.NotDone:
		if e.Condition != "" {
			return &EntryError{"condition", "A condition belongs to a hold point that does not apply."}
		}
		return nil
	case clearance.NotApplicable:
	default:
		return &EntryError{"outcome", "There is no such outcome: unaided, prompted, stopped, not done or not applicable."}
	}
	switch {
	case h.Critical:
		return &EntryError{"outcome", "This hold point is critical and always applies."}
	case h.Unless == "":
		return &EntryError{"outcome", "The procedure gives no condition on which this hold point may not apply."}
	}
	return nil
}

func checkFastener(j *content.Joint, e Entry) error {
	if e.As != "" && !slices.Contains(Ways(j), e.As) {
		return &EntryError{"as", "This joint is not tightened so."}
	}
	dimension := torque.Torque
	switch {
	case j.Tighten.By == content.ByTurns:
		dimension = torque.Angle
	case j.Tighten.By == content.ByGap:
		dimension = torque.Length
	case j.Tighten.By == content.ToStop && e.Value != "":
		return &EntryError{"value", "This joint is brought to its stop: there is no value."}
	}
	if err := checkQuantity("value", e.Value, dimension); err != nil {
		return err
	}
	if e.Angle != "" && !TakesAngle(j) {
		return &EntryError{"angle", "This joint takes no angle."}
	}
	return checkQuantity("angle", e.Angle, torque.Angle)
}

func checkSetting(s *content.Setting, e Entry) error {
	if len(e.Readings) > len(s.Readings) {
		return &EntryError{"readings", fmt.Sprintf("There are %d readings.", len(s.Readings))}
	}
	for i, r := range e.Readings {
		if err := checkQuantity(fmt.Sprintf("readings[%d]", i), r, s.Near.Unit().Dimension()); err != nil {
			return err
		}
	}
	return nil
}

func checkTest(t *content.Test, e Entry) error {
	if err := checkQuantity("value", e.Value, t.Pressure.Unit().Dimension()); err != nil {
		return err
	}
	if err := checkQuantity("held", e.Held, t.Hold.Unit().Dimension()); err != nil {
		return err
	}
	if len(e.Readings) > len(t.Accept) {
		return &EntryError{"readings", fmt.Sprintf("There are %d criteria.", len(t.Accept))}
	}
	for i, r := range e.Readings {
		field := fmt.Sprintf("readings[%d]", i)
		c := t.Accept[i]
		if c.Limit != nil {
			if err := checkQuantity(field, r, unitOf(c.Limit).Dimension()); err != nil {
				return err
			}
		} else if r != "" && !slices.Contains(Seen(&c), r) {
			return &EntryError{field, "Choose one of what the procedure says may be seen."}
		}
	}
	return nil
}

// SeenOther is what is chosen where nothing that the procedure lists was seen: the
// note says what was.
const SeenOther = "Something else, see the note"

// Seen lists what may be chosen for a criterion that is described.
func Seen(c *content.Criterion) []string {
	out := slices.Clone(c.Pass)
	for _, f := range c.Fail {
		out = append(out, f.Text)
	}
	return append(out, SeenOther)
}

func unitOf(l *content.Limit) torque.Unit {
	if l.Max != nil {
		return l.Max.Unit()
	}
	return l.Min.Unit()
}

// checkQuantity refuses a text that is no quantity of a dimension; an empty one is
// none yet.
func checkQuantity(field, text string, d torque.Dimension) error {
	if text == "" {
		return nil
	}
	q, err := torque.Parse(text)
	switch {
	case err != nil:
		return &EntryError{field, "This does not read as a number with its unit: write it like 28 N·m."}
	case q.Unit().Dimension() != d:
		return &EntryError{field, fmt.Sprintf("%s is no %s.", q, d)}
	}
	return nil
}

func checkTimes(e Entry) error {
	for field, text := range map[string]string{"started": e.Started, "ended": e.Ended} {
		if _, err := time.Parse(time.RFC3339, text); text != "" && err != nil {
			return &EntryError{field, "This does not read as a date and time."}
		}
	}
	return nil
}

// Times returns the stated start and end, in UTC; zero where one is not stated.
func (e Entry) Times() (started, ended time.Time) {
	read := func(text string) time.Time {
		t, err := time.Parse(time.RFC3339, text)
		if err != nil {
			return time.Time{}
		}
		return t.UTC()
	}
	return read(e.Started), read(e.Ended)
}
