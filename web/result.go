package web

import (
	"net/http"
	"slices"
	"strconv"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
	"soloright/content"
	"soloright/quiz"
	"soloright/scoring"
)

// ResultPage is a marked sitting.
type ResultPage struct {
	Page
	Result  api.Result
	Own     bool
	Reviews []ReviewLine
	Risk    *api.Risk    // for who may read results
	Mastery *api.Mastery // of one's own practice
}

// Missed reports whether the fact is a critical one that was missed.
func (p ResultPage) Missed(id content.FactID) bool {
	return slices.ContainsFunc(p.Result.Outcome.Critical, func(m scoring.Miss) bool { return m.Fact == id })
}

// StepText is what a step of the procedure says, to be learned again there.
func (p ResultPage) StepText(id string) string {
	for _, s := range p.Result.Procedure.Steps {
		if s.ID == id {
			return s.Text
		}
	}
	return "step " + id
}

// ReviewLine is one sheet of a practice sitting in the list of its result.
type ReviewLine struct {
	N      int
	Sheet  api.ReviewSheet
	Marked string
}

// markWords says what a sheet was worth.
func markWords(m scoring.Marked) string {
	switch mark := m.Mark.String(); {
	case mark == "1":
		return "right"
	case m.Blank:
		return "blank"
	case mark == "0":
		return "wrong"
	default:
		return mark + " of the mark"
	}
}

func (f *Face) result(c *gin.Context) error {
	pg, err := f.page(c, "Result", "bench")
	if err != nil {
		return err
	}
	res, err := f.app.Result(c.Request.Context(), edge.Caller(c), c.Param("sitting"))
	if conflictState(err) == string(api.StateOpen) {
		return seeOther(c, "/sittings/%s", c.Param("sitting"))
	}
	if err != nil {
		return err
	}
	p := ResultPage{Page: pg, Result: res, Own: res.Person.ID == pg.Person.ID}
	for i, r := range res.Review {
		p.Reviews = append(p.Reviews, ReviewLine{N: i + 1, Sheet: r, Marked: markWords(r.Marked)})
	}
	if err := f.sureOf(c, &p); err != nil {
		return err
	}
	return f.render(c, http.StatusOK, "result", p)
}

// sureOf adds how sure a result is, for whom it is.
func (f *Face) sureOf(c *gin.Context, p *ResultPage) error {
	s := p.Result.Sitting
	ctx, who := c.Request.Context(), edge.Caller(c)
	switch {
	case s.State != api.StateMarked || s.Confirms != "":
	case s.Mode == api.Practice && p.Own:
		m, err := f.app.Mastery(ctx, who, s.ID)
		if err != nil {
			return err
		}
		p.Mastery = &m
	case s.Mode == api.Qualifying && p.May(string(api.ReadResults)):
		r, err := f.app.Risk(ctx, who, s.ID)
		if err != nil && api.KindOf(err) != api.Conflict {
			return err
		}
		if err == nil {
			p.Risk = &r
			p.Styles = append(p.Styles, "sure")
		}
	}
	return nil
}

// ReviewPage is one sheet of a marked practice sitting: the answer on its figure,
// the key, and why.
type ReviewPage struct {
	Page
	Result  api.Result
	N       int
	Of      int
	Sheet   api.ReviewSheet
	Marked  string
	Control Control
	Given   string // the answer in words
	Key     string // the right answer in words
}

// Next is the number of the next sheet, or 0 on the last one.
func (p ReviewPage) Next() int {
	if p.N == p.Of {
		return 0
	}
	return p.N + 1
}

// Back is the number of the sheet before, or 0 on the first one.
func (p ReviewPage) Back() int { return p.N - 1 }

func (f *Face) reviewed(c *gin.Context) error {
	pg, err := f.page(c, "", "bench")
	if err != nil {
		return err
	}
	res, err := f.app.Result(c.Request.Context(), edge.Caller(c), c.Param("sitting"))
	if err != nil {
		return err
	}
	n, err := strconv.Atoi(c.Param("sheet"))
	if err != nil || n < 1 || n > len(res.Review) {
		return &api.Error{Kind: api.NotFound, Message: "There is no such sheet to look at again."}
	}
	r := res.Review[n-1]
	form := quiz.Form{Items: []quiz.Item{r.Item}}
	pg.Title = "Sheet " + strconv.Itoa(n) + " of " + strconv.Itoa(len(res.Review)) + ", marked"
	p := ReviewPage{Page: pg, Result: res, N: n, Of: len(res.Review), Sheet: r, Marked: upperFirst(markWords(r.Marked)), Control: newControl(form.Sheet(1), r.Answer, true),
		Given: quiz.AnswerWords(r.Item, r.Answer), Key: quiz.KeyWords(r.Item)}
	return f.render(c, http.StatusOK, "reviewed", p)
}
