package rebuild

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"soloright/content"
	"soloright/content/torque"
	"soloright/scoring/clearance"
)

// Person is somebody on a sheet, by the name as printed.
type Person struct {
	ID   string `json:"id"`
	Name string `json:"name"`
}

// Head is what stands at the top of a sheet and is not on the plan.
type Head struct {
	Rebuild    string
	Technician Person
	Assessor   Person
	Zone       *time.Location // of the site: a stated time lies on a day there
	Today      content.Date   // the day of the work as long as no times are stated
}

// Kept is an entry with the time at which the server kept it.
type Kept struct {
	Entry
	At time.Time
}

// LineKind says what a line of a sheet is about.
type LineKind string

// The kinds of lines.
const (
	LineHold     LineKind = "hold point"
	LineFastener LineKind = "fastener"
	LineSetting  LineKind = "setting"
	LineTest     LineKind = "test"
)

// Line is one line of a filled sheet, in words.
type Line struct {
	Place  string    `json:"place"`
	Kind   LineKind  `json:"kind"`
	What   string    `json:"what"`
	Wanted string    `json:"wanted"`
	Found  string    `json:"found,omitempty"`
	Wrench string    `json:"wrench,omitempty"`
	Note   string    `json:"note,omitempty"`
	Kept   string    `json:"kept,omitempty"` // when, RFC 3339 in UTC
	Fault  string    `json:"fault,omitempty"`
	Why    FaultKind `json:"why,omitempty"` // of the fault
}

// Filled is a step of a filled sheet.
type Filled struct {
	N     int           `json:"n"`
	Step  string        `json:"step"`
	Phase content.Phase `json:"phase"`
	Text  string        `json:"text"`
	Lines []Line        `json:"lines"`
}

// Used is a wrench that was used, with the calibration by which it holds on the
// day of the end; Fault where it does not.
type Used struct {
	ID          string      `json:"id"`
	Calibration Calibration `json:"calibration"`
	Known       bool        `json:"known"` // on the register of wrenches
	Fault       string      `json:"fault,omitempty"`
}

// Record is a filled sheet: what was wanted, what was found, and what of it is
// good. Text is its canonical text.
type Record struct {
	Rebuild    string                 `json:"rebuild"`
	Procedure  string                 `json:"procedure"`
	Title      string                 `json:"title"`
	Revision   string                 `json:"revision"`
	Build      string                 `json:"build,omitempty"`
	BuildTitle string                 `json:"build_title,omitempty"`
	Partial    bool                   `json:"partial,omitempty"`
	Technician Person                 `json:"technician"`
	Assessor   Person                 `json:"assessor"`
	Started    string                 `json:"started,omitempty"` // as stated, RFC 3339 in UTC
	Ended      string                 `json:"ended,omitempty"`
	Steps      []Filled               `json:"steps"`
	Wrenches   []Used                 `json:"wrenches"`
	Remarks    string                 `json:"remarks,omitempty"`
	Holds      []clearance.HoldRecord `json:"holds"` // those with an outcome
	Open       []string               `json:"open"`  // places of hold points without one
	Faults     int                    `json:"faults"`
	// InTolerance: every reading is there and within its limits. InCalibration: every
	// wrench is on the register and held on the stated days.
	InTolerance   bool `json:"in_tolerance"`
	InCalibration bool `json:"in_calibration"`
}

// Fill writes the entries onto the plan and judges every place, exactly and by
// inclusive limits. Nothing that is missing is good. Entries at places that the
// plan does not have are left out.
func Fill(p Plan, h Head, entries map[string]Kept, wrenches map[string]Wrench) Record {
	r := Record{Rebuild: h.Rebuild, Procedure: p.Procedure, Title: p.Title, Revision: p.Revision, Build: p.Build, BuildTitle: p.BuildTitle, Partial: p.Partial,
		Technician: h.Technician, Assessor: h.Assessor, Steps: []Filled{}, Wrenches: []Used{}, Holds: []clearance.HoldRecord{}, Open: []string{},
		Remarks: entries[PlaceRemarks].Note, InTolerance: true, InCalibration: true}
	b := bench{wrenches: wrenches}
	started, ended := entries[PlaceTimes].Times()
	for _, t := range []struct {
		at   time.Time
		text *string
	}{{started, &r.Started}, {ended, &r.Ended}} {
		if !t.at.IsZero() {
			*t.text = t.at.Format(time.RFC3339)
			b.days = append(b.days, content.DateOf(t.at.In(h.Zone)))
		}
	}
	if len(b.days) == 0 && !h.Today.IsZero() {
		b.days = []content.Date{h.Today}
	}
	for i := range p.Stations {
		r.Steps = append(r.Steps, r.fill(b, &p.Stations[i], entries))
	}
	r.used(b)
	return r
}

