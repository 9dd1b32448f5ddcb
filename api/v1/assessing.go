package v1

import (
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
	"soloright/content"
	"soloright/scoring/clearance"
)

// PolicyInForce is a policy with every one that was set before.
type PolicyInForce struct {
	Procedure string           `json:"procedure,omitempty"` // none: the site's
	Policy    clearance.Policy `json:"policy"`
	Own       bool             `json:"own"`     // set for this procedure; for the site: set at all
	History   []PolicySet      `json:"history"` // the last first; the site's among them
}

// PolicySet is a policy that was set.
type PolicySet struct {
	Entry     int64            `json:"entry"` // place in the record
	At        time.Time        `json:"at"`
	By        string           `json:"by"`
	Procedure string           `json:"procedure,omitempty"`
	Policy    clearance.Policy `json:"policy"`
	Panel     string           `json:"panel,omitempty"` // that found the cut
}

func (f *face) policy(c *gin.Context) error { return f.sendPolicy(c, c.Query("procedure")) }

func (f *face) setPolicy(c *gin.Context) error {
	var cmd api.SetPolicy
	if err := decode(c, &cmd); err != nil {
		return err
	}
	if _, err := f.app.SetPolicy(c.Request.Context(), edge.Caller(c), cmd); err != nil {
		return err
	}
	return f.sendPolicy(c, cmd.Procedure)
}

func (f *face) sendPolicy(c *gin.Context, procedure string) error {
	history, err := f.app.Policies(c.Request.Context(), edge.Caller(c), procedure)
	if err != nil {
		return err
	}
	v, err := f.app.Policy(c.Request.Context(), edge.Caller(c), procedure)
	if err != nil {
		return err
	}
	out := PolicyInForce{Procedure: procedure, Policy: v.Policy, Own: v.Own, History: []PolicySet{}}
	for _, l := range history {
		out.History = append(out.History, PolicySet{Entry: l.Place, At: l.At, By: l.By, Procedure: l.Procedure, Policy: l.Policy, Panel: l.Panel})
	}
	return send(c, http.StatusOK, out)
}

// actsQuery reads what list is asked for.
func actsQuery(c *gin.Context) (q api.ActsQuery, err error) {
	q = api.ActsQuery{Procedure: c.Query("procedure"), Person: c.Query("person")}
	before, err := wholeNumber(c, "before", 0, 0, 1<<50)
	if err != nil {
		return q, err
	}
	q.Before = int64(before)
	q.Limit, err = wholeNumber(c, "limit", 100, 1, 1000)
	return q, err
}

// Named is an id with what it stands for.
type Named struct {
	ID   string `json:"id"`
	Name string `json:"name"`
}

// Trainings is a part of the list of training given.
type Trainings struct {
	Trainings []Training `json:"trainings"`
}

// Training is training given, as recorded.
type Training struct {
	Entry      int64        `json:"entry"` // place in the record
	At         time.Time    `json:"at"`
	By         string       `json:"by"` // who recorded it
	Trainer    Named        `json:"trainer"`
	Technician Named        `json:"technician"`
	Procedure  Named        `json:"procedure"`
	Date       content.Date `json:"date"`
	Verified   string       `json:"verified,omitempty"`
}

func (f *face) trainings(c *gin.Context) error {
	q, err := actsQuery(c)
	if err != nil {
		return err
	}
	all, err := f.app.Trainings(c.Request.Context(), edge.Caller(c), q)
	if err != nil {
		return err
	}
	out := Trainings{Trainings: []Training{}}
	for _, t := range all {
		out.Trainings = append(out.Trainings, Training{Entry: t.Place, At: t.At, By: t.By, Trainer: Named(t.Trainer), Technician: Named(t.Technician),
			Procedure: Named(t.Procedure), Date: t.Date, Verified: t.Verified})
	}
	return send(c, http.StatusOK, out)
}

