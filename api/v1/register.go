package v1

import (
	"net/http"
	"strconv"
	"time"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
	"soloright/content"
)

// Standing is where a person is with a procedure, with the names that the ids
// stand for.
type Standing struct {
	Person    string        `json:"person"`
	Name      string        `json:"name"`
	Crew      string        `json:"crew,omitempty"`
	Procedure string        `json:"procedure"`
	Title     string        `json:"title"`
	State     string        `json:"state"`
	Cleared   bool          `json:"cleared"` // may do it alone
	Revision  string        `json:"revision,omitempty"`
	Until     *content.Date `json:"until,omitempty"` // its last day
	Due       *content.Date `json:"due,omitempty"`   // last day of the grace after a revision
	Lapsing   bool          `json:"lapsing,omitempty"`
	Reason    string        `json:"reason"`
	Next      []Task        `json:"next"`
	Changed   []string      `json:"changed_facts,omitempty"`
	Removed   []string      `json:"removed_facts,omitempty"`
	Observe   []string      `json:"observe_again,omitempty"` // hold points, by their steps
	ChangedAt *time.Time    `json:"changed_at,omitempty"`    // where it changed on that day
}

// Task is something missing on the way to a clearance.
type Task struct {
	Kind string `json:"kind"`
	Text string `json:"text"`
}

func standingOf(l api.RegisterLine) Standing {
	out := Standing{Person: l.Person, Name: l.Name, Crew: l.Crew, Procedure: l.Procedure, Title: l.Title, State: string(l.State), Cleared: l.Cleared,
		Revision: l.Revision, Until: dateOf(l.Until), Due: dateOf(l.Due), Lapsing: l.Lapsing, Reason: l.Reason, Next: []Task{}}
	for i, text := range l.Next {
		out.Next = append(out.Next, Task{string(l.Tasks[i]), text})
	}
	for _, f := range l.Changed {
		out.Changed = append(out.Changed, string(f))
	}
	for _, f := range l.Removed {
		out.Removed = append(out.Removed, string(f))
	}
	for _, o := range l.Observe {
		out.Observe = append(out.Observe, o.Hold)
	}
	if !l.ChangedAt.IsZero() {
		out.ChangedAt = &l.ChangedAt
	}
	return out
}

func dateOf(d content.Date) *content.Date {
	if d.IsZero() {
		return nil
	}
	return &d
}

// RegisterPart is a part of the register.
type RegisterPart struct {
	On        content.Date `json:"on"`
	Total     int          `json:"total"`
	From      int          `json:"from"`
	Standings []Standing   `json:"standings"`
}

// Standings is a list of standings.
type Standings struct {
	Standings []Standing `json:"standings"`
}

func standingsOf(all []api.RegisterLine) []Standing {
	out := make([]Standing, len(all))
	for i, l := range all {
		out[i] = standingOf(l)
	}
	return out
}

// mostLines is the most lines of the register that one answer gives.
const mostLines = 1000

func (f *face) register(c *gin.Context) error {
	on, now, err := day(c)
	if err != nil {
		return err
	}
	q := api.RegisterAsk{On: on, KnownNow: now, Procedure: c.Query("procedure"), Person: c.Query("person"), State: c.Query("state")}
	if q.From, err = wholeNumber(c, "from", 1, 1, 1<<30); err != nil {
		return err
	}
	if q.Limit, err = wholeNumber(c, "limit", mostLines, 1, mostLines); err != nil {
		return err
	}
	part, err := f.app.RegisterPart(c.Request.Context(), edge.Caller(c), q)
	if err != nil {
		return err
	}
	return send(c, http.StatusOK, RegisterPart{On: part.On, Total: part.Total, From: part.From, Standings: standingsOf(part.Lines)})
}

// day reads the day that is asked about, and whether what is known now counts.
func day(c *gin.Context) (on content.Date, now bool, err error) {
	if text := c.Query("on"); text != "" {
		if on, err = content.ParseDate(text); err != nil {
			return on, false, badQuery("on", "is not a day; write it as 2026-03-02")
		}
	}
	known := c.Query("known")
	if known != "" && known != "now" {
		return on, false, badQuery("known", "must be now, or left out")
	}
	return on, known == "now", nil
}

// wholeNumber reads a number from the query.
func wholeNumber(c *gin.Context, name string, otherwise, least, most int) (int, error) {
	text := c.Query(name)
	if text == "" {
		return otherwise, nil
	}
	n, err := strconv.Atoi(text)
	if err != nil || n < least || n > most {
		return 0, badQuery(name, "must be a whole number from "+strconv.Itoa(least)+" to "+strconv.Itoa(most))
	}
	return n, nil
}

