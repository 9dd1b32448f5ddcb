package web

import (
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
	"soloright/api/paper"
	"soloright/content"
	"soloright/quiz"
)

func (f *Face) panelRoutes(r router) {
	r.get("/panels", f.panels)
	r.post("/panels", f.openPanel)
	r.get("/panels/:panel", f.panel)
	r.get("/panels/:panel/csv", f.panelCSV)
	r.get("/panels/:panel/sheets/:sheet", f.panelSheet)
	r.post("/panels/:panel/ratings", f.rateItems)
	r.post("/panels/:panel/end", f.endRound)
	r.post("/panels/:panel/adoption", f.adoptCut)
}

// PanelsPage lists the panels, and opens one.
type PanelsPage struct {
	Page
	Panels   []api.PanelLine
	Subjects []Choice // procedures, each build by itself: procedure/build
	Judges   []Choice // trainers
	Message  string
}

func (f *Face) panels(c *gin.Context) error { return f.panelsPage(c, http.StatusOK, "") }

func (f *Face) panelsPage(c *gin.Context, status int, message string) error {
	pg, err := f.page(c, "Cut scores by panel", "results")
	if err != nil {
		return err
	}
	ctx, who := c.Request.Context(), edge.Caller(c)
	pg.Styles = []string{"register", "panels"}
	p := PanelsPage{Page: pg, Message: message}
	if p.Panels, err = f.app.Panels(ctx, who); err != nil {
		return err
	}
	procs, err := f.app.Procedures(ctx, who)
	if err != nil {
		return err
	}
	p.Subjects = panelSubjects(procs, c.PostForm("subject"))
	if pg.May(string(api.RunPanels)) {
		all, err := f.app.People(ctx, who)
		if err != nil {
			return err
		}
		named := c.PostFormArray("judge")
		for _, j := range all {
			if j.Left.IsZero() && j.Role.May(api.RunPanels) {
				p.Judges = append(p.Judges, Choice{j.ID, j.Name, slices.Contains(named, j.ID) || len(named) == 0 && j.ID == pg.Person.ID})
			}
		}
	}
	return f.render(c, status, "panels", p)
}

// panelSubjects are what a panel can be opened on.
func panelSubjects(procs []*content.Procedure, is string) (out []Choice) {
	for _, p := range procs {
		if len(p.Builds) == 0 {
			out = append(out, Choice{p.ID, p.Title, p.ID == is})
		}
		for _, b := range p.Builds {
			id := p.ID + "/" + b.ID
			out = append(out, Choice{id, p.Title + ", " + b.Title, id == is})
		}
	}
	return out
}

func (f *Face) openPanel(c *gin.Context) error {
	procedure, build, _ := strings.Cut(c.PostForm("subject"), "/")
	p, err := f.app.OpenPanel(c.Request.Context(), edge.Caller(c), api.OpenPanel{Procedure: procedure, Build: build, Judges: c.PostFormArray("judge")})
	if k := api.KindOf(err); k == api.Invalid || k == api.Conflict || k == api.NotFound {
		message := edge.Known(err).Message
		if len(c.PostFormArray("judge")) < 2 {
			message = "A panel needs two judges or more: one alone has no spread. No panel was opened."
		}
		return f.panelsPage(c, edge.Status(k), message)
	}
	if err != nil {
		return err
	}
	return seeOther(c, "/panels/%s", p.ID)
}

// PanelPage is one panel, round by round.
type PanelPage struct {
	Page
	View    api.PanelView
	Rows    []PanelRow
	Last    *api.PanelRound // the last round that may be shown
	Note    string
	Message string
}

// PanelRow is an item to be rated, with what was typed and what the judges said.
type PanelRow struct {
	N      int
	Item   *quiz.Item // nil for who may not read keys
	Key    string
	Chance string
	Part   bool
	Typed  string
	Wrong  string // why it was refused
	Mean   string // of the last round that may be shown, in percent
	Range  string
	Wide   bool // the judges lie far apart
}

