package web

import (
	"fmt"
	"math"
	"net/http"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
	"soloright/scoring/itemstat"
)

func (f *Face) sureRoutes(r router) {
	r.get("/planner", f.planner)
}

// PlannerPage plans how long a test must be, and says how sure a procedure's forms
// are.
type PlannerPage struct {
	Page
	Procedures []Choice
	Weak       int // percent held
	FalsePass  int // percent
	Strong     int
	FalseFail  int
	Tries      int
	Plan       api.LengthPlan
	Sure       *api.Sureness // nil: no procedure was chosen
	Message    string
}

func (f *Face) planner(c *gin.Context) error {
	pg, err := f.page(c, "How long a test must be", "results")
	if err != nil {
		return err
	}
	pg.Styles = []string{"sure"}
	p := PlannerPage{Page: pg}
	for _, n := range []struct {
		name, says string
		of         *int
		or, lo, hi int
	}{{"weak", "who is to fail", &p.Weak, 70, 1, 98}, {"pass", "how many of them may pass", &p.FalsePass, 5, 1, 99}, {"strong", "who is to pass", &p.Strong, 90, 2, 99}, {"fail", "how many of them may fail", &p.FalseFail, 10, 1, 99}, {"tries", "tries", &p.Tries, 2, 1, 20}} {
		*n.of = n.or
		if v, err := strconv.Atoi(c.DefaultQuery(n.name, strconv.Itoa(n.or))); err == nil && v >= n.lo && v <= n.hi {
			*n.of = v
		} else {
			p.Message = fmt.Sprintf("Give whole numbers: %s, from %d to %d.", n.says, n.lo, n.hi)
		}
	}
	ctx, who := c.Request.Context(), edge.Caller(c)
	if p.Procedures, err = f.procedureChoices(c, c.Query("procedure")); err != nil {
		return err
	}
	if id := c.Query("procedure"); id != "" {
		s, err := f.app.Sureness(ctx, who, id)
		if err != nil {
			return err
		}
		p.Sure = &s
	}
	status := http.StatusOK
	if p.Message == "" {
		status, err = f.plan(c, &p)
	} else {
		status = edge.Status(api.Invalid)
	}
	if err != nil {
		return err
	}
	return f.render(c, status, "planner", p)
}

// plan works the plan out, or says why there is none.
func (f *Face) plan(c *gin.Context, p *PlannerPage) (int, error) {
	items, needed := 0, 0
	if p.Sure != nil {
		items, needed = p.Sure.Items, p.Sure.Needed
	}
	var err error
	p.Plan, err = f.app.PlanTest(c.Request.Context(), edge.Caller(c), api.PlanLength{Weak: float64(p.Weak) / 100, FalsePass: float64(p.FalsePass) / 100,
		Strong: float64(p.Strong) / 100, FalseFail: float64(p.FalseFail) / 100, Tries: p.Tries}, items, needed)
	if api.KindOf(err) == api.Invalid {
		p.Message = edge.Known(err).Message
		return edge.Status(api.Invalid), nil
	}
	return http.StatusOK, err
}

// Percent prints a share in percent, to a tenth below 10.
func (Page) Percent(share float64) string {
	v := 100 * share
	switch {
	case v > 0 && v < 0.1:
		return "under 0.1 %"
	case v < 10:
		return fmt.Sprintf("%.1f %%", v)
	case v > 99 && v < 100:
		return fmt.Sprintf("%.1f %%", math.Floor(10*v)/10)
	}
	return fmt.Sprintf("%.0f %%", v)
}

// Under writes a share that is smaller than a limit in percent with as many places
// as it takes to see that: 9.95 % for a limit of 10, never 10.0 %.
func (p PlannerPage) Under(share float64, limit int) string {
	if text := p.Percent(share); share >= float64(limit)/100 || strings.HasPrefix(text, "under") {
		return text
	}
	for places := 1; places < 6; places++ {
		text := strconv.FormatFloat(100*share, 'f', places, 64)
		if v, err := strconv.ParseFloat(text, 64); err == nil && v < float64(limit) {
			return text + " %"
		}
	}
	return fmt.Sprintf("just under %d %%", limit)
}

// Range prints an interval of shares in percent.
func (Page) Range(in itemstat.Interval) string {
	return fmt.Sprintf("%.0f to %.0f %%", 100*in.Lo, 100*in.Hi)
}

// Figure prints a figure with two decimals, its interval and its n; or why there is
// none yet.
func (Page) Figure(f itemstat.Figure) string {
	switch {
	case f.NotYet == itemstat.TooFew && f.Need > 0:
		return fmt.Sprintf("not yet: %d of the %d that it takes", f.N, f.Need)
	case !f.Known():
		return "none: " + string(f.NotYet)
	case f.Conf > 0:
		return fmt.Sprintf("%.2f (%.2f to %.2f, n %d)", f.Value, f.Lo, f.Hi, f.N)
	}
	return fmt.Sprintf("%.2f (n %d)", f.Value, f.N)
}
