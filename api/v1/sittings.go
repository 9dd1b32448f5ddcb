package v1

import (
	"cmp"
	"net/http"
	"slices"
	"strconv"
	"time"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
	"soloright/content"
	"soloright/quiz"
	"soloright/scoring"
)

// Sitting is a sitting without its form.
type Sitting struct {
	ID        string     `json:"id"`
	Person    string     `json:"person"`
	Procedure string     `json:"procedure"`
	Revision  string     `json:"revision"`
	Build     string     `json:"build,omitempty"`
	Mode      api.Mode   `json:"mode"`
	Confirms  string     `json:"confirms,omitempty"`
	Opened    time.Time  `json:"opened"`
	Deadline  time.Time  `json:"deadline"`
	Items     int        `json:"items"`
	State     api.State  `json:"state"`
	HandedIn  *time.Time `json:"handed_in,omitempty"`
	Verdict   string     `json:"verdict,omitempty"`
	Percent   *int       `json:"percent,omitempty"`
}

func sittingOf(s api.Sitting) Sitting {
	out := Sitting{ID: s.ID, Person: s.Person, Procedure: s.Procedure, Revision: s.Revision, Build: s.Build, Mode: s.Mode, Confirms: s.Confirms,
		Opened: s.Opened, Deadline: s.Deadline, Items: s.Items, State: s.State, Verdict: cmp.Or(s.Final, s.Verdict)}
	if !s.HandedIn.IsZero() {
		out.HandedIn = &s.HandedIn
	}
	if s.Verdict != "" {
		out.Percent = &s.Percent
	}
	return out
}

// Sittings is a list of sittings, newest first.
type Sittings struct {
	Sittings []Sitting `json:"sittings"`
}

var states = []api.State{api.StateOpen, api.StateHandedIn, api.StateMarked, api.StateVoid}

// sittings lists the caller's own sittings, or with person=ID or person=all others'.
func (f *face) sittings(c *gin.Context) error {
	ctx, who := c.Request.Context(), edge.Caller(c)
	filter := api.SittingFilter{Person: c.Query("person"), Procedure: c.Query("procedure"), State: api.State(c.Query("state")), Limit: 500}
	if filter.State != "" && !slices.Contains(states, filter.State) {
		return &api.Error{Kind: api.Invalid, Message: "There is no such state.",
			Fields: []api.FieldError{{Field: "state", Message: "must be open, handed in, marked or void"}}}
	}
	switch filter.Person {
	case "":
		me, _, err := f.app.Me(ctx, who)
		if err != nil {
			return err
		}
		filter.Person = me.ID
	case "all":
		filter.Person = ""
	}
	all, err := f.app.Sittings(ctx, who, filter)
	if err != nil {
		return err
	}
	out := Sittings{Sittings: []Sitting{}}
	for _, s := range all {
		out.Sittings = append(out.Sittings, sittingOf(s))
	}
	return send(c, http.StatusOK, out)
}

func (f *face) openSitting(c *gin.Context) error {
	var cmd api.OpenSitting
	if err := decode(c, &cmd); err != nil {
		return err
	}
	s, err := f.app.OpenSitting(c.Request.Context(), edge.Caller(c), cmd)
	if err != nil {
		return err
	}
	c.Header("Location", Prefix+"/sittings/"+s.ID)
	return send(c, http.StatusCreated, sittingOf(s))
}

// SheetLine is one line of the sheet list.
type SheetLine struct {
	N        int           `json:"n"`
	Topic    content.Topic `json:"topic"`
	Revision int64         `json:"revision"` // of the kept answer; 0 where none
}

// SittingView is a sitting with its sheet list.
type SittingView struct {
	Sitting Sitting     `json:"sitting"`
	Now     time.Time   `json:"now"`
	Sheets  []SheetLine `json:"sheets"`
}

func viewOf(v api.SittingView) SittingView {
	out := SittingView{Sitting: sittingOf(v.Sitting), Now: v.Now, Sheets: []SheetLine{}}
	for i, t := range v.Topics {
		out.Sheets = append(out.Sheets, SheetLine{N: i + 1, Topic: t, Revision: v.Answers[i+1].Revision})
	}
	return out
}

