package web

import (
	"cmp"
	"strings"

	"soloright/content"
	"soloright/content/torque"
	"soloright/scoring/clearance"
	"soloright/scoring/rebuild"
)

// PlaceControl is what every place of a sheet has.
type PlaceControl struct {
	Place    string
	Revision int64
	Entry    rebuild.Entry
	Line     rebuild.Line // as it stands
	Kept     string       // when it was kept, at the site; empty: nothing is
}

// HoldControl is a hold point.
type HoldControl struct {
	PlaceControl
	Hold     content.Hold
	Outcomes []Choice
}

// JointControl is a joint, with one control for each fastener.
type JointControl struct {
	Joint     content.Joint
	Wanted    string
	Units     []Choice // for the values that are written without one
	Angles    []Choice
	Fasteners []FastenerControl
}

// FastenerControl is one fastener of a joint.
type FastenerControl struct {
	PlaceControl
	N     int
	Ways  []Choice
	Value string // the number, in the joint's unit, or with a unit of its own
	Angle string
}

// SettingControl is a measurement.
type SettingControl struct {
	PlaceControl
	Setting content.Setting
	Unit    string
	Values  []string
}

// TestControl is a test.
type TestControl struct {
	PlaceControl
	Test     content.Test
	Pressure string
	Held     string
	Criteria []CriterionControl
}

// CriterionControl is one thing that a test must show.
type CriterionControl struct {
	What    string
	Unit    string // of a value
	Value   string
	Choices []Choice // of what may be seen
}

func newHold(h content.Hold, at PlaceControl) *HoldControl {
	out := &HoldControl{PlaceControl: at, Hold: h}
	for _, o := range []clearance.Outcome{clearance.Unaided, clearance.Prompted, clearance.Stopped, clearance.NotDone, clearance.NotApplicable} {
		text := map[clearance.Outcome]string{clearance.Unaided: "Unaided", clearance.Prompted: "Prompted", clearance.Stopped: "Stopped by me", clearance.NotDone: "Not done: work went on", clearance.NotApplicable: "Does not apply"}[o]
		if o != clearance.NotApplicable || h.Unless != "" && !h.Critical {
			out.Outcomes = append(out.Outcomes, Choice{string(o), text, at.Entry.Outcome == o})
		}
	}
	return out
}

// ways are the words for what a value is.
var ways = map[rebuild.As]string{rebuild.AsSet: "set to", rebuild.AsIndicated: "indicated", rebuild.AsCheck: "check value", rebuild.AsAngle: "turned", rebuild.AsGap: "gap", rebuild.AsStop: "stop"}

func newJoint(j content.Joint, at func(string) PlaceControl) JointControl {
	out := JointControl{Joint: j, Wanted: rebuild.Wanted(&j)}
	unit := jointUnit(&j)
	angle := ""
	if rebuild.TakesAngle(&j) {
		angle = "°"
		out.Angles = unitsLike(angle, torque.Angle)
	}
	if !unit.IsZero() {
		out.Units = unitsLike(unit.String(), unit.Dimension())
	}
	for n := 1; n <= j.Pattern.Count; n++ {
		p := at(rebuild.PlaceOfFastener(j.ID, n))
		fc := FastenerControl{PlaceControl: p, N: n, Value: inUnit(p.Entry.Value, unit.String()), Angle: inUnit(p.Entry.Angle, angle)}
		all := rebuild.Ways(&j)
		for _, as := range all {
			fc.Ways = append(fc.Ways, Choice{string(as), ways[as], p.Entry.As == as || len(all) == 1})
		}
		out.Fasteners = append(out.Fasteners, fc)
	}
	return out
}

// jointUnit is the unit in which a joint's value is stated; none for a stop.
func jointUnit(j *content.Joint) torque.Unit {
	t := j.Tighten
	for _, q := range []*torque.Quantity{t.Torque, t.Gap, t.Angle} {
		if q != nil {
			return q.Unit()
		}
	}
	return torque.Unit{}
}

func unitsLike(own string, d torque.Dimension) []Choice {
	var out []Choice
	for _, u := range torque.Units(d) {
		out = append(out, Choice{u.String(), u.String(), u.String() == own})
	}
	return out
}

// inUnit is a value without its unit where it is in that unit.
func inUnit(value, unit string) string {
	if number, ok := strings.CutSuffix(value, " "+unit); ok && unit != "" {
		return number
	}
	return value
}

// withUnit puts the unit to a number that was written without one.
func withUnit(value, unit string) string {
	value = strings.TrimSpace(value)
	if _, err := torque.Parse(value); value == "" || err == nil || unit == "" {
		return value
	}
	return value + " " + unit
}

func newSetting(s content.Setting, at PlaceControl) SettingControl {
	out := SettingControl{PlaceControl: at, Setting: s, Unit: s.Near.Unit().String(), Values: make([]string, len(s.Readings))}
	for i, r := range at.Entry.Readings {
		if i < len(out.Values) {
			out.Values[i] = inUnit(r, out.Unit)
		}
	}
	return out
}

func newTest(t content.Test, at PlaceControl) TestControl {
	out := TestControl{PlaceControl: at, Test: t, Pressure: inUnit(at.Entry.Value, t.Pressure.Unit().String()), Held: inUnit(at.Entry.Held, t.Hold.Unit().String())}
	for i := range t.Accept {
		cr, given := t.Accept[i], ""
		if i < len(at.Entry.Readings) {
			given = at.Entry.Readings[i]
		}
		one := CriterionControl{What: cr.What, Value: given}
		if cr.Limit != nil {
			one.Unit = limitUnit(cr.Limit)
			one.Value = inUnit(given, one.Unit)
		} else {
			for _, s := range rebuild.Seen(&cr) {
				one.Choices = append(one.Choices, Choice{s, s, s == given})
			}
		}
		out.Criteria = append(out.Criteria, one)
	}
	return out
}

func limitUnit(l *content.Limit) string {
	return cmp.Or(l.Max, l.Min).Unit().String()
}
