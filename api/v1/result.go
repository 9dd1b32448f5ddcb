package v1

import (
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
	"soloright/content"
	"soloright/quiz"
	"soloright/scoring"
)

// Result is a marked sitting: in a qualifying one the facts to learn again, in
// practice also the sheets with their keys.
type Result struct {
	Sitting   Sitting         `json:"sitting"`
	Verdict   scoring.Verdict `json:"verdict"` // with the confirming step taken into account
	Percent   int             `json:"percent"` // rounded down; the exact total decides
	Total     quiz.Fraction   `json:"total"`
	Of        int             `json:"of"`
	Cut       content.Cut     `json:"cut"`
	Rules     int             `json:"rules"`
	TimeUp    bool            `json:"time_up"`
	Marked    time.Time       `json:"marked"`
	Critical  []scoring.Miss  `json:"critical"`
	Again     []scoring.Miss  `json:"again"`
	ConfirmBy *time.Time      `json:"confirm_by,omitempty"`
	Confirm   string          `json:"confirm,omitempty"` // id of the confirming sitting
	Void      *Void           `json:"void,omitempty"`
	Sheets    []Explained     `json:"sheets,omitempty"`
}

// Void says when and why a sitting was struck out.
type Void struct {
	At     time.Time `json:"at"`
	By     string    `json:"by"`
	Reason string    `json:"reason"`
}

func (f *face) result(c *gin.Context) error {
	r, err := f.app.Result(c.Request.Context(), edge.Caller(c), c.Param("sitting"))
	if err != nil {
		return err
	}
	return send(c, http.StatusOK, resultOf(r))
}

func resultOf(r api.Result) Result {
	o := r.Outcome
	out := Result{Sitting: sittingOf(r.Sitting), Verdict: r.Final, Percent: o.Percent, Total: o.Total, Of: o.Of, Cut: o.Cut, Rules: o.Rules,
		TimeUp: r.HandIn.TimeUp, Marked: r.Marked, Critical: append([]scoring.Miss{}, o.Critical...), Again: append([]scoring.Miss{}, o.Again...)}
	if !r.ConfirmBy.IsZero() {
		out.ConfirmBy = &r.ConfirmBy
	}
	if r.Confirm != nil {
		out.Confirm = r.Confirm.ID
	}
	if r.Void != nil {
		out.Void = &Void{At: r.Void.At, By: r.Void.By, Reason: r.Void.Reason}
	}
	for _, s := range r.Review {
		out.Sheets = append(out.Sheets, Explained{Item: s.Item, Answer: s.Answer, Marked: s.Marked})
	}
	return out
}