func (f *face) giveTraining(c *gin.Context) error {
	var cmd api.GiveTraining
	if err := decode(c, &cmd); err != nil {
		return err
	}
	return done(c, f.app.GiveTraining(c.Request.Context(), edge.Caller(c), cmd))
}

// Appointments is a part of the list of appointments.
type Appointments struct {
	Appointments []Appointment `json:"appointments"`
}

// Appointment is an appointment as it stands.
type Appointment struct {
	Entry     int64         `json:"entry"`
	At        time.Time     `json:"at"`
	By        string        `json:"by"`
	ID        string        `json:"id"`
	Assessor  Named         `json:"assessor"`
	Procedure Named         `json:"procedure"`
	Revision  string        `json:"revision,omitempty"` // none: any
	From      content.Date  `json:"from"`
	Until     *content.Date `json:"until,omitempty"` // that day included; none: until ended
	Reason    string        `json:"reason"`
	Ended     *Decided      `json:"ended,omitempty"`
	Holds     bool          `json:"holds"` // today
}

func (f *face) appointments(c *gin.Context) error {
	q, err := actsQuery(c)
	if err != nil {
		return err
	}
	all, err := f.app.Appointments(c.Request.Context(), edge.Caller(c), q)
	if err != nil {
		return err
	}
	out := Appointments{Appointments: []Appointment{}}
	for _, a := range all {
		out.Appointments = append(out.Appointments, Appointment{Entry: a.Place, At: a.At, By: a.By, ID: a.ID, Assessor: Named(a.Assessor), Procedure: Named(a.Procedure),
			Revision: a.Revision, From: a.From, Until: dateOf(a.Until), Reason: a.Reason, Ended: (*Decided)(a.Ended), Holds: a.Holds})
	}
	return send(c, http.StatusOK, out)
}

// Appointed says under which id an appointment stands.
type Appointed struct {
	ID string `json:"id"`
}

func (f *face) appoint(c *gin.Context) error {
	var cmd api.AppointAssessor
	if err := decode(c, &cmd); err != nil {
		return err
	}
	id, err := f.app.AppointAssessor(c.Request.Context(), edge.Caller(c), cmd)
	if err != nil {
		return err
	}
	return send(c, http.StatusCreated, Appointed{ID: id})
}

func (f *face) endAppointment(c *gin.Context) error {
	var cmd api.EndAppointment
	if err := decode(c, &cmd); err != nil {
		return err
	}
	cmd.Appointment = c.Param("appointment")
	return done(c, f.app.EndAppointment(c.Request.Context(), edge.Caller(c), cmd))
}

// Exceptions is a part of the list of exceptions.
type Exceptions struct {
	Exceptions []Exception `json:"exceptions"`
}

// Exception is an exception, as recorded.
type Exception struct {
	Entry      int64     `json:"entry"`
	At         time.Time `json:"at"`
	Officer    Named     `json:"officer"`
	Assessor   Named     `json:"assessor"`
	Technician Named     `json:"technician"`
	Procedure  Named     `json:"procedure"`
	Reason     string    `json:"reason"`
}

func (f *face) exceptions(c *gin.Context) error {
	q, err := actsQuery(c)
	if err != nil {
		return err
	}
	all, err := f.app.Exceptions(c.Request.Context(), edge.Caller(c), q)
	if err != nil {
		return err
	}
	out := Exceptions{Exceptions: []Exception{}}
	for _, x := range all {
		out.Exceptions = append(out.Exceptions, Exception{Entry: x.Place, At: x.At, Officer: Named(x.Officer), Assessor: Named(x.Assessor), Technician: Named(x.Technician),
			Procedure: Named(x.Procedure), Reason: x.Reason})
	}
	return send(c, http.StatusOK, out)
}

func (f *face) except(c *gin.Context) error {
	var cmd api.RecordException
	if err := decode(c, &cmd); err != nil {
		return err
	}
	return done(c, f.app.RecordException(c.Request.Context(), edge.Caller(c), cmd))
}
