package web

import (
	"html/template"
	"net/http"
	"net/url"
	"strconv"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
	"soloright/content"
	"soloright/scoring/itemstat"
	"soloright/web/drawing"
)

func (f *Face) lessonRoutes(r router) {
	r.get("/lessons", f.lessons)
	r.get("/lessons/groups", f.lessonGroups)
	r.get("/lessons/csv", f.lessonsCSV)
	r.get("/lessons/print", f.lessonsPrint)
	r.get("/lessons/fact", f.lessonFact)
	r.get("/lessons/own", f.lessonPerson)
	r.get("/lessons/people/:person", f.lessonPerson)
}

// LessonPart is what every page of lessons has: what was asked, and as of when.
type LessonPart struct {
	Page
	Ask     api.LessonAsk
	Query   url.Values // that asks it, without its part
	AsOf    string     // empty: nothing is worked out yet
	Working *api.Progress
}

// lessonPart fills it in. While something is worked out the page asks again by
// itself, also where scripts are off.
func (f *Face) lessonPart(c *gin.Context, pg Page, ask api.LessonAsk, q url.Values, asOf string, p *api.Progress) LessonPart {
	if p != nil {
		c.Header("Refresh", "3")
	}
	pg.Styles, pg.Still = []string{"lessons"}, true
	if asOf == "–" {
		asOf = ""
	}
	return LessonPart{Page: pg, Ask: ask, Query: q, AsOf: asOf, Working: p}
}

// With is the query with one value changed, for a link.
func (p LessonPart) With(pairs ...string) string { return with(p.Query, pairs...) }

func with(q url.Values, pairs ...string) string {
	out := url.Values{}
	for k, v := range q {
		out[k] = v
	}
	for i := 0; i+1 < len(pairs); i += 2 {
		out.Set(pairs[i], pairs[i+1])
	}
	if len(out) == 0 {
		return ""
	}
	return "?" + out.Encode()
}

// FactAt is the address of the page of one fact, with the figures that it has here.
func (p LessonPart) FactAt(procedure string, fact content.FactID) string {
	if p.Query.Get("procedure") == "" {
		return "/lessons/fact" + p.With("procedure", procedure, "among", "all", "fact", string(fact))
	}
	return "/lessons/fact" + p.With("procedure", procedure, "fact", string(fact))
}

// PersonAt is the address of the page of one person.
func (p LessonPart) PersonAt(person string) string {
	q := url.Values{}
	for _, name := range []string{"from", "to"} {
		if v := p.Query.Get(name); v != "" {
			q.Set(name, v)
		}
	}
	return "/lessons/people/" + person + with(q)
}

// Part is the address of a part of the drawing.
func (p LessonsPage) Part(row, column int) string {
	return "/lessons" + p.With("row", strconv.Itoa(max(1, row)), "column", strconv.Itoa(max(1, column)))
}

// Asked reports whether anything but the last year of everybody was asked.
func (p LessonPart) Asked() bool { return len(p.Query) > 0 }

// LessonsPage is the crew against the facts.
type LessonsPage struct {
	LessonPart
	View                                     api.LessonsView
	Drawing                                  template.HTML
	Procedures                               []Choice
	Crews                                    []Choice
	FactsBack, FactsOn, PeopleBack, PeopleOn int
}

func (f *Face) lessons(c *gin.Context) error {
	pg, err := f.page(c, "Lessons", "lessons")
	if err != nil {
		return err
	}
	if !pg.May(string(api.ReadResults)) {
		return f.lessonPerson(c)
	}
	ask, q, err := lessonAsk(c)
	if err != nil {
		return err
	}
	if ask.Fact, err = place(c, "row"); err != nil {
		return err
	}
	if ask.Person, err = place(c, "column"); err != nil {
		return err
	}
	v, err := f.app.Lessons(c.Request.Context(), edge.Caller(c), ask)
	if err != nil {
		return err
	}
	p := LessonsPage{LessonPart: f.lessonPart(c, pg, v.Ask, q, pg.When(v.AsOf), v.Working), View: v}
	p.FactsBack, p.FactsOn = beside(ask.Fact, api.LessonFacts, v.Total)
	p.PeopleBack, p.PeopleOn = beside(ask.Person, api.LessonPeople, v.Crowd)
	for _, proc := range v.Procedures {
		p.Procedures = append(p.Procedures, Choice{proc.ID, proc.Text, proc.ID == ask.Procedure})
	}
	for _, crew := range v.AllCrews {
		p.Crews = append(p.Crews, Choice{crew, crew, crew == ask.Crew})
	}
	if len(v.Lines) > 0 && len(v.People) > 0 {
		p.Drawing = crewDrawing(v)
	}
	return f.render(c, http.StatusOK, "lessons", p)
}