func (f *Face) panel(c *gin.Context) error { return f.panelPage(c, http.StatusOK, nil, "") }

func (f *Face) panelPage(c *gin.Context, status int, refused *api.Error, message string) error {
	pg, err := f.page(c, "Panel", "results")
	if err != nil {
		return err
	}
	v, err := f.app.Panel(c.Request.Context(), edge.Caller(c), c.Param("panel"))
	if err != nil {
		return err
	}
	pg.Styles = []string{"register", "panels"}
	p := PanelPage{Page: pg, View: v, Message: message, Note: c.PostForm("note")}
	for i := range v.Rounds {
		if r := &v.Rounds[i]; !r.Hidden && len(r.Seats) > 0 {
			p.Last = r
		}
	}
	for n := 1; n <= v.Panel.Items; n++ {
		p.Rows = append(p.Rows, p.row(n, c, refused))
	}
	return f.render(c, status, "panel", p)
}

// far is how far apart judges of an item are when the page says so, from the
// lowest to the highest.
const far = 0.30

func (p PanelPage) row(n int, c *gin.Context, refused *api.Error) PanelRow {
	row := PanelRow{N: n, Typed: c.PostForm("p" + strconv.Itoa(n))}
	if len(p.View.Items) >= n {
		it := &p.View.Items[n-1]
		chance, _ := it.Chance.Mean.Rat.Float64()
		row.Item, row.Key, row.Part, row.Chance = it, quiz.KeyWords(*it), api.PartMarks(*it), percentOf(chance)
	}
	if row.Typed == "" && refused == nil && len(p.View.Mine) >= n {
		row.Typed = strconv.Itoa(p.View.Mine[n-1])
	}
	if refused != nil {
		for _, w := range refused.Fields {
			if w.Field == fmt.Sprintf("percent[%d]", n-1) {
				row.Wrong = w.Message
			}
		}
	}
	if p.Last != nil && len(p.Last.Items) >= n {
		s := p.Last.Items[n-1]
		row.Mean, row.Range, row.Wide = percentOf(s.Mean), percentOf(s.Lo)+" to "+percentOf(s.Hi), s.Hi-s.Lo >= far-1e-9
	}
	return row
}

// percentOf prints a share as whole percent without the sign.
func percentOf(x float64) string { return strconv.FormatFloat(100*x, 'f', 0, 64) }

// Marks prints marks with two digits.
func (p PanelPage) Marks(x float64) string { return strconv.FormatFloat(x, 'f', 2, 64) }

// Lean prints by how much a judge asks for more or less than the others.
func (p PanelPage) Lean(x float64) string {
	switch s := strconv.FormatFloat(max(x, -x), 'f', 2, 64); {
	case s == "0.00":
		return "as all"
	case x > 0:
		return s + " more"
	default:
		return s + " less"
	}
}

// Percent is what the marks are of the whole, with one digit.
func (p PanelPage) Percent(marks float64) string {
	return strconv.FormatFloat(100*marks/float64(p.View.Panel.Items), 'f', 1, 64)
}

// Missing names the judges who have not rated in the open round.
func (p PanelPage) Missing() string {
	var out []string
	for _, j := range p.View.Names {
		if !j.In[len(j.In)-1] {
			out = append(out, j.Name)
		}
	}
	return strings.Join(out, ", ")
}

func (f *Face) rateItems(c *gin.Context) error {
	ctx, who := c.Request.Context(), edge.Caller(c)
	v, err := f.app.Panel(ctx, who, c.Param("panel"))
	if err != nil {
		return err
	}
	round, _ := strconv.Atoi(c.PostForm("round")) // 0 is refused below
	cmd := api.RateItems{Panel: v.Panel.ID, Round: round, Percent: make([]int, v.Panel.Items)}
	for i := range cmd.Percent {
		text := strings.TrimSuffix(strings.TrimSpace(c.PostForm("p"+strconv.Itoa(i+1))), "%")
		if cmd.Percent[i], err = strconv.Atoi(strings.TrimSpace(text)); err != nil {
			cmd.Percent[i] = -1
		}
	}
	return f.afterPanel(c, f.app.RateItems(ctx, who, cmd))
}

