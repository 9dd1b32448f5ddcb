package web

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
	"soloright/api/paper"
	"soloright/content"
)

func (f *Face) registerRoutes(r router) {
	r.get("/register", f.register)
	r.get("/register/csv", f.registerCSV)
	r.get("/register/cover", f.cover)
	r.get("/register/signers", f.signers)
	r.get("/register/people/:person/:procedure", f.trail)
	r.post("/register/people/:person/:procedure/suspension", f.suspend)
	r.post("/register/people/:person/:procedure/reinstatement", f.reinstate)
	r.post("/register/people/:person/:procedure/withdrawal", f.withdraw)
}

// Choice is one of a select, and whether it is the one.
type Choice struct {
	Value, Text string
	Is          bool
}

// RegisterPage is the register of a day, part by part.
type RegisterPage struct {
	Page
	Ask        api.RegisterAsk
	Part       api.RegisterPart
	Query      url.Values // of this register, without its part
	Procedures []Choice
	States     []Choice
	Only       string // name of the one person asked for
	Today      content.Date
	Now        time.Time
	Last       int // line of this part
	Sheet      int
	Sheets     int
	Before     int // where the part before begins; 0: this is the first
	After      int
}

func (f *Face) register(c *gin.Context) error {
	pg, err := f.page(c, "Register", "register")
	if err != nil {
		return err
	}
	ask, q, err := registerAsk(c)
	if err != nil {
		return err
	}
	if ask.From, err = beginning(c); err != nil {
		return err
	}
	ask.Limit = shown
	ctx, who := c.Request.Context(), edge.Caller(c)
	part, err := f.app.RegisterPart(ctx, who, ask)
	if err != nil {
		return err
	}
	pg.Styles = []string{"register"}
	p := RegisterPage{Page: pg, Ask: ask, Part: part, Query: q, Today: f.app.Today(), Now: f.clock(), Last: ask.From - 1 + len(part.Lines)}
	p.Before, p.After = around(ask.From, part.Total)
	p.Sheet, p.Sheets = (ask.From-1)/shown+1, max(1, (part.Total+shown-1)/shown)
	if ask.Person != "" && len(part.Lines) > 0 {
		p.Only = part.Lines[0].Name
	}
	if p.Procedures, err = f.procedureChoices(c, ask.Procedure); err != nil {
		return err
	}
	for _, state := range api.RegisterChoices {
		p.States = append(p.States, Choice{state, upperFirst(state), state == ask.State})
	}
	return f.render(c, http.StatusOK, "register", p)
}

// procedureChoices are the procedures to choose from.
func (f *Face) procedureChoices(c *gin.Context, is string) ([]Choice, error) {
	procs, err := f.app.Procedures(c.Request.Context(), edge.Caller(c))
	if err != nil {
		return nil, err
	}
	var out []Choice
	for _, p := range procs {
		out = append(out, Choice{p.ID, p.Title, p.ID == is})
	}
	return out, nil
}

// registerAsk reads what is asked of the register, and the query that asks it.
func registerAsk(c *gin.Context) (api.RegisterAsk, url.Values, error) {
	ask := api.RegisterAsk{KnownNow: c.Query("known") == "now", Procedure: c.Query("procedure"), Person: c.Query("person"), Name: strings.TrimSpace(c.Query("name")), State: c.Query("state")}
	q := url.Values{}
	for _, name := range []string{"on", "known", "procedure", "person", "name", "state"} {
		if v := c.Query(name); v != "" {
			q.Set(name, v)
		}
	}
	if text := c.Query("on"); text != "" {
		on, err := content.ParseDate(text)
		if err != nil {
			return ask, q, &api.Error{Kind: api.Invalid, Message: "“" + text + "” is not a day. Write it as 2026-03-02.", Err: err}
		}
		ask.On = on
	}
	return ask, q, nil
}

// At is the address of the part of this register that begins with a line.
func (p RegisterPage) At(from int) string {
	q := url.Values{}
	for k, v := range p.Query {
		q[k] = v
	}
	q.Set("from", strconv.Itoa(from))
	return "/register?" + q.Encode()
}

// Table is the address of the whole of this register as a table.
func (p RegisterPage) Table() string {
	if len(p.Query) == 0 {
		return "/register/csv"
	}
	return "/register/csv?" + p.Query.Encode()
}

// Filtered reports whether the page shows less than everything.
func (p RegisterPage) Filtered() bool {
	return p.Ask.Procedure+p.Ask.Person+p.Ask.Name+p.Ask.State != ""
}

// Coming reports whether the day lies ahead.
func (p RegisterPage) Coming() bool { return p.Today.Before(p.Part.On) }

