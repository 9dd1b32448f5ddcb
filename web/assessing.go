package web

import (
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
	"soloright/content"
)

// AssessingPage is what the three lists about assessing have in common: who and
// what to choose from, and what was sent where it was refused.
type AssessingPage struct {
	Page
	People     []api.Person // who have not left
	Procedures []Choice
	Record     bool // the reader may record
	Today      content.Date
	Message    string
	Form       url.Values
	Older      string // address of the part before; "": this is the last one
}

// Sent is a value as it was sent.
func (p AssessingPage) Sent(name string) string { return p.Form.Get(name) }

// TrainingsPage lists training given.
type TrainingsPage struct {
	AssessingPage
	Lines   []api.Training
	Anybody bool // the reader records training that others gave
}

// AppointmentsPage lists appointments of assessors.
type AppointmentsPage struct {
	AssessingPage
	Lines []api.Appointment
}

// ExceptionsPage lists exceptions from the training window.
type ExceptionsPage struct {
	AssessingPage
	Lines []api.ExceptionLine
}

// assessing begins one of the pages.
func (f *Face) assessing(c *gin.Context, title string, record api.Act, message string) (AssessingPage, api.ActsQuery, error) {
	pg, err := f.page(c, title, "people")
	if err != nil {
		return AssessingPage{}, api.ActsQuery{}, err
	}
	pg.Styles = []string{"revise"}
	p := AssessingPage{Page: pg, Record: pg.Person.Role.May(record), Today: f.app.Today(), Message: message, Form: c.Request.PostForm}
	if p.Form == nil {
		p.Form = url.Values{}
	}
	all, err := f.app.People(c.Request.Context(), edge.Caller(c))
	if err != nil {
		return p, api.ActsQuery{}, err
	}
	p.People = slices.DeleteFunc(all, func(x api.Person) bool { return !x.Left.IsZero() })
	p.Procedures, err = f.procedureChoices(c, p.Form.Get("procedure"))
	q := api.ActsQuery{Limit: shown}
	if text := c.Query("before"); text != "" {
		if q.Before, err = strconv.ParseInt(text, 10, 64); err != nil || q.Before < 1 {
			return p, q, &api.Error{Kind: api.NotFound, Message: "There is no such part of the list."}
		}
	}
	return p, q, err
}

// older is where the next part of a list begins, after a full one.
func older(path string, n int, last int64) string {
	if n < shown {
		return ""
	}
	return path + "?before=" + strconv.FormatInt(last, 10)
}

func (f *Face) trainings(c *gin.Context) error { return f.trainingsPage(c, http.StatusOK, "") }

func (f *Face) trainingsPage(c *gin.Context, status int, message string) error {
	p, q, err := f.assessing(c, "Training given", api.RecordTraining, message)
	if err != nil {
		return err
	}
	out := TrainingsPage{AssessingPage: p, Anybody: p.Person.Role == api.SafetyOfficer}
	if out.Lines, err = f.app.Trainings(c.Request.Context(), edge.Caller(c), q); err != nil {
		return err
	}
	if n := len(out.Lines); n > 0 {
		out.Older = older("/trainings", n, out.Lines[n-1].Place)
	}
	return f.render(c, status, "trainings", out)
}

func (f *Face) giveTraining(c *gin.Context) error {
	day, err := postedDay(c, "date")
	if err == nil {
		err = f.app.GiveTraining(c.Request.Context(), edge.Caller(c), api.GiveTraining{Trainer: c.PostForm("trainer"), Technician: c.PostForm("technician"),
			Procedure: c.PostForm("procedure"), Date: day, Verified: strings.TrimSpace(c.PostForm("verified"))})
	}
	return f.recorded(c, err, "/trainings", f.trainingsPage)
}

// postedDay reads a day from a form; an empty one is none.
func postedDay(c *gin.Context, field string) (content.Date, error) {
	text := strings.TrimSpace(c.PostForm(field))
	if text == "" {
		return content.Date{}, nil
	}
	d, err := content.ParseDate(text)
	if err != nil {
		return d, &api.Error{Kind: api.Invalid, Message: "“" + text + "” is not a day. Write it as 2026-03-02. Nothing was recorded.", Err: err}
	}
	return d, nil
}

// recorded leads on after something was recorded; a refusal shows above the form,
// with what was sent.
func (f *Face) recorded(c *gin.Context, err error, to string, page func(*gin.Context, int, string) error) error {
	if k := api.KindOf(err); k == api.Invalid || k == api.Conflict || k == api.TooMany {
		return page(c, edge.Status(k), edge.Known(err).Message)
	}
	if err != nil {
		return err
	}
	return seeOther(c, "%s", to)
}

func (f *Face) appointments(c *gin.Context) error { return f.appointmentsPage(c, http.StatusOK, "") }

func (f *Face) appointmentsPage(c *gin.Context, status int, message string) error {
	p, q, err := f.assessing(c, "Appointments of assessors", api.ManageAssessors, message)
	if err != nil {
		return err
	}
	out := AppointmentsPage{AssessingPage: p}
	if out.Lines, err = f.app.Appointments(c.Request.Context(), edge.Caller(c), q); err != nil {
		return err
	}
	if n := len(out.Lines); n > 0 {
		out.Older = older("/appointments", n, out.Lines[n-1].Place)
	}
	return f.render(c, status, "appointments", out)
}

func (f *Face) appoint(c *gin.Context) error {
	from, err := postedDay(c, "from")
	var until content.Date
	if err == nil {
		until, err = postedDay(c, "until")
	}
	if err == nil {
		_, err = f.app.AppointAssessor(c.Request.Context(), edge.Caller(c), api.AppointAssessor{Assessor: c.PostForm("assessor"), Procedure: c.PostForm("procedure"),
			Revision: strings.TrimSpace(c.PostForm("revision")), From: from, Until: until, Reason: c.PostForm("reason")})
	}
	if api.KindOf(err) == api.NotFound { // a revision that is written by hand
		err = &api.Error{Kind: api.Invalid, Message: "There is no such revision of this procedure. Nothing was recorded."}
	}
	return f.recorded(c, err, "/appointments", f.appointmentsPage)
}

func (f *Face) endAppointment(c *gin.Context) error {
	err := f.app.EndAppointment(c.Request.Context(), edge.Caller(c), api.EndAppointment{Appointment: c.Param("appointment"), Reason: c.PostForm("end_reason")})
	return f.recorded(c, err, "/appointments", f.appointmentsPage)
}

func (f *Face) exceptions(c *gin.Context) error { return f.exceptionsPage(c, http.StatusOK, "") }

func (f *Face) exceptionsPage(c *gin.Context, status int, message string) error {
	p, q, err := f.assessing(c, "Exceptions", api.ManageAssessors, message)
	if err != nil {
		return err
	}
	out := ExceptionsPage{AssessingPage: p}
	if out.Lines, err = f.app.Exceptions(c.Request.Context(), edge.Caller(c), q); err != nil {
		return err
	}
	if n := len(out.Lines); n > 0 {
		out.Older = older("/exceptions", n, out.Lines[n-1].Place)
	}
	return f.render(c, status, "exceptions", out)
}

func (f *Face) except(c *gin.Context) error {
	err := f.app.RecordException(c.Request.Context(), edge.Caller(c), api.RecordException{Assessor: c.PostForm("assessor"), Technician: c.PostForm("technician"),
		Procedure: c.PostForm("procedure"), Reason: c.PostForm("reason"), Password: c.PostForm("password")})
	return f.recorded(c, err, "/exceptions", f.exceptionsPage)
}