func (f *Face) endRound(c *gin.Context) error {
	round, _ := strconv.Atoi(c.PostForm("round"))
	return f.afterPanel(c, f.app.EndRound(c.Request.Context(), edge.Caller(c), api.EndRound{Panel: c.Param("panel"), Round: round, Close: c.PostForm("close") == "yes", Note: c.PostForm("note")}))
}

func (f *Face) adoptCut(c *gin.Context) error {
	_, err := f.app.AdoptCut(c.Request.Context(), edge.Caller(c), api.AdoptCut{Panel: c.Param("panel")})
	return f.afterPanel(c, err)
}

// afterPanel goes back to the panel; what was refused is said there, with what was
// typed still in place.
func (f *Face) afterPanel(c *gin.Context, err error) error {
	if k := api.KindOf(err); k == api.Invalid || k == api.Conflict {
		e := edge.Known(err)
		message := e.Message
		if len(e.Fields) > 0 && strings.HasPrefix(e.Fields[0].Field, "percent[") {
			message = fmt.Sprintf("%d ratings are no whole number from 0 to 100. Nothing was kept; mend them below and hand in again.", len(e.Fields))
		}
		return f.panelPage(c, edge.Status(k), e, message)
	}
	if err != nil {
		return err
	}
	return seeOther(c, "/panels/%s", c.Param("panel"))
}

// PanelSheetPage is one sheet of a panel's form with its key.
type PanelSheetPage struct {
	Page
	View   api.PanelView
	N      int
	Facts  FactLines
	Before int
	After  int
}

func (f *Face) panelSheet(c *gin.Context) error {
	pg, err := f.page(c, "Sheet of a panel", "results")
	if err != nil {
		return err
	}
	v, err := f.app.Panel(c.Request.Context(), edge.Caller(c), c.Param("panel"))
	if err != nil {
		return err
	}
	n, err := strconv.Atoi(c.Param("sheet"))
	if err != nil || n < 1 || n > len(v.Items) {
		return &api.Error{Kind: api.NotFound, Message: "There is no such sheet, or it is not for your role."}
	}
	p := PanelSheetPage{Page: pg, View: v, N: n, Before: n - 1}
	if n < len(v.Items) {
		p.After = n + 1
	}
	it := v.Items[n-1]
	p.Facts = factLines([]api.PreviewFact{{Items: []quiz.Item{it}}})[0]
	return f.render(c, http.StatusOK, "panel-sheet", p)
}

// panelCSV gives everything that may be shown of a panel as a table: a line for
// each rating that a judge gave.
func (f *Face) panelCSV(c *gin.Context) error {
	v, err := f.app.Panel(c.Request.Context(), edge.Caller(c), c.Param("panel"))
	if err != nil {
		return err
	}
	c.Header("Content-Type", paper.CSVType)
	c.Header("Content-Disposition", fmt.Sprintf(`attachment; filename="panel-%s.csv"`, v.Panel.ID))
	c.Status(http.StatusOK)
	w := paper.NewCSV(c.Writer)
	if err := w.Row("panel", "procedure", "revision", "round", "judge", "said in round", "sheet", "fact", "model", "percent"); err != nil {
		return err
	}
	for _, r := range v.Rounds {
		for _, s := range r.Seats {
			for i, percent := range s.Percent {
				fact, model := "", ""
				if len(v.Items) > i {
					fact, model = string(v.Items[i].Lead), v.Items[i].Model
				}
				if err := w.Row(v.Panel.ID, v.Panel.Procedure, v.Panel.Revision, strconv.Itoa(r.N), s.Name, strconv.Itoa(s.Round), strconv.Itoa(i+1), fact, model, strconv.Itoa(percent)); err != nil {
					return err
				}
			}
		}
	}
	return w.End()
}