// Past reports whether the day is over.
func (p RegisterPage) Past() bool { return p.Part.On.Before(p.Today) }

// Clock prints the time of day of an instant in the site's zone.
func (p Page) Clock(t time.Time) string { return t.In(p.Face.app.Zone()).Format("15:04") }

// registerCSV gives the whole of a register as a table.
func (f *Face) registerCSV(c *gin.Context) error {
	ask, _, err := registerAsk(c)
	if err != nil {
		return err
	}
	part, err := f.app.RegisterPart(c.Request.Context(), edge.Caller(c), ask)
	if err != nil {
		return err
	}
	c.Header("Content-Type", paper.CSVType)
	c.Header("Content-Disposition", fmt.Sprintf(`attachment; filename="register-%s.csv"`, part.On))
	c.Status(http.StatusOK)
	return writeRegister(paper.NewCSV(c.Writer), part)
}

// writeRegister writes the lines of a register; yes and no are words, days and
// instants are written by ISO 8601.
func writeRegister(w *paper.CSV, part api.RegisterPart) error {
	rows := [][]string{{"on", "name", "crew", "procedure", "title", "may work alone", "state", "revision", "until", "grace until", "reason", "changed at", "person"}}
	for _, l := range part.Lines {
		changed := ""
		if !l.ChangedAt.IsZero() {
			changed = l.ChangedAt.Format(time.RFC3339)
		}
		alone := "no"
		if l.Cleared {
			alone = "yes"
		}
		rows = append(rows, []string{part.On.String(), l.Name, l.Crew, l.Procedure, l.Title, alone, string(l.State), l.Revision, l.Until.String(), l.Due.String(), l.Reason, changed, l.Person})
	}
	for _, row := range rows {
		if err := w.Row(row...); err != nil {
			return err
		}
	}
	return w.End()
}

// CoverPage says where the workshop hangs on one person, and what runs out.
type CoverPage struct {
	Page
	Lines   []api.CoverLine
	Days    int
	Lapsing []api.RegisterLine
	More    int // that lapse and are not shown
	Now     time.Time
}

func (f *Face) cover(c *gin.Context) error {
	pg, err := f.page(c, "Cover and what runs out", "register")
	if err != nil {
		return err
	}
	days, err := strconv.Atoi(c.DefaultQuery("days", strconv.Itoa(api.CoverDays)))
	if err != nil {
		return &api.Error{Kind: api.Invalid, Message: "The days must be a whole number.", Err: err}
	}
	ctx, who := c.Request.Context(), edge.Caller(c)
	pg.Styles = []string{"register"}
	p := CoverPage{Page: pg, Days: days, Now: f.clock()}
	if p.Lines, err = f.app.Cover(ctx, who, content.Date{}); err != nil {
		return err
	}
	if p.Lapsing, err = f.app.Lapsing(ctx, who, days); err != nil {
		return err
	}
	if len(p.Lapsing) > shown {
		p.More, p.Lapsing = len(p.Lapsing)-shown, p.Lapsing[:shown]
	}
	return f.render(c, http.StatusOK, "cover", p)
}

// SignersPage says who could sign for whom on a procedure.
type SignersPage struct {
	Page
	Procedures []Choice
	View       *api.SignersView // nil: no procedure is chosen
	Before     int
	After      int
	Now        time.Time
}

func (f *Face) signers(c *gin.Context) error {
	pg, err := f.page(c, "Who could sign", "register")
	if err != nil {
		return err
	}
	from, err := beginning(c)
	if err != nil {
		return err
	}
	pg.Styles = []string{"register"}
	p := SignersPage{Page: pg, Now: f.clock()}
	procedure := c.Query("procedure")
	if p.Procedures, err = f.procedureChoices(c, procedure); err != nil {
		return err
	}
	if procedure == "" && len(p.Procedures) > 0 {
		p.Procedures[0].Is = true
		procedure = p.Procedures[0].Value
	}
	const few = 20 // each of them stands beside every assessor
	if procedure != "" {
		v, err := f.app.Signers(c.Request.Context(), edge.Caller(c), procedure, from, few)
		if err != nil {
			return err
		}
		p.View = &v
		if from > 1 {
			p.Before = max(1, from-few)
		}
		if v.Total >= from+few {
			p.After = from + few
		}
	}
	return f.render(c, http.StatusOK, "signers", p)
}

// Can are the names of those who could sign, and how many could not.
func (p SignersPage) Can(t api.SignedFor) (names []string) {
	for _, s := range t.Signers {
		if s.May {
			names = append(names, s.Name)
		}
	}
	slices.Sort(names)
	return names
}
