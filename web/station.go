package web

import (
	"net/http"
	"slices"
	"strconv"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
	"soloright/scoring/rebuild"
)

// StationPage is one step of an open sheet, to be written at the bench.
type StationPage struct {
	Page
	View     api.RebuildView
	Station  rebuild.Station
	Hold     *HoldControl
	Joints   []JointControl
	Settings []SettingControl
	Tests    []TestControl
	Wrenches []string // on the register
	Place    int      // among the steps, from 1
	Of       int
	Prev     string // where to go from here
	Next     string
	Message  string
}

func (f *Face) station(c *gin.Context) error {
	pg, v, err := f.rebuildView(c)
	if err != nil {
		return err
	}
	if !v.Open {
		return seeOther(c, "/rebuilds/%s", v.Rebuild.ID)
	}
	return f.stationPage(c, http.StatusOK, pg, v, nil, "")
}

// stationPage renders a step; posted stands over what is kept where it was not taken.
func (f *Face) stationPage(c *gin.Context, status int, pg Page, v api.RebuildView, posted map[string]rebuild.Entry, message string) error {
	i := slices.IndexFunc(v.Plan.Stations, func(s rebuild.Station) bool { return s.Step.ID == c.Param("step") })
	if i < 0 {
		return &api.Error{Kind: api.NotFound, Message: "This sheet has no such step."}
	}
	if !v.Writes {
		return seeOther(c, "/rebuilds/%s/read-over", v.Rebuild.ID)
	}
	all, err := f.app.Wrenches(c.Request.Context(), edge.Caller(c))
	if err != nil {
		return err
	}
	st := v.Plan.Stations[i]
	pg.Title, pg.Scripts = "Step "+strconv.Itoa(st.N), []string{"rebuild"}
	p := StationPage{Page: pg, View: v, Station: st, Place: i + 1, Of: len(v.Plan.Stations), Message: message, Next: "times"}
	for _, w := range all {
		p.Wrenches = append(p.Wrenches, w.ID)
	}
	if i > 0 {
		p.Prev = "steps/" + v.Plan.Stations[i-1].Step.ID
	}
	if i+1 < len(v.Plan.Stations) {
		p.Next = "steps/" + v.Plan.Stations[i+1].Step.ID
	}
	p.controls(posted)
	return f.render(c, status, "station", p)
}

func (p *StationPage) controls(posted map[string]rebuild.Entry) {
	lines := map[string]rebuild.Line{}
	for _, l := range p.View.Record.Steps[p.Place-1].Lines {
		lines[l.Place] = l
	}
	at := func(place string) PlaceControl {
		k := p.View.Entries[place]
		if e, given := posted[place]; given {
			k.Entry = e
		}
		c := PlaceControl{Place: place, Revision: p.View.Revisions[place], Entry: k.Entry, Line: lines[place]}
		if !k.At.IsZero() {
			c.Kept = k.At.In(p.Face.app.Zone()).Format("15:04:05")
		}
		return c
	}
	if h := p.Station.Step.Hold; h != nil {
		p.Hold = newHold(*h, at(rebuild.PlaceOfHold(p.Station.Step.ID)))
	}
	for _, j := range p.Station.Joints {
		p.Joints = append(p.Joints, newJoint(j, at))
	}
	for _, s := range p.Station.Settings {
		p.Settings = append(p.Settings, newSetting(s, at(rebuild.PlaceOfSetting(s.ID))))
	}
	for _, t := range p.Station.Tests {
		p.Tests = append(p.Tests, newTest(t, at(rebuild.PlaceOfTest(t.ID))))
	}
}
