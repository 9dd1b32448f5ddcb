package v1

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
	"soloright/content"
	"soloright/scoring/itemhealth"
	"soloright/scoring/itemstat"
)

// ItemsHealth is how the items of a procedure do. Without as_of nothing is worked
// out yet, and there are no items.
type ItemsHealth struct {
	Procedure string              `json:"procedure"`
	Title     string              `json:"title"`
	Revision  string              `json:"revision"`
	AsOf      *api.HealthAsOf     `json:"as_of,omitempty"`
	Stale     bool                `json:"stale"` // there are later markings
	Progress  *api.HealthProgress `json:"progress,omitempty"`
	Failed    string              `json:"failed,omitempty"`
	People    int                 `json:"people"`
	Answers   int                 `json:"answers"`
	Cut       float64             `json:"cut"`
	Phi       *itemstat.Figure    `json:"phi_lambda,omitempty"` // of qualifying sittings, at the cut
	SEM       *itemstat.Figure    `json:"standard_error,omitempty"`
	Fit       itemhealth.Fit      `json:"fit"`
	Total     int                 `json:"total"` // families
	From      int                 `json:"from"`
	Items     []itemhealth.Health `json:"items"`
	Withdrawn []api.Withdrawal    `json:"withdrawn"` // those that stand
}

func itemsHealthOf(h api.ItemsHealth) ItemsHealth {
	out := ItemsHealth{Procedure: h.Procedure.ID, Title: h.Procedure.Title, Revision: h.Procedure.Revision, Stale: h.Stale, Progress: h.Progress, Failed: h.Failed,
		Items: []itemhealth.Health{}, Withdrawn: h.Standing()}
	if r := h.Report; r != nil {
		out.AsOf, out.People, out.Answers, out.Cut, out.Fit, out.Total = &h.AsOf, r.People, r.Answers, r.Cut, r.Fit, len(r.Items)
		if r.Answers > 0 {
			out.Phi, out.SEM = &r.Dependable.Phi, &r.Dependable.SEM
		}
	}
	return out
}

func (f *face) itemsHealth(c *gin.Context) error {
	from, err := wholeNumber(c, "from", 1, 1, 1_000_000)
	if err != nil {
		return err
	}
	limit, err := wholeNumber(c, "limit", 100, 1, 1000)
	if err != nil {
		return err
	}
	h, err := f.app.ItemsHealth(c.Request.Context(), edge.Caller(c), c.Param("procedure"))
	if err != nil {
		return err
	}
	out := itemsHealthOf(h)
	out.From = from
	if h.Report != nil && from <= len(h.Report.Items) {
		out.Items = h.Report.Items[from-1 : min(len(h.Report.Items), from-1+limit)]
	}
	return send(c, http.StatusOK, out)
}

func (f *face) analyseItems(c *gin.Context) error {
	p, err := f.app.AnalyseItems(c.Request.Context(), edge.Caller(c))
	if err != nil {
		return err
	}
	return send(c, http.StatusAccepted, p)
}

// ItemHealth is one family, one line for each thing that its fact has stated.
type ItemHealth struct {
	Fact     Fact                `json:"fact"`
	Model    string              `json:"model"`
	AsOf     *api.HealthAsOf     `json:"as_of,omitempty"`
	Stale    bool                `json:"stale"`
	Progress *api.HealthProgress `json:"progress,omitempty"`
	Lines    []itemhealth.Health `json:"lines"`
	Items    []Concrete          `json:"items"` // those that the lines count
	Unmet    string              `json:"unmet,omitempty"`
}

// Concrete is one item with its key in words.
type Concrete struct {
	Item string `json:"item"`
	Stem string `json:"stem"`
	Key  string `json:"key"`
}

func (f *face) itemHealth(c *gin.Context) error {
	h, err := f.app.ItemHealth(c.Request.Context(), edge.Caller(c), c.Param("procedure"), content.FactID(c.Query("fact")), c.Query("model"))
	if err != nil {
		return err
	}
	out := ItemHealth{Fact: factOf(h.Fact), Model: h.Model, Stale: h.Stale, Progress: h.Progress, Lines: h.Health, Items: []Concrete{}, Unmet: h.Unmet}
	if h.Report != nil {
		out.AsOf = &h.AsOf
	}
	for _, line := range h.Health {
		for _, one := range line.Items {
			it := h.Items[one.Item]
			out.Items = append(out.Items, Concrete{one.Item, it.Stem, it.Key})
		}
	}
	return send(c, http.StatusOK, out)
}

// ItemWithdrawals are decisions on items, by subject, the last of one stands.
type ItemWithdrawals struct {
	Withdrawals []api.Withdrawal `json:"withdrawals"`
}

func (f *face) withdrawals(c *gin.Context) error {
	all, err := f.app.Withdrawals(c.Request.Context(), edge.Caller(c), c.Param("procedure"))
	if err != nil {
		return err
	}
	return send(c, http.StatusOK, ItemWithdrawals{append([]api.Withdrawal{}, all...)})
}

// Withdraw names what is withdrawn or taken up again, and why.
type Withdraw struct {
	Fact     content.FactID `json:"fact" validate:"required,max=400"`
	Model    string         `json:"model" validate:"required,max=64"`
	Item     string         `json:"item,omitempty" validate:"max=128"`
	Revision string         `json:"revision,omitempty" validate:"max=64"`
	Reason   string         `json:"reason" validate:"required,min=10,max=1000"`
}

func (f *face) withdrawCommand(c *gin.Context) (api.WithdrawCommand, error) {
	var w Withdraw
	err := decode(c, &w)
	return api.WithdrawCommand{ItemSubject: api.ItemSubject{Procedure: c.Param("procedure"), Revision: w.Revision, Fact: w.Fact, Model: w.Model, Item: w.Item}, Reason: w.Reason}, err
}

func (f *face) withdrawItem(c *gin.Context) error {
	cmd, err := f.withdrawCommand(c)
	if err != nil {
		return err
	}
	w, err := f.app.WithdrawItem(c.Request.Context(), edge.Caller(c), cmd)
	if err != nil {
		return err
	}
	return send(c, http.StatusCreated, w)
}

func (f *face) takeUpItem(c *gin.Context) error {
	cmd, err := f.withdrawCommand(c)
	if err != nil {
		return err
	}
	w, err := f.app.TakeUpItem(c.Request.Context(), edge.Caller(c), cmd)
	if err != nil {
		return err
	}
	return send(c, http.StatusCreated, w)
}
