package web

import (
	"fmt"
	"net/http"
	"strconv"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
	"soloright/api/paper"
)

// wholeLessons is the whole grid that is asked for, or a Conflict where it is not
// worked out yet.
func (f *Face) wholeLessons(c *gin.Context) (api.LessonsView, error) {
	ask, _, err := lessonAsk(c)
	if err != nil {
		return api.LessonsView{}, err
	}
	ask.Whole = true
	v, err := f.app.Lessons(c.Request.Context(), edge.Caller(c), ask)
	if err == nil && v.AsOf.IsZero() {
		err = &api.Error{Kind: api.Conflict, State: "working", Message: "This is still being worked out. Try again in a moment."}
	}
	return v, err
}

// lessonsCSV gives the whole grid as a table: a row for each fact, costliest
// first, a column for each person with what he or she likely holds, in percent.
func (f *Face) lessonsCSV(c *gin.Context) error {
	v, err := f.wholeLessons(c)
	if err != nil {
		return err
	}
	c.Header("Content-Type", paper.CSVType)
	c.Header("Content-Disposition", fmt.Sprintf(`attachment; filename="lessons-%s.csv"`, v.Ask.To))
	c.Status(http.StatusOK)
	return writeLessons(paper.NewCSV(c.Writer), v)
}

// writeLessons writes a grid; shares are percents with one decimal, and a cell is
// empty where the fact is no part of the person's work.
func writeLessons(w *paper.CSV, v api.LessonsView) error {
	head := []string{"place", "procedure", "fact", "text", "step", "topic", "critical", "advice", "cost", "people below", "people", "answers", "missed", "held", "held from", "held to", "chance below"}
	for _, p := range v.People {
		head = append(head, p.Name)
	}
	if err := w.Row(head...); err != nil {
		return err
	}
	for i, l := range v.Lines {
		critical := "no"
		if l.Critical {
			critical = "yes"
		}
		s := l.Held.Share
		row := []string{strconv.Itoa(l.Rank), l.Procedure, string(l.Fact), l.Text, l.Step, string(l.Topic), critical, string(l.Advice), decimal(l.Cost, 2), decimal(l.Short, 1),
			strconv.Itoa(l.People), strconv.Itoa(l.Answers), strconv.Itoa(l.Missed), decimal(100*s.Value, 1), decimal(100*s.Lo, 1), decimal(100*s.Hi, 1), decimal(100*l.Held.Below, 1)}
		for _, cell := range v.Cells[i] {
			text := ""
			if cell.Theirs {
				text = decimal(100*cell.Held.Share.Value, 1)
			}
			row = append(row, text)
		}
		if err := w.Row(row...); err != nil {
			return err
		}
	}
	return w.End()
}

func decimal(v float64, digits int) string { return strconv.FormatFloat(v, 'f', digits, 64) }

// lessonsPrint gives the whole grid as a PDF, on as many sheets as it takes.
func (f *Face) lessonsPrint(c *gin.Context) error {
	size, err := paper.ParseSize(c.Query("size"))
	if err != nil {
		return &api.Error{Kind: api.Invalid, Message: "Print it on a4 or letter.", Fields: []api.FieldError{{Field: "size", Message: err.Error()}}}
	}
	v, err := f.wholeLessons(c)
	if err != nil {
		return err
	}
	c.Header("Content-Type", "application/pdf")
	c.Header("Content-Disposition", fmt.Sprintf(`attachment; filename="lessons-%s.pdf"`, v.Ask.To))
	c.Status(http.StatusOK)
	return paper.Lessons(c.Writer, size, v, f.app.Zone())
}
