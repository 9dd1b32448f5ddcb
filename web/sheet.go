package web

import (
	"errors"
	"net/http"
	"strconv"
	"time"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
	"soloright/quiz"
)

// SheetPage is one sheet of a form: a drawing sheet with its title block.
type SheetPage struct {
	Page
	View    api.SheetView
	Control Control
	Message string // why an answer was not kept
}

// Minutes is the time left, in whole minutes, rounded down.
func (p SheetPage) Minutes() int { return minutesLeft(p.View.SittingView) }

func minutesLeft(v api.SittingView) int {
	return max(0, int(v.Sitting.Deadline.Sub(v.Now)/time.Minute))
}

// Next is the number of the next sheet, or 0 on the last one.
func (p SheetPage) Next() int {
	if p.View.Sheet.N == p.View.Sheet.Of {
		return 0
	}
	return p.View.Sheet.N + 1
}

// Practice reports whether answers are explained at once.
func (p SheetPage) Practice() bool { return p.View.Sitting.Mode == api.Practice }

func (f *Face) sheet(c *gin.Context) error {
	pg, err := f.page(c, "", "bench")
	if err != nil {
		return err
	}
	v, err := f.sheetView(c)
	if state := conflictState(err); state != "" {
		return seeOther(c, "/sittings/%s/result", c.Param("sitting"))
	}
	if err != nil {
		return err
	}
	return f.renderSheet(c, http.StatusOK, pg, v, v.Answer, "")
}

func (f *Face) sheetView(c *gin.Context) (api.SheetView, error) {
	n, err := strconv.Atoi(c.Param("sheet"))
	if err != nil {
		return api.SheetView{}, &api.Error{Kind: api.NotFound, Message: "There is no such sheet."}
	}
	return f.app.Sheet(c.Request.Context(), edge.Caller(c), c.Param("sitting"), n)
}

func (f *Face) renderSheet(c *gin.Context, status int, pg Page, v api.SheetView, shown quiz.Answer, message string) error {
	pg.Title = "Sheet " + strconv.Itoa(v.Sheet.N) + " of " + strconv.Itoa(v.Sheet.Of)
	p := SheetPage{Page: pg, View: v, Control: newControl(v.Sheet, shown, v.Kept.Fixed), Message: message}
	return f.render(c, status, "sheet", p)
}

// saveSheet keeps what the form's controls say, for browsers without scripts and
// for the buttons of all, and goes where the pressed button says.
func (f *Face) saveSheet(c *gin.Context) error {
	pg, err := f.page(c, "", "bench")
	if err != nil {
		return err
	}
	v, err := f.sheetView(c)
	if conflictState(err) != "" {
		return f.closed(c, err)
	}
	if err != nil {
		return err
	}
	if !v.Kept.Fixed {
		given, err := f.keepPosted(c, v)
		if errors.Is(err, errOlder) {
			return f.showNewer(c, pg)
		}
		var e *api.Error
		if errors.As(err, &e) && e.Kind == api.Invalid {
			return f.renderSheet(c, http.StatusUnprocessableEntity, pg, v, given, e.Message)
		}
		if conflictState(err) != "" {
			return f.closed(c, err)
		}
		if err != nil {
			return err
		}
	}
	return f.goOn(c, v)
}

// closed says that an answer came too late, and leads to the result.
func (f *Face) closed(c *gin.Context, err error) error {
	e := edge.Known(err)
	f.failTo(c, edge.Status(e.Kind), e, Link{"/sittings/" + c.Param("sitting") + "/result", "To the result"})
	return nil
}

// keepPosted keeps the posted answer if it differs from what is kept.
func (f *Face) keepPosted(c *gin.Context, v api.SheetView) (quiz.Answer, error) {
	given, err := answerOf(v.Sheet.Interaction, c.Request.PostForm)
	if err != nil {
		return given, err
	}
	if string(given.Canonical()) == string(v.Kept.Answer) || given.Blank() && v.Kept.Revision == 0 {
		return given, nil
	}
	// Without scripts the page is the client, and what it saw last is its counter.
	rev, err := strconv.ParseInt(c.PostForm("revision"), 10, 64)
	if err != nil || rev < 0 {
		return given, &api.Error{Kind: api.Malformed, Message: "The form has no revision. Load the sheet again."}
	}
	k, err := f.app.SaveAnswer(c.Request.Context(), edge.Caller(c), api.SaveAnswer{
		Sitting: v.Sitting.ID, Sheet: v.Sheet.N, Revision: rev + 1, Answer: given})
	if err == nil && !k.Applied {
		err = errOlder
	}
	return given, err
}

// errOlder is what a page meets that was loaded before a newer answer was kept,
// from another tab or device.
var errOlder = errors.New("a newer answer is kept")

// showNewer shows the answer that stands instead of the one that was posted.
func (f *Face) showNewer(c *gin.Context, pg Page) error {
	v, err := f.sheetView(c)
	if err != nil {
		return err
	}
	return f.renderSheet(c, http.StatusConflict, pg, v, v.Answer, "What you sent came from a page that was older than the answer shown here, which stands.")
}

func (f *Face) goOn(c *gin.Context, v api.SheetView) error {
	id, n := v.Sitting.ID, v.Sheet.N
	switch c.PostForm("go") {
	case "next":
		if n < v.Sheet.Of {
			return seeOther(c, "/sittings/%s/sheets/%d", id, n+1)
		}
		return seeOther(c, "/sittings/%s/review", id)
	case "back":
		return seeOther(c, "/sittings/%s/sheets/%d", id, max(1, n-1))
	case "list":
		return seeOther(c, "/sittings/%s", id)
	case "explain":
		if _, err := f.app.Explain(c.Request.Context(), edge.Caller(c), id, n); err != nil {
			return err
		}
	}
	return seeOther(c, "/sittings/%s/sheets/%d", id, n)
}

// conflictState is the state that stood in the way, or "".
func conflictState(err error) string {
	var e *api.Error
	if errors.As(err, &e) && e.Kind == api.Conflict {
		return e.State
	}
	return ""
}
