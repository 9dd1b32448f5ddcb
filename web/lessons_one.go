package web

import (
	"fmt"
	"html/template"
	"math"
	"net/http"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
	"soloright/content"
	"soloright/scoring/itemstat"
	"soloright/web/drawing"
)

// FactLessonPage is one fact.
type FactLessonPage struct {
	LessonPart
	View api.FactLesson
}

// mostShown is how many people or choices a page of one fact names.
const mostShown = 60

// Shown are the people whom the page names, and Rest how many more there are.
func (p FactLessonPage) Shown() []api.FactPerson {
	return p.View.People[:min(mostShown, len(p.View.People))]
}

// Rest is how many people the page does not name.
func (p FactLessonPage) Rest() int { return len(p.View.People) - len(p.Shown()) }

// Chosen are the commonest choices.
func (p FactLessonPage) Chosen() []api.Instead { return p.View.Instead[:min(12, len(p.View.Instead))] }

func (f *Face) lessonFact(c *gin.Context) error {
	pg, err := f.page(c, "Lesson on one fact", "lessons")
	if err != nil {
		return err
	}
	ask, q, err := lessonAsk(c)
	if err != nil {
		return err
	}
	if c.Query("fact") == "" || ask.Procedure == "" {
		return &api.Error{Kind: api.NotFound, Message: "There is no such fact."}
	}
	ask.Among = c.Query("among") == "all"
	v, err := f.app.LessonFact(c.Request.Context(), edge.Caller(c), ask, content.FactID(c.Query("fact")))
	if err != nil {
		return err
	}
	if ask.Among {
		q.Del("procedure")
	}
	return f.render(c, http.StatusOK, "lesson-fact", FactLessonPage{f.lessonPart(c, pg, v.Ask, q, pg.When(v.AsOf), v.Working), v})
}

// PersonLessonPage is one person: what to practise next, and growth.
type PersonLessonPage struct {
	LessonPart
	View    api.PersonLesson
	Drawing template.HTML
}

func (f *Face) lessonPerson(c *gin.Context) error {
	pg, err := f.page(c, "What to practise next", "lessons")
	if err != nil {
		return err
	}
	ask, q, err := lessonAsk(c)
	if err != nil {
		return err
	}
	q.Del("crew")
	v, err := f.app.LessonPerson(c.Request.Context(), edge.Caller(c), ask, c.Param("person"))
	if err != nil {
		return err
	}
	p := PersonLessonPage{LessonPart: f.lessonPart(c, pg, v.Ask, q, pg.When(v.AsOf), v.Working), View: v}
	if len(v.Growth) > 0 {
		points := make([]drawing.GrowthPoint, len(v.Growth))
		for i, g := range v.Growth {
			points[i] = drawing.GrowthPoint{Label: Month(g.Month), Held: spanOf(g.Held.Share), First: spanOf(g.First)}
		}
		p.Drawing = drawing.Growth(points, v.Wanted)
	}
	return f.render(c, http.StatusOK, "lesson-person", p)
}

// Month prints a month.
func Month(d content.Date) string { return d.String()[:7] }

// lessonFuncs are what templates of lessons call.
func lessonFuncs() template.FuncMap {
	return template.FuncMap{
		"share":   shareWords,
		"percent": func(v float64) string { return fmt.Sprintf("%.0f %%", math.Floor(100*v+0.5)) },
		"limits": func(f itemstat.Figure, wanted float64, what string) template.HTML {
			return drawing.Limits(spanOf(f), wanted, what)
		},
		"model": api.ModelWords,
		"month": Month,
		"whole": func(v float64) string { return fmt.Sprintf("%.0f", v) },
		"tenth": func(v float64) string { return fmt.Sprintf("%.1f", v) },
	}
}

// shareWords is a share with its interval, or why there is none.
func shareWords(f itemstat.Figure) string {
	switch {
	case !f.Known():
		return "–"
	case f.Conf == 0:
		return fmt.Sprintf("%.0f %%", 100*f.Value)
	}
	return fmt.Sprintf("%.0f %% (%.0f to %.0f %%)", 100*f.Value, 100*f.Lo, 100*f.Hi)
}