// fill writes one step.
func (r *Record) fill(b bench, st *Station, entries map[string]Kept) Filled {
	f := Filled{N: st.N, Step: st.Step.ID, Phase: st.Step.Phase, Text: st.Step.Text, Lines: []Line{}}
	add := func(l Line, v verdict, k Kept) {
		l.Note, l.Fault, l.Why = k.Note, v.text, v.kind
		if !k.At.IsZero() {
			l.Kept = k.At.UTC().Format(time.RFC3339)
		}
		r.count(v)
		f.Lines = append(f.Lines, l)
	}
	if st.Step.Hold != nil {
		k := entries[PlaceOfHold(st.Step.ID)]
		l, v := r.hold(&st.Step, k.Entry)
		add(l, v, k)
	}
	for _, j := range st.Joints {
		for n := 1; n <= j.Pattern.Count; n++ {
			k := entries[PlaceOfFastener(j.ID, n)]
			add(fastenerLine(&j, n, k.Entry), b.fastener(&j, k.Entry), k)
		}
	}
	for _, s := range st.Settings {
		k := entries[PlaceOfSetting(s.ID)]
		came, v := setting(&s, k.Entry)
		add(settingLine(&s, k.Entry, came), v, k)
	}
	for _, t := range st.Tests {
		k := entries[PlaceOfTest(t.ID)]
		add(testLine(&t, k.Entry), test(&t, k.Entry), k)
	}
	return f
}

func (r *Record) count(v verdict) {
	if v.kind != "" {
		r.Faults++
	}
	switch v.kind {
	case FaultMissing, FaultTolerance:
		r.InTolerance = false
	case FaultCalibration:
		r.InCalibration = false
	}
}

// hold writes a hold point, and keeps its record for the clearance.
func (r *Record) hold(s *content.Step, e Entry) (Line, verdict) {
	l := Line{Place: PlaceOfHold(s.ID), Kind: LineHold, What: s.Hold.Look, Found: string(e.Outcome)}
	switch {
	case s.Hold.Critical:
		l.Wanted = "unaided; critical, always applies"
	case s.Hold.Unless != "":
		l.Wanted = "unaided, unless " + s.Hold.Unless
	default:
		l.Wanted = "unaided"
	}
	if e.Outcome == "" {
		r.Open = append(r.Open, l.Place)
		return l, fault(FaultHold, "no outcome is written")
	}
	h := clearance.HoldRecord{Step: s.ID, Outcome: e.Outcome, Conditional: s.Hold.Unless != "", Critical: s.Hold.Critical, Condition: e.Condition}
	r.Holds = append(r.Holds, h)
	if e.Condition != "" {
		l.Found += ": " + e.Condition
	}
	if ok, _ := (clearance.RebuildFinished{Holds: []clearance.HoldRecord{h}, InTolerance: true, InCalibration: true}).Counts(); !ok {
		if e.Outcome == clearance.NotApplicable {
			return l, fault(FaultHold, "the condition found is not written")
		}
		return l, fault(FaultHold, "not unaided")
	}
	return l, verdict{}
}

func fastenerLine(j *content.Joint, n int, e Entry) Line {
	l := Line{Place: PlaceOfFastener(j.ID, n), Kind: LineFastener, What: fmt.Sprintf("%s, fastener %d of %d", j.Title, n, j.Pattern.Count), Wanted: Wanted(j), Wrench: e.Wrench}
	var found []string
	switch {
	case e.As == AsSet && e.Value != "":
		found = append(found, "set to "+e.Value)
		if e.Reached {
			found = append(found, "signalled")
		}
	case e.As == AsIndicated && e.Value != "":
		found = append(found, "indicated "+e.Value)
	case e.As == AsCheck && e.Value != "":
		found = append(found, "check value "+e.Value)
	case e.Value != "":
		found = append(found, e.Value)
	case e.Reached:
		found = append(found, "stop reached")
	}
	if e.Angle != "" {
		found = append(found, "then "+e.Angle)
	}
	l.Found = strings.Join(found, ", ")
	return l
}

