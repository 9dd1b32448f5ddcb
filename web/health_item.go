package web

import (
	"html/template"
	"net/http"
	"net/url"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
	"soloright/content"
	"soloright/scoring/itemhealth"
	"soloright/web/drawing"
)

// HealthItemPage shows one family: figures, flags, what people choose instead.
type HealthItemPage struct {
	HealthPage
	Item  api.ItemHealth
	Sets  []HealthSet
	Stand []api.Withdrawal // withdrawals of the family or of an item of it that stand
}

// HealthSet is what is known while the fact stated one thing.
type HealthSet struct {
	itemhealth.Health
	Title  string
	Drawn  template.HTML // who took which answer
	Waits  []string      // answers that too few were offered
	Unused []string      // wrong answers that nobody took
}

func (f *Face) itemHealth(c *gin.Context) error {
	pg, err := f.page(c, "An item", "bench")
	if err != nil {
		return err
	}
	it, err := f.app.ItemHealth(c.Request.Context(), edge.Caller(c), c.Param("procedure"), content.FactID(c.Query("fact")), c.Query("model"))
	if err != nil {
		return err
	}
	pg.Title, pg.Styles = upperFirst(it.Fact.Text), []string{"health"}
	p := HealthItemPage{HealthPage: HealthPage{Page: pg, Health: it.ItemsHealth}, Item: it}
	for _, h := range it.Health {
		p.Sets = append(p.Sets, healthSet(h))
	}
	for _, w := range it.Withdrawn {
		if w.Fact == it.Fact.ID && w.Model == it.Model {
			p.Stand = append(p.Stand, w)
		}
	}
	sortWithdrawals(p.Stand)
	return f.render(c, http.StatusOK, "health-item", p)
}

func healthSet(h itemhealth.Health) HealthSet {
	s := HealthSet{Health: h, Title: "As the procedure states it now"}
	if !h.Current {
		s.Title = "As it was stated before"
	}
	var drawn []drawing.Taken
	for _, o := range h.Options {
		if o.NotYet != "" {
			if o.Right {
				o.Text += " (key)"
			}
			s.Waits = append(s.Waits, o.Text)
			continue
		}
		drawn = append(drawn, drawing.Taken{Text: o.Text, Right: o.Right, Offered: o.People, Taken: o.Taken})
		if !o.Right && o.Taken == [3]int{} {
			s.Unused = append(s.Unused, o.Text)
		}
	}
	if len(drawn) > 0 {
		s.Drawn = drawing.Choices("Who took which answer, by thirds of the people by their marks on other facts", drawn)
	}
	return s
}

// Preview is the address of sample items on the fact, for the first build that it
// holds for; "" where the revision in force does not state it.
func (p HealthItemPage) Preview() string {
	place := ItemsPlace{Procedure: p.Health.Procedure}
	for _, place.Build = range place.Procedure.BuildIDs() {
		if _, holds := content.NewIndex(content.ForBuild(place.Procedure, place.Build)).Fact(p.Item.Fact.ID); holds {
			return place.ToFact(p.Item.Fact.ID)
		}
	}
	return ""
}

// decideOnItem withdraws, or takes up again.
func (f *Face) decideOnItem(c *gin.Context) error {
	cmd := api.WithdrawCommand{ItemSubject: api.ItemSubject{Procedure: c.Param("procedure"), Revision: c.PostForm("revision"), Fact: content.FactID(c.PostForm("fact")),
		Model: c.PostForm("model"), Item: c.PostForm("item")}, Reason: c.PostForm("reason")}
	ctx, who := c.Request.Context(), edge.Caller(c)
	decide := f.app.WithdrawItem
	if c.PostForm("act") == "take up" {
		decide = f.app.TakeUpItem
	}
	if _, err := decide(ctx, who, cmd); err != nil {
		return err
	}
	c.Redirect(http.StatusSeeOther, itemAddress(cmd.Procedure, cmd.Fact, cmd.Model))
	return nil
}

// WithdrawnPage lists what was withdrawn of a procedure, and taken up again.
type WithdrawnPage struct {
	Page
	Procedure string
	All       []WithdrawnLine
}

// WithdrawnLine is one decision.
type WithdrawnLine struct {
	api.Withdrawal
	Who    string // the name
	Stands bool   // it is the last one on its subject
}

func (f *Face) withdrawn(c *gin.Context) error {
	pg, err := f.page(c, "Withdrawn items", "bench")
	if err != nil {
		return err
	}
	ctx, who := c.Request.Context(), edge.Caller(c)
	all, err := f.app.Withdrawals(ctx, who, c.Param("procedure"))
	if err != nil {
		return err
	}
	people, err := f.app.People(ctx, who)
	if err != nil {
		return err
	}
	pg.Styles = []string{"health"}
	p := WithdrawnPage{Page: pg, Procedure: c.Param("procedure")}
	name := map[string]string{}
	for _, x := range people {
		name[x.ID] = x.Name
	}
	last := map[api.ItemSubject]int{}
	for i, w := range all {
		last[w.ItemSubject] = i
	}
	for i, w := range all {
		p.All = append(p.All, WithdrawnLine{Withdrawal: w, Who: name[w.By], Stands: last[w.ItemSubject] == i})
	}
	return f.render(c, http.StatusOK, "withdrawn", p)
}

// Marks is the address at which sittings are marked again without the subject.
func (w WithdrawnLine) Marks() string {
	return "/procedures/" + url.PathEscape(w.Procedure) + "/withdrawn/marks?" + subjectQuery(w.ItemSubject).Encode()
}

func subjectQuery(s api.ItemSubject) url.Values {
	q := url.Values{"fact": {string(s.Fact)}, "model": {s.Model}}
	if s.Revision != "" {
		q.Set("revision", s.Revision)
	}
	if s.Item != "" {
		q.Set("item", s.Item)
	}
	return q
}
