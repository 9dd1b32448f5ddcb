package v1

import (
	"encoding/hex"
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
	"soloright/quiz"
)

// Panels is every panel.
type Panels struct {
	Panels []Panel `json:"panels"`
}

// Panel is an Angoff panel and how far it is.
type Panel struct {
	ID        string        `json:"id"`
	Procedure string        `json:"procedure"`
	Revision  string        `json:"revision"`
	Build     string        `json:"build,omitempty"`
	Form      string        `json:"form_digest"` // SHA-256, hex, of the form that is rated
	Items     int           `json:"items"`
	Judges    int           `json:"judges"`
	Chair     string        `json:"chair"` // person id
	Opened    time.Time     `json:"opened"`
	Round     int           `json:"round"` // that is open; of a closed panel its last
	In        int           `json:"in"`    // judges who rated in it
	Closed    bool          `json:"closed"`
	Cut       *api.PanelCut `json:"cut,omitempty"` // of a closed panel that found one
	Yours     bool          `json:"to_rate"`       // you have still to rate
}

// PanelView is a panel as you may see it.
type PanelView struct {
	Panel   Panel        `json:"panel"`
	Judges  []PanelJudge `json:"judges"`
	Items   []PanelItem  `json:"items"` // none for who may not read keys
	Rounds  []PanelRound `json:"rounds"`
	Mine    []int        `json:"mine"` // what you said last, in percent
	Adopted bool         `json:"adopted"`
	InForce int          `json:"cut_in_force"` // in percent
}

// PanelJudge is a judge and in which rounds he or she rated.
type PanelJudge struct {
	Person string `json:"person"`
	Name   string `json:"name"`
	In     []bool `json:"in"`
}

// PanelItem is an item that is rated.
type PanelItem struct {
	N       int     `json:"n"`
	Fact    string  `json:"fact"`
	Model   string  `json:"model"`
	Stem    string  `json:"stem"`
	Key     string  `json:"key"`
	Chance  float64 `json:"chance"` // the mark that a random answer gets on average, 0 to 1
	Partial bool    `json:"part_marks"`
}

// PanelRound is one round.
type PanelRound struct {
	Round  int           `json:"round"`
	Ended  *time.Time    `json:"ended,omitempty"`
	Note   string        `json:"note,omitempty"`
	Hidden bool          `json:"hidden"` // your own ratings are not in, or you do not judge and it goes on
	Cut    *api.PanelCut `json:"cut,omitempty"`
	Seats  []PanelSeat   `json:"seats"`
	Spread []PanelSpread `json:"spread"` // of each item
}

// PanelSeat is what of a judge counts in a round.
type PanelSeat struct {
	Person   string  `json:"person"`
	Said     int     `json:"said_in_round"`
	Percent  []int   `json:"percent"`
	Sum      float64 `json:"sum"`      // in marks
	Severity float64 `json:"severity"` // the sum less the mean of all, in marks
}

// PanelSpread is what the judges said of an item, 0 to 1.
type PanelSpread struct {
	Mean float64 `json:"mean"`
	SD   float64 `json:"sd"` // n − 1
	Lo   float64 `json:"lo"`
	Hi   float64 `json:"hi"`
}

func panelOf(l api.PanelLine) Panel {
	p := l.Panel
	return Panel{ID: p.ID, Procedure: p.Procedure, Revision: p.Revision, Build: p.Build, Form: hex.EncodeToString(p.Digest), Items: p.Items, Judges: len(p.Judges),
		Chair: p.By, Opened: p.Opened, Round: max(1, l.Round), In: l.In, Closed: l.Closed, Cut: l.Cut, Yours: l.Yours}
}

func (f *face) panels(c *gin.Context) error {
	all, err := f.app.Panels(c.Request.Context(), edge.Caller(c))
	if err != nil {
		return err
	}
	out := Panels{Panels: []Panel{}}
	for _, l := range all {
		out.Panels = append(out.Panels, panelOf(l))
	}
	return send(c, http.StatusOK, out)
}

func (f *face) openPanel(c *gin.Context) error {
	var cmd api.OpenPanel
	if err := decode(c, &cmd); err != nil {
		return err
	}
	p, err := f.app.OpenPanel(c.Request.Context(), edge.Caller(c), cmd)
	if err != nil {
		return err
	}
	c.Header("Location", Prefix+"/panels/"+p.ID)
	return send(c, http.StatusCreated, panelOf(api.PanelLine{Panel: p}))
}

func (f *face) panel(c *gin.Context) error { return f.sendPanel(c) }

func (f *face) rateItems(c *gin.Context) error {
	var cmd api.RateItems
	if err := decode(c, &cmd); err != nil {
		return err
	}
	cmd.Panel = c.Param("panel")
	if err := f.app.RateItems(c.Request.Context(), edge.Caller(c), cmd); err != nil {
		return err
	}
	return f.sendPanel(c)
}

func (f *face) endRound(c *gin.Context) error {
	var cmd api.EndRound
	if err := decode(c, &cmd); err != nil {
		return err
	}
	cmd.Panel = c.Param("panel")
	if err := f.app.EndRound(c.Request.Context(), edge.Caller(c), cmd); err != nil {
		return err
	}
	return f.sendPanel(c)
}

func (f *face) adoptCut(c *gin.Context) error {
	ctx, who := c.Request.Context(), edge.Caller(c)
	if _, err := f.app.AdoptCut(ctx, who, api.AdoptCut{Panel: c.Param("panel")}); err != nil {
		return err
	}
	v, err := f.app.Panel(ctx, who, c.Param("panel"))
	if err != nil {
		return err
	}
	return f.sendPolicy(c, v.Panel.Procedure)
}

func (f *face) sendPanel(c *gin.Context) error {
	v, err := f.app.Panel(c.Request.Context(), edge.Caller(c), c.Param("panel"))
	if err != nil {
		return err
	}
	out := PanelView{Panel: panelOf(v.PanelLine), Judges: []PanelJudge{}, Items: []PanelItem{}, Rounds: []PanelRound{}, Mine: v.Mine, Adopted: v.Adopted, InForce: v.InForce}
	if out.Mine == nil {
		out.Mine = []int{}
	}
	for _, j := range v.Names {
		out.Judges = append(out.Judges, PanelJudge(j))
	}
	for i, it := range v.Items {
		chance, _ := it.Chance.Mean.Rat.Float64()
		out.Items = append(out.Items, PanelItem{N: i + 1, Fact: string(it.Lead), Model: it.Model, Stem: it.Stem, Key: quiz.KeyWords(it), Chance: chance, Partial: api.PartMarks(it)})
	}
	for _, r := range v.Rounds {
		out.Rounds = append(out.Rounds, panelRound(r))
	}
	return send(c, http.StatusOK, out)
}

func panelRound(r api.PanelRound) PanelRound {
	out := PanelRound{Round: r.N, Note: r.Note, Hidden: r.Hidden, Cut: r.Cut, Seats: []PanelSeat{}, Spread: []PanelSpread{}}
	if !r.Ended.IsZero() {
		out.Ended = &r.Ended
	}
	for _, s := range r.Seats {
		out.Seats = append(out.Seats, PanelSeat{Person: s.Person, Said: s.Round, Percent: s.Percent, Sum: s.Sum, Severity: s.Severity})
	}
	for _, s := range r.Items {
		out.Spread = append(out.Spread, PanelSpread(s))
	}
	return out
}