// Wanted says what a joint's fasteners are to be brought to, with the limits worked
// out, and in which order: "28 N·m ±10 %: 25.2 N·m to 30.8 N·m; crossing pattern".
func Wanted(j *content.Joint) string {
	t := j.Tighten
	limits := func(target torque.Quantity) string {
		low, high, err := t.Tolerance.Band(target)
		if err != nil {
			return target.String()
		}
		return target.String() + " " + t.Tolerance.String() + ": " + low.String() + " to " + high.String()
	}
	switch t.By {
	case content.ToStop:
		return "metal to metal, no more"
	case content.ByTurns:
		return t.Angle.String() + " beyond snug"
	case content.ByGap:
		return "gap " + limits(*t.Gap)
	}
	text := limits(*t.Torque)
	if t.By == content.ByTorqueAngle {
		text += ", then " + t.Angle.String()
	}
	switch {
	case j.Align == nil:
	case j.Align.MaxTorque != nil:
		text += "; on to the next hole, up to " + j.Align.MaxTorque.String()
	case j.Align.MaxAngle != nil:
		text += "; then on to the next hole, by " + j.Align.MaxAngle.String() + " at most"
	}
	if order := j.OrderWords(); order != "" {
		text += "; " + order
	}
	return text
}

// limitText is a limit in words.
func limitText(l content.Limit) string {
	switch {
	case l.Min == nil:
		return "at most " + l.Max.String()
	case l.Max == nil:
		return "at least " + l.Min.String()
	}
	return l.Min.String() + " to " + l.Max.String()
}

func settingLine(s *content.Setting, e Entry, came string) Line {
	l := Line{Place: PlaceOfSetting(s.ID), Kind: LineSetting, What: s.Title + ", from " + s.Datum, Wanted: limitText(s.Limit)}
	if s.WorkOut != content.Direct {
		l.Wanted += ", " + s.WorkOut.Words()
	}
	var found []string
	for i, r := range e.Readings {
		if r != "" && i < len(s.Readings) {
			found = append(found, s.Readings[i]+" "+r)
		}
	}
	l.Found = strings.Join(found, "; ")
	if came != "" && s.WorkOut != content.Direct {
		l.Found += "; comes to " + came
	}
	return l
}

func testLine(t *content.Test, e Entry) Line {
	l := Line{Place: PlaceOfTest(t.ID), Kind: LineTest, What: t.Title}
	wanted := []string{t.Medium + ", " + t.Pressure.String() + ", " + t.Hold.String()}
	for i := range t.Accept {
		c := &t.Accept[i]
		if c.Limit != nil {
			wanted = append(wanted, c.What+" "+limitText(*c.Limit))
		} else {
			wanted = append(wanted, c.What+": "+strings.Join(c.Pass, " / "))
		}
	}
	l.Wanted = strings.Join(wanted, "; ")
	var found []string
	for _, v := range []string{e.Value, e.Held} {
		if v != "" {
			found = append(found, v)
		}
	}
	for i, r := range e.Readings {
		if r != "" && i < len(t.Accept) {
			found = append(found, t.Accept[i].What+": "+r)
		}
	}
	l.Found = strings.Join(found, "; ")
	return l
}

// used lists the wrenches that the sheet names, by id, each judged on the day of
// the end.
func (r *Record) used(b bench) {
	ids := map[string]bool{}
	for _, st := range r.Steps {
		for _, l := range st.Lines {
			if l.Wrench != "" {
				ids[l.Wrench] = true
			}
		}
	}
	for _, id := range slices.Sorted(maps.Keys(ids)) {
		w, known := b.wrenches[id]
		u := Used{ID: id, Known: known}
		if !known {
			u.Fault = "is not on the register of wrenches"
		}
		for _, day := range b.days {
			if c, why := w.Holds(day); known {
				u.Calibration = c
				if u.Fault == "" {
					u.Fault = why
				}
			}
		}
		r.Wrenches = append(r.Wrenches, u)
	}
}

// Finished is the act of finishing the sheet, but for the digest, which is that of
// the sheet's text.
func (r Record) Finished(started, ended time.Time) clearance.RebuildFinished {
	return clearance.RebuildFinished{Rebuild: r.Rebuild, Technician: r.Technician.ID, Assessor: r.Assessor.ID, Procedure: r.Procedure, Revision: r.Revision, Build: r.Build,
		Started: started, Ended: ended, Holds: r.Holds, InTolerance: r.InTolerance, InCalibration: r.InCalibration, Partial: r.Partial}
}

// Fault says why the sheet does not count; "" where it does.
func (r Record) Fault() string {
	for _, st := range r.Steps {
		for _, l := range st.Lines {
			if l.Fault != "" {
				return l.What + ": " + l.Fault
			}
		}
	}
	if len(r.Holds) == 0 {
		return "no hold point was observed"
	}
	return ""
}
