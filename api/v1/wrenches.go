package v1

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
	"soloright/content"
)

// Calibration is one calibration of a wrench; Good is as found.
type Calibration struct {
	N           int          `json:"n"`
	Done        content.Date `json:"done"`
	Due         content.Date `json:"due"` // the last day on which it holds
	Good        bool         `json:"good"`
	Certificate string       `json:"certificate"`
}

func calibrationOf(k api.Calibration) Calibration {
	return Calibration{k.N, k.Done, k.Due, k.Good, k.Certificate}
}

// Wrench is a torque wrench, by the id engraved on it.
type Wrench struct {
	ID      string         `json:"id"`
	Kind    api.WrenchKind `json:"kind"`
	Lowest  string         `json:"lowest,omitempty"`
	Highest string         `json:"highest,omitempty"`
	Last    *Calibration   `json:"last_calibration,omitempty"`
	Holds   bool           `json:"holds"`           // today
	Fault   string         `json:"fault,omitempty"` // why it does not
}

func wrenchOf(l api.WrenchLine) Wrench {
	out := Wrench{ID: l.ID, Kind: l.Kind, Lowest: l.Lowest, Highest: l.Highest, Holds: l.Fault == "", Fault: l.Fault}
	if l.Last.N > 0 {
		out.Last = new(calibrationOf(l.Last))
	}
	return out
}

// Wrenches is the register of torque wrenches, by id.
type Wrenches struct {
	Wrenches []Wrench `json:"wrenches"`
}

func (f *face) wrenches(c *gin.Context) error {
	all, err := f.app.Wrenches(c.Request.Context(), edge.Caller(c))
	if err != nil {
		return err
	}
	out := Wrenches{Wrenches: []Wrench{}}
	for _, l := range all {
		out.Wrenches = append(out.Wrenches, wrenchOf(l))
	}
	return send(c, http.StatusOK, out)
}

func (f *face) addWrench(c *gin.Context) error {
	var cmd api.AddWrench
	if err := decode(c, &cmd); err != nil {
		return err
	}
	if _, err := f.app.AddWrench(c.Request.Context(), edge.Caller(c), cmd); err != nil {
		return err
	}
	v, err := f.app.Wrench(c.Request.Context(), edge.Caller(c), cmd.ID)
	if err != nil {
		return err
	}
	c.Header("Location", Prefix+"/wrenches/"+v.ID)
	return send(c, http.StatusCreated, wrenchOf(v.WrenchLine))
}

// Doubt is a time in which a wrench may have been wrong, with the rebuilds in which
// it was used then.
type Doubt struct {
	From        *content.Date `json:"from,omitempty"` // its last good calibration; none: never
	Found       content.Date  `json:"found"`          // when it was found out of tolerance
	Certificate string        `json:"certificate"`
	Rebuilds    []Rebuild     `json:"rebuilds"`
}

// WrenchView is a wrench with its calibrations, the last recorded one last, and the
// rebuilds that hang on them. Who may not read the register sees his or her own.
type WrenchView struct {
	Wrench       Wrench        `json:"wrench"`
	Calibrations []Calibration `json:"calibrations"`
	Since        []Rebuild     `json:"since_last_good"`
	Doubts       []Doubt       `json:"doubts"`
}

func (f *face) wrench(c *gin.Context) error {
	v, err := f.app.Wrench(c.Request.Context(), edge.Caller(c), c.Param("wrench"))
	if err != nil {
		return err
	}
	list := func(all []api.FinishedRebuild) []Rebuild {
		out := []Rebuild{}
		for _, r := range all {
			out = append(out, rebuildOf(r))
		}
		return out
	}
	out := WrenchView{Wrench: wrenchOf(v.WrenchLine), Calibrations: []Calibration{}, Since: list(v.Since), Doubts: []Doubt{}}
	for _, k := range v.Calibrations {
		out.Calibrations = append(out.Calibrations, calibrationOf(k))
	}
	for _, d := range v.Doubts {
		one := Doubt{Found: d.Found, Certificate: d.Certificate, Rebuilds: list(d.Rebuilds)}
		if !d.From.IsZero() {
			one.From = &d.From
		}
		out.Doubts = append(out.Doubts, one)
	}
	return send(c, http.StatusOK, out)
}

func (f *face) calibrate(c *gin.Context) error {
	var cmd api.Calibrate
	if err := decode(c, &cmd); err != nil {
		return err
	}
	cmd.Wrench = c.Param("wrench")
	k, err := f.app.Calibrate(c.Request.Context(), edge.Caller(c), cmd)
	if err != nil {
		return err
	}
	return send(c, http.StatusCreated, calibrationOf(k))
}