func (f *face) sitting(c *gin.Context) error {
	v, err := f.app.Sitting(c.Request.Context(), edge.Caller(c), c.Param("sitting"))
	if err != nil {
		return err
	}
	return send(c, http.StatusOK, viewOf(v))
}

// Sheet is one sheet with the answer kept so far.
type Sheet struct {
	Sheet    quiz.Sheet  `json:"sheet"`
	Answer   quiz.Answer `json:"answer"`
	Revision int64       `json:"revision"`
	Fixed    bool        `json:"fixed"`
	Deadline time.Time   `json:"deadline"`
	Now      time.Time   `json:"now"`
}

func (f *face) sheet(c *gin.Context) error {
	n, err := sheetNumber(c)
	if err != nil {
		return err
	}
	v, err := f.app.Sheet(c.Request.Context(), edge.Caller(c), c.Param("sitting"), n)
	if err != nil {
		return err
	}
	return send(c, http.StatusOK, Sheet{Sheet: v.Sheet, Answer: v.Answer, Revision: v.Kept.Revision, Fixed: v.Kept.Fixed, Deadline: v.Sitting.Deadline, Now: v.Now})
}

func sheetNumber(c *gin.Context) (int, error) {
	n, err := strconv.Atoi(c.Param("sheet"))
	if err != nil || n < 1 {
		return 0, &api.Error{Kind: api.NotFound, Message: "There is no such sheet."}
	}
	return n, nil
}

// Kept is the acknowledgement of a saved answer: what is kept now is durable.
type Kept struct {
	Sheet    int       `json:"sheet"`
	Revision int64     `json:"revision"`
	Applied  bool      `json:"applied"`
	KeptAt   time.Time `json:"kept_at"`
}

func (f *face) saveAnswer(c *gin.Context) error {
	n, err := sheetNumber(c)
	if err != nil {
		return err
	}
	var cmd api.SaveAnswer
	if err := decode(c, &cmd); err != nil {
		return err
	}
	cmd.Sitting, cmd.Sheet = c.Param("sitting"), n
	k, err := f.app.SaveAnswer(c.Request.Context(), edge.Caller(c), cmd)
	if err != nil {
		return err
	}
	return send(c, http.StatusOK, Kept{Sheet: k.Sheet, Revision: k.Revision, Applied: k.Applied, KeptAt: k.At})
}

// Explained is a practice sheet marked at once.
type Explained struct {
	Item   quiz.Item      `json:"item"`
	Answer quiz.Answer    `json:"answer"`
	Marked scoring.Marked `json:"marked"`
}

func (f *face) explain(c *gin.Context) error {
	n, err := sheetNumber(c)
	if err != nil {
		return err
	}
	x, err := f.app.Explain(c.Request.Context(), edge.Caller(c), c.Param("sitting"), n)
	if err != nil {
		return err
	}
	return send(c, http.StatusOK, Explained(x))
}

func (f *face) handIn(c *gin.Context) error {
	s, err := f.app.HandIn(c.Request.Context(), edge.Caller(c), c.Param("sitting"))
	if err != nil {
		return err
	}
	return send(c, http.StatusOK, sittingOf(s))
}

func (f *face) confirm(c *gin.Context) error {
	s, err := f.app.OpenConfirming(c.Request.Context(), edge.Caller(c), c.Param("sitting"))
	if err != nil {
		return err
	}
	c.Header("Location", Prefix+"/sittings/"+s.ID)
	return send(c, http.StatusCreated, sittingOf(s))
}

func (f *face) void(c *gin.Context) error {
	var cmd api.VoidCommand
	if err := decode(c, &cmd); err != nil {
		return err
	}
	cmd.Sitting = c.Param("sitting")
	if err := f.app.VoidSitting(c.Request.Context(), edge.Caller(c), cmd); err != nil {
		return err
	}
	c.Status(http.StatusNoContent)
	return nil
}
