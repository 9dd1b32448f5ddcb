package web

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
	"soloright/content"
)

// BenchPage is where a person begins: the procedures, what is open, what was done.
type BenchPage struct {
	Page
	Open  []SittingLine
	Lines []ProcedureLine
	Done  []SittingLine
}

// SittingLine is a sitting with the names that its ids stand for.
type SittingLine struct {
	api.Sitting
	Title  string
	Person api.Person
}

// ProcedureLine is a procedure with what one has done on it.
type ProcedureLine struct {
	Procedure *content.Procedure
	Passed    bool // a qualifying sitting on this revision
	Tries     int
	Road      *api.Road // nil for whoever does not sit
	Next      Next
	Changed   bool // a revision changed something that one stands for, and that is not what comes next
}

func (f *Face) bench(c *gin.Context) error {
	pg, err := f.page(c, "Bench", "bench")
	if err != nil {
		return err
	}
	ctx, who := c.Request.Context(), edge.Caller(c)
	procs, err := f.app.Procedures(ctx, who)
	if err != nil {
		return err
	}
	own, err := f.app.Sittings(ctx, who, api.SittingFilter{Person: pg.Person.ID, Limit: 50})
	if err != nil {
		return err
	}
	p := BenchPage{Page: pg}
	titles := map[string]string{}
	for _, pr := range procs {
		titles[pr.ID] = pr.Title
		p.Lines = append(p.Lines, procedureLine(pr, own))
	}
	if err := f.roads(c, &p); err != nil {
		return err
	}
	for _, s := range own {
		line := SittingLine{Sitting: s, Title: titles[s.Procedure], Person: *pg.Person}
		if s.State == api.StateOpen {
			p.Open = append(p.Open, line)
		} else {
			p.Done = append(p.Done, line)
		}
	}
	return f.render(c, http.StatusOK, "bench", p)
}

func procedureLine(p *content.Procedure, own []api.Sitting) ProcedureLine {
	l := ProcedureLine{Procedure: p}
	for _, s := range own {
		if s.Procedure != p.ID || s.Revision != p.Revision || s.Mode != api.Qualifying || s.Confirms != "" || s.State == api.StateVoid {
			continue
		}
		l.Tries++
		l.Passed = l.Passed || s.Final == "passed"
	}
	return l
}

// ProcedurePage shows a procedure: what it is, the cautions, the steps, and
// where a sitting begins.
type ProcedurePage struct {
	Page
	Procedure *content.Procedure
	Facts     int
	Critical  int
	First     []Link // to the procedures that it requires
	Withdrawn *api.Decided
}

func (f *Face) procedure(c *gin.Context) error {
	pg, err := f.page(c, "", "bench")
	if err != nil {
		return err
	}
	p, err := f.app.Procedure(c.Request.Context(), edge.Caller(c), c.Param("procedure"), "")
	if conflictState(err) != "" {
		return seeOther(c, "/") // the open sitting stands first on the bench
	}
	if err != nil {
		return err
	}
	pg.Title = p.Title
	out := ProcedurePage{Page: pg, Procedure: p}
	if out.First, err = f.required(c, p); err != nil {
		return err
	}
	l, err := f.app.Revisions(c.Request.Context(), edge.Caller(c), p.ID)
	if err != nil {
		return err
	}
	out.Withdrawn = l.Withdrawn
	for _, fact := range content.Facts(p) {
		out.Facts++
		if fact.Critical {
			out.Critical++
		}
	}
	return f.render(c, http.StatusOK, "procedure", out)
}

// required leads to the procedures that one requires, by their titles; one that
// is not in the record has none, and its id stands for it.
func (f *Face) required(c *gin.Context, p *content.Procedure) ([]Link, error) {
	var out []Link
	for _, id := range p.Prerequisites {
		l := Link{"/procedures/" + id, id}
		switch q, err := f.app.Procedure(c.Request.Context(), edge.Caller(c), id, ""); {
		case err == nil:
			l.Text = q.Title
		case api.KindOf(err) != api.NotFound:
			return nil, err
		}
		out = append(out, l)
	}
	return out, nil
}

func (f *Face) openSitting(c *gin.Context) error {
	s, err := f.app.OpenSitting(c.Request.Context(), edge.Caller(c), api.OpenSitting{
		Procedure: c.PostForm("procedure"), Build: c.PostForm("build"), Mode: api.Mode(c.PostForm("mode"))})
	if err != nil {
		return err
	}
	return seeOther(c, "/sittings/%s", s.ID)
}