// place is a part's beginning in the query, counted from 1.
func place(c *gin.Context, name string) (int, error) {
	n, err := strconv.Atoi(c.DefaultQuery(name, "1"))
	if err != nil || n < 1 || n > 1_000_000 {
		return 0, &api.Error{Kind: api.NotFound, Message: "There is no such part of this drawing."}
	}
	return n, nil
}

// beside says where the parts before and after this one begin; 0: there is none.
func beside(first, size, n int) (back, on int) {
	if first > 1 {
		back = max(1, first-size)
	}
	if first+size <= n {
		on = first + size
	}
	return back, on
}

// lessonAsk reads what is asked, and the query that asks it.
func lessonAsk(c *gin.Context) (api.LessonAsk, url.Values, error) {
	ask := api.LessonAsk{Procedure: c.Query("procedure"), Crew: c.Query("crew")}
	q := url.Values{}
	for _, name := range []string{"procedure", "crew", "from", "to"} {
		if v := c.Query(name); v != "" {
			q.Set(name, v)
		}
	}
	for name, into := range map[string]*content.Date{"from": &ask.From, "to": &ask.To} {
		if text := c.Query(name); text != "" {
			d, err := content.ParseDate(text)
			if err != nil {
				return ask, q, &api.Error{Kind: api.Invalid, Message: "“" + text + "” is not a day. Write it as 2026-03-02.", Fields: []api.FieldError{{Field: name, Message: "is not a day"}}}
			}
			*into = d
		}
	}
	return ask, q, nil
}

func spanOf(f itemstat.Figure) drawing.Span {
	return drawing.Span{Value: f.Value, Lo: f.Lo, Hi: f.Hi, Known: f.Known()}
}

func crewDrawing(v api.LessonsView) template.HTML {
	names := make([]string, len(v.People))
	for i, p := range v.People {
		names[i] = p.Name
	}
	rows := make([]drawing.CrewRow, len(v.Lines))
	for i, l := range v.Lines {
		rows[i] = drawing.CrewRow{Number: l.Rank, Crew: spanOf(l.Held.Share), Wanted: l.Wanted, Critical: l.Critical}
		for _, c := range v.Cells[i] {
			rows[i].Cells = append(rows[i].Cells, drawing.CrewCell{Span: spanOf(c.Held.Share), Theirs: c.Theirs, Asked: c.Answers > 0, Short: c.Held.Below > 0.5})
		}
	}
	return drawing.Crew(rows, names)
}

// GroupsPage is what is held by topic, item model, crew and person.
type GroupsPage struct {
	LessonPart
	View api.LessonsView
}

func (f *Face) lessonGroups(c *gin.Context) error {
	pg, err := f.page(c, "Lessons by topic, question, crew and person", "lessons")
	if err != nil {
		return err
	}
	ask, q, err := lessonAsk(c)
	if err != nil {
		return err
	}
	v, err := f.app.Lessons(c.Request.Context(), edge.Caller(c), ask)
	if err != nil {
		return err
	}
	return f.render(c, http.StatusOK, "lesson-groups", GroupsPage{f.lessonPart(c, pg, v.Ask, q, pg.When(v.AsOf), v.Working), v})
}

// Worst are the people of the list who hold least.
func (p GroupsPage) Worst() []api.LessonGroup { return p.View.Everyone[:min(40, len(p.View.Everyone))] }