func badQuery(field, message string) error {
	return &api.Error{Kind: api.Invalid, Message: "The query is not right: " + field + " " + message + ".", Fields: []api.FieldError{{Field: field, Message: message}}}
}

// Cover is how well a procedure in force is covered.
type Cover struct {
	Procedure string    `json:"procedure"`
	Title     string    `json:"title"`
	Revision  string    `json:"revision"`
	Alone     int       `json:"may_work_alone"`
	Only      *Standing `json:"only,omitempty"` // where it is one only
	Lapsing   int       `json:"lapsing"`        // of those, within 30 days
	Held      int       `json:"held"`
	Stopped   int       `json:"stopped"` // suspended or withdrawn
	Road      int       `json:"on_the_road"`
}

// Covers is the cover of every procedure in force.
type Covers struct {
	Procedures []Cover `json:"procedures"`
}

func (f *face) cover(c *gin.Context) error {
	on, _, err := day(c)
	if err != nil {
		return err
	}
	all, err := f.app.Cover(c.Request.Context(), edge.Caller(c), on)
	if err != nil {
		return err
	}
	out := Covers{Procedures: []Cover{}}
	for _, l := range all {
		line := Cover{Procedure: l.Procedure, Title: l.Title, Revision: l.Revision, Alone: l.Alone, Lapsing: l.Lapsing, Held: l.Held, Stopped: l.Stopped, Road: l.Road}
		if l.Only != nil {
			s := standingOf(*l.Only)
			line.Only = &s
		}
		out.Procedures = append(out.Procedures, line)
	}
	return send(c, http.StatusOK, out)
}

func (f *face) lapsing(c *gin.Context) error {
	days, err := wholeNumber(c, "days", api.CoverDays, 0, 3650)
	if err != nil {
		return err
	}
	all, err := f.app.Lapsing(c.Request.Context(), edge.Caller(c), days)
	if err != nil {
		return err
	}
	return send(c, http.StatusOK, Standings{standingsOf(all)})
}

// Signer is somebody who could assess, or why he or she could not.
type Signer struct {
	Person string `json:"person"`
	Name   string `json:"name"`
	May    bool   `json:"may"`
	Why    string `json:"why"`
}

// SignedFor is a technician on the road, with who could sign.
type SignedFor struct {
	Standing Standing `json:"standing"`
	Signers  []Signer `json:"signers"`
}

// Signers says who could sign for whom on a procedure.
type Signers struct {
	Procedure   string      `json:"procedure"`
	Title       string      `json:"title"`
	Revision    string      `json:"revision"`
	Assessors   []Signer    `json:"assessors"`
	Technicians []SignedFor `json:"technicians"`
	Total       int         `json:"total"`
}

func signersOf(all []api.Signer) []Signer {
	out := make([]Signer, len(all))
	for i, s := range all {
		out[i] = Signer(s)
	}
	return out
}

func (f *face) signers(c *gin.Context) error {
	const most = 100
	from, err := wholeNumber(c, "from", 1, 1, 1<<30)
	if err != nil {
		return err
	}
	limit, err := wholeNumber(c, "limit", most, 1, most)
	if err != nil {
		return err
	}
	v, err := f.app.Signers(c.Request.Context(), edge.Caller(c), c.Param("procedure"), from, limit)
	if err != nil {
		return err
	}
	out := Signers{Procedure: v.Procedure, Title: v.Title, Revision: v.Revision, Assessors: signersOf(v.Assessors), Technicians: []SignedFor{}, Total: v.Total}
	for _, t := range v.Technicians {
		out.Technicians = append(out.Technicians, SignedFor{standingOf(t.RegisterLine), signersOf(t.Signers)})
	}
	return send(c, http.StatusOK, out)
}

// Road is where you are with a procedure.
type Road struct {
	Standing Standing `json:"standing"`
	InForce  string   `json:"in_force"` // the revision
	MaySit   bool     `json:"may_sit"`
	WhyNot   string   `json:"why_not,omitempty"` // sit now
	Signers  []Signer `json:"signers"`           // who could assess, where that is next
}

// Roads is where you are with each procedure.
type Roads struct {
	Roads []Road `json:"roads"`
}

func (f *face) roads(c *gin.Context) error {
	all, err := f.app.Roads(c.Request.Context(), edge.Caller(c))
	if err != nil {
		return err
	}
	out := Roads{Roads: []Road{}}
	for _, r := range all {
		out.Roads = append(out.Roads, Road{standingOf(r.RegisterLine), r.InForce, r.Sit.May, r.Sit.Reason, signersOf(r.Signers)})
	}
	return send(c, http.StatusOK, out)
}
