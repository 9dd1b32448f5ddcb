package rebuild

import (
	"slices"
	"strconv"
	"strings"

	"soloright/content"
)

// Plan is the assessor's sheet before anything stands on it: what a procedure
// wants to be looked at and measured, step by step in the order of the work.
type Plan struct {
	Procedure  string
	Title      string
	Revision   string
	Build      string // id; "" where the procedure has no builds
	BuildTitle string
	Partial    bool // only hold points that a revision wants to be observed again
	Stations   []Station
}

// Station is a step at which there is something to look at or to measure.
type Station struct {
	N        int // its place in the order of the work, from 1
	Step     content.Step
	Joints   []content.Joint
	Settings []content.Setting
	Tests    []content.Test
}

// NewPlan takes the sheet from a procedure for one build. With hold points, ids of
// steps, it is partial: those steps alone, with what is measured at them; a hold
// point that the procedure does not have is left out.
func NewPlan(p *content.Procedure, build string, only []string) Plan {
	plan := Plan{Procedure: p.ID, Title: p.Title, Revision: p.Revision, Build: build, Partial: len(only) > 0}
	for _, b := range p.Builds {
		if b.ID == build {
			plan.BuildTitle = b.Title
		}
	}
	q := content.ForBuild(p, build)
	for i, s := range inOrder(q.Steps) {
		st := Station{N: i + 1, Step: s}
		for _, j := range q.Joints {
			if j.Step == s.ID || j.Step == "" && s.Joint == j.ID {
				st.Joints = append(st.Joints, j)
			}
		}
		for _, m := range q.Settings {
			if m.Step == s.ID {
				st.Settings = append(st.Settings, m)
			}
		}
		for _, t := range q.Tests {
			if t.Step == s.ID {
				st.Tests = append(st.Tests, t)
			}
		}
		if plan.wants(st, only) {
			plan.Stations = append(plan.Stations, st)
		}
	}
	return plan
}

func (p *Plan) wants(st Station, only []string) bool {
	if p.Partial {
		return st.Step.Hold != nil && slices.Contains(only, st.Step.ID)
	}
	return st.Step.Hold != nil || len(st.Joints)+len(st.Settings)+len(st.Tests) > 0
}

// inOrder returns the steps so that each comes after those that must come before
// it; of several the one that stands first in the file.
func inOrder(steps []content.Step) []content.Step {
	done := map[string]bool{}
	out := make([]content.Step, 0, len(steps))
	for len(out) < len(steps) {
		before := len(out)
		for _, s := range steps {
			if !done[s.ID] && !slices.ContainsFunc(s.After, func(a string) bool { return !done[a] && known(steps, a) }) {
				done[s.ID] = true
				out = append(out, s)
				break
			}
		}
		if len(out) == before { // a circle, which no checked procedure has
			return steps
		}
	}
	return out
}

func known(steps []content.Step, id string) bool {
	return slices.ContainsFunc(steps, func(s content.Step) bool { return s.ID == id })
}

// The places of a sheet, by which its entries are kept.
const (
	PlaceTimes   = "times"   // the stated start and end
	PlaceRemarks = "remarks" // what else is to be said
)

// PlaceOfHold is the place of the hold point at a step.
func PlaceOfHold(step string) string { return "hold." + step }

// PlaceOfFastener is the place of fastener n, from 1, of a joint.
func PlaceOfFastener(joint string, n int) string { return "joint." + joint + "." + strconv.Itoa(n) }

// PlaceOfSetting is the place of a setting.
func PlaceOfSetting(id string) string { return "setting." + id }

// PlaceOfTest is the place of a test.
func PlaceOfTest(id string) string { return "test." + id }

// target is what a place of the sheet is for; one of them is set.
type target struct {
	hold    *content.Step
	joint   *content.Joint
	n       int
	setting *content.Setting
	test    *content.Test
	times   bool
	remarks bool
}

// find returns what a place is for; false where the sheet has no such place.
func (p *Plan) find(place string) (target, bool) {
	switch place {
	case PlaceTimes:
		return target{times: true}, true
	case PlaceRemarks:
		return target{remarks: true}, true
	}
	kind, rest, _ := strings.Cut(place, ".")
	for i := range p.Stations {
		if t, ok := p.Stations[i].find(kind, rest); ok {
			return t, true
		}
	}
	return target{}, false
}

// At returns the plan with nothing but the step at which a place is; with no step
// where the sheet has no such place, or it is of no step.
func (p *Plan) At(place string) Plan {
	out := *p
	out.Stations = nil
	kind, rest, _ := strings.Cut(place, ".")
	for i := range p.Stations {
		if _, ok := p.Stations[i].find(kind, rest); ok {
			out.Stations = p.Stations[i : i+1]
		}
	}
	return out
}

func (st *Station) find(kind, id string) (target, bool) {
	switch kind {
	case "hold":
		return target{hold: &st.Step}, st.Step.Hold != nil && st.Step.ID == id
	case "joint":
		id, n, _ := strings.Cut(id, ".")
		for i := range st.Joints {
			j := &st.Joints[i]
			k, err := strconv.Atoi(n)
			if j.ID == id && err == nil && strconv.Itoa(k) == n && 1 <= k && k <= j.Pattern.Count {
				return target{joint: j, n: k}, true
			}
		}
	case "setting":
		for i := range st.Settings {
			if st.Settings[i].ID == id {
				return target{setting: &st.Settings[i]}, true
			}
		}
	case "test":
		for i := range st.Tests {
			if st.Tests[i].ID == id {
				return target{test: &st.Tests[i]}, true
			}
		}
	}
	return target{}, false
}

// Places lists the places of the sheet in the order of the work; the times and the
// remarks come last.
func (p *Plan) Places() []string {
	var out []string
	for i := range p.Stations {
		st := &p.Stations[i]
		if st.Step.Hold != nil {
			out = append(out, PlaceOfHold(st.Step.ID))
		}
		for _, j := range st.Joints {
			for n := range j.Pattern.Count {
				out = append(out, PlaceOfFastener(j.ID, n+1))
			}
		}
		for _, s := range st.Settings {
			out = append(out, PlaceOfSetting(s.ID))
		}
		for _, t := range st.Tests {
			out = append(out, PlaceOfTest(t.ID))
		}
	}
	return append(out, PlaceTimes, PlaceRemarks)
}
