package web

import (
	"bytes"
	"fmt"
	"html/template"
	"net/http"
	"net/url"
	"strings"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
	"soloright/api/paper"
	"soloright/content"
	"soloright/scoring/itemhealth"
	"soloright/scoring/itemstat"
	"soloright/web/drawing"
)

func (f *Face) healthRoutes(r router) {
	r.get("/procedures/:procedure/health", f.itemsHealth)
	r.get("/procedures/:procedure/health/csv", f.itemsCSV)
	r.post("/procedures/:procedure/health/analysis", f.analyseItems)
	r.get("/procedures/:procedure/health/item", f.itemHealth)
	r.post("/procedures/:procedure/health/item", f.decideOnItem)
	r.get("/procedures/:procedure/withdrawn", f.withdrawn)
	r.get("/procedures/:procedure/withdrawn/marks", f.remarkPreview)
	r.post("/procedures/:procedure/withdrawn/marks", f.remark)
}

// HealthPage lists the items of a procedure, the worst first.
type HealthPage struct {
	Page
	Health  api.ItemsHealth
	Lines   []HealthLine
	Flagged int // families with flags
	First   int
	Before  int
	After   int
}

// itemsShown is how many families a page shows: each with a drawing and its flags.
const itemsShown = 25

// HealthLine is one family in the list.
type HealthLine struct {
	itemhealth.Health
	Text      string // of the fact
	To        string
	Withdrawn bool
	Drawn     template.HTML // the share right with its interval
}

func (f *Face) itemsHealth(c *gin.Context) error {
	pg, err := f.page(c, "How the items do", "bench")
	if err != nil {
		return err
	}
	h, err := f.app.ItemsHealth(c.Request.Context(), edge.Caller(c), c.Param("procedure"))
	if err != nil {
		return err
	}
	pg.Styles = []string{"health"}
	p := HealthPage{Page: pg, Health: h}
	if p.First, err = beginning(c); err != nil {
		return err
	}
	if h.Report == nil {
		return f.render(c, http.StatusOK, "health", p)
	}
	all := h.Report.Items
	for _, x := range all {
		if len(x.Flags) > 0 {
			p.Flagged++
		}
	}
	if p.First > max(1, len(all)) {
		return &api.Error{Kind: api.NotFound, Message: "There is no such part of this list."}
	}
	if p.First > 1 {
		p.Before = max(1, p.First-itemsShown)
	}
	if len(all) >= p.First+itemsShown {
		p.After = p.First + itemsShown
	}
	for _, x := range all[p.First-1 : min(len(all), p.First-1+itemsShown)] {
		p.Lines = append(p.Lines, healthLine(h, x))
	}
	return f.render(c, http.StatusOK, "health", p)
}

func healthLine(h api.ItemsHealth, x itemhealth.Health) HealthLine {
	id := content.FactID(x.Lead)
	l := HealthLine{Health: x, Text: h.Facts[id].Text, To: itemAddress(h.Procedure.ID, id, x.Model)}
	if l.Text == "" {
		l.Text = x.Lead
	}
	for sub := range h.Withdrawn {
		l.Withdrawn = l.Withdrawn || sub.Fact == id && sub.Model == x.Model && sub.Item == ""
	}
	d := x.Difficulty
	if d.Known() {
		l.Drawn = drawing.Interval(Share(d), d.Lo, d.Value, d.Hi)
	}
	return l
}

func itemAddress(procedure string, fact content.FactID, model string) string {
	return "/procedures/" + url.PathEscape(procedure) + "/health/item?" + url.Values{"fact": {string(fact)}, "model": {model}}.Encode()
}

// Share writes a share with its interval in percent, or why it is not given.
func Share(f itemstat.Figure) string {
	if !f.Known() {
		return notYet(f)
	}
	if f.Conf == 0 {
		return fmt.Sprintf("%.0f %%", 100*f.Value)
	}
	return fmt.Sprintf("%.0f %% (%.0f to %.0f)", 100*f.Value, 100*f.Lo, 100*f.Hi)
}

// Number writes a figure with two places and its interval, or why it is not given.
func Number(f itemstat.Figure) string {
	if !f.Known() {
		return notYet(f)
	}
	text := fmt.Sprintf("%.2f", f.Value)
	if f.Conf > 0 {
		text += fmt.Sprintf(" (%.2f to %.2f)", f.Lo, f.Hi)
	}
	return strings.ReplaceAll(text, "-", "−")
}

// Whole writes a figure in whole numbers with its interval.
func Whole(f itemstat.Figure) string {
	if !f.Known() {
		return notYet(f)
	}
	text := fmt.Sprintf("%.0f", f.Value)
	if f.Conf > 0 {
		text += fmt.Sprintf(" (%.0f to %.0f)", f.Lo, f.Hi)
	}
	return text
}

// notYet says why there is no number.
func notYet(f itemstat.Figure) string {
	if f.Need > 0 {
		return fmt.Sprintf("not yet: %d of the %d it needs", f.N, f.Need)
	}
	return "not given: " + string(f.NotYet)
}

// Share, Number and Whole are for the templates, with the n of what is known.
func (HealthPage) Share(f itemstat.Figure) string  { return withN(Share(f), f) }
func (HealthPage) Number(f itemstat.Figure) string { return withN(Number(f), f) }
func (HealthPage) Whole(f itemstat.Figure) string  { return Whole(f) }

func withN(text string, f itemstat.Figure) string {
	if !f.Known() {
		return text
	}
	return fmt.Sprintf("%s, n %d", text, f.N)
}

// Part is the address of the part of the list that begins with a line.
func (p HealthPage) Part(n int) string {
	return fmt.Sprintf("/procedures/%s/health?from=%d", url.PathEscape(p.Health.Procedure.ID), n)
}

// Last is the last line shown.
func (p HealthPage) Last() int { return p.First - 1 + len(p.Lines) }

func (f *Face) itemsCSV(c *gin.Context) error {
	h, err := f.app.ItemsHealth(c.Request.Context(), edge.Caller(c), c.Param("procedure"))
	if err != nil {
		return err
	}
	if h.Report == nil {
		return &api.Error{Kind: api.Conflict, State: "under way", Message: "The items are being analysed. Take the table when the list is there."}
	}
	var b bytes.Buffer
	if err := paper.ItemsCSV(&b, []string{h.Procedure.ID}, map[string]*itemhealth.Report{h.Procedure.ID: h.Report}); err != nil {
		return err
	}
	c.Header("Content-Disposition", fmt.Sprintf("attachment; filename=%q", "items-"+h.Procedure.ID+".csv"))
	c.Data(http.StatusOK, paper.CSVType, b.Bytes())
	return nil
}

func (f *Face) analyseItems(c *gin.Context) error {
	if _, err := f.app.AnalyseItems(c.Request.Context(), edge.Caller(c)); err != nil {
		return err
	}
	return seeOther(c, "/procedures/%s/health", url.PathEscape(c.Param("procedure")))
}
