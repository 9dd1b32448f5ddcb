package web

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
	"soloright/content"
	"soloright/quiz"
)

// SheetListPage is the sheet list of an open sitting, and the review before the
// hand-in, which lists blanks first.
type SheetListPage struct {
	Page
	View    api.SittingView
	Lines   []SheetLine
	Blank   int
	Mastery *api.Mastery // of practice
}

// SheetLine is one line of the sheet list.
type SheetLine struct {
	N        int
	Topic    content.Topic
	Answered bool
}

// Minutes is the time left, in whole minutes, rounded down.
func (p SheetListPage) Minutes() int { return minutesLeft(p.View) }

func (f *Face) sheetListPage(c *gin.Context, title string) (SheetListPage, error) {
	pg, err := f.page(c, title, "bench")
	if err != nil {
		return SheetListPage{}, err
	}
	ctx, who := c.Request.Context(), edge.Caller(c)
	v, err := f.app.Sitting(ctx, who, c.Param("sitting"))
	if err != nil {
		return SheetListPage{}, err
	}
	if v.Sitting.State == api.StateOpen && v.Sitting.Person != pg.Person.ID {
		return SheetListPage{}, &api.Error{Kind: api.Conflict, State: string(v.Sitting.State), Message: "This sitting is somebody else’s and still open. Its result shows once it is handed in."}
	}
	p := SheetListPage{Page: pg, View: v}
	for i, topic := range v.Topics {
		l := SheetLine{N: i + 1, Topic: topic, Answered: answered(v.Answers[i+1])}
		if !l.Answered {
			p.Blank++
		}
		p.Lines = append(p.Lines, l)
	}
	if v.Sitting.Mode == api.Practice && v.Sitting.State == api.StateOpen {
		m, err := f.app.Mastery(ctx, who, v.Sitting.ID)
		if err != nil {
			return SheetListPage{}, err
		}
		p.Mastery = &m
	}
	return p, nil
}

// answered reports whether the kept answer is more than a blank.
func answered(k api.KeptAnswer) bool {
	return len(k.Answer) > 0 && string(k.Answer) != string(quiz.Answer{}.Canonical())
}

func (f *Face) sheetList(c *gin.Context) error {
	p, err := f.sheetListPage(c, "Sheet list")
	if err != nil {
		return err
	}
	if p.View.Sitting.State != api.StateOpen {
		return seeOther(c, "/sittings/%s/result", p.View.Sitting.ID)
	}
	return f.render(c, http.StatusOK, "sheet-list", p)
}

func (f *Face) review(c *gin.Context) error {
	p, err := f.sheetListPage(c, "Before you hand in")
	if err != nil {
		return err
	}
	if p.View.Sitting.State != api.StateOpen {
		return seeOther(c, "/sittings/%s/result", p.View.Sitting.ID)
	}
	return f.render(c, http.StatusOK, "review", p)
}

func (f *Face) handIn(c *gin.Context) error {
	s, err := f.app.HandIn(c.Request.Context(), edge.Caller(c), c.Param("sitting"))
	if err != nil {
		return err
	}
	if s.Confirms != "" {
		return seeOther(c, "/sittings/%s/result", s.Confirms)
	}
	return seeOther(c, "/sittings/%s/result", s.ID)
}

func (f *Face) explain(c *gin.Context) error {
	v, err := f.sheetView(c)
	if err != nil {
		return err
	}
	if _, err := f.app.Explain(c.Request.Context(), edge.Caller(c), v.Sitting.ID, v.Sheet.N); err != nil {
		return err
	}
	return seeOther(c, "/sittings/%s/sheets/%d", v.Sitting.ID, v.Sheet.N)
}

func (f *Face) confirm(c *gin.Context) error {
	s, err := f.app.OpenConfirming(c.Request.Context(), edge.Caller(c), c.Param("sitting"))
	if err != nil {
		return err
	}
	return seeOther(c, "/sittings/%s", s.ID)
}

func (f *Face) void(c *gin.Context) error {
	err := f.app.VoidSitting(c.Request.Context(), edge.Caller(c), api.VoidCommand{Sitting: c.Param("sitting"), Reason: c.PostForm("reason")})
	if err != nil {
		return err
	}
	return seeOther(c, "/sittings/%s/result", c.Param("sitting"))
}
