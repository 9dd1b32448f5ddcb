package web

import (
	"context"
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
)

// TrailPage is one person on one procedure: the standing, the way so far, and
// what a safety officer can do about it.
type TrailPage struct {
	Page
	api.TrailView
	Decide  bool // the reader may suspend, reinstate and withdraw
	Message string
	Reason  string // as it was sent, where it was refused
	Now     time.Time
}

func (f *Face) trail(c *gin.Context) error { return f.trailPage(c, http.StatusOK, "") }

func (f *Face) trailPage(c *gin.Context, status int, message string) error {
	pg, err := f.page(c, "", "register")
	if err != nil {
		return err
	}
	v, err := f.app.PersonTrail(c.Request.Context(), edge.Caller(c), c.Param("person"), c.Param("procedure"))
	if err != nil {
		return err
	}
	pg.Title, pg.Styles = v.Name+": "+v.Title, []string{"register"}
	if v.Own {
		pg.Here = "bench"
	}
	p := TrailPage{Page: pg, TrailView: v, Decide: pg.Person.Role.May(api.ManageClearances), Message: message, Reason: c.PostForm("reason"), Now: f.clock()}
	return f.render(c, status, "trail", p)
}

func (f *Face) suspend(c *gin.Context) error   { return f.notice(c, f.app.Suspend) }
func (f *Face) reinstate(c *gin.Context) error { return f.notice(c, f.app.Reinstate) }
func (f *Face) withdraw(c *gin.Context) error  { return f.notice(c, f.app.Withdraw) }

// notice suspends, reinstates or withdraws. A refusal shows beside the form, with
// the reason as it was written.
func (f *Face) notice(c *gin.Context, do func(context.Context, api.Caller, api.StandingCommand) error) error {
	cmd := api.StandingCommand{Person: c.Param("person"), Procedure: c.Param("procedure"), Reason: c.PostForm("reason")}
	err := do(c.Request.Context(), edge.Caller(c), cmd)
	if k := api.KindOf(err); k == api.Invalid || k == api.Conflict {
		return f.trailPage(c, edge.Status(k), edge.Known(err).Message)
	}
	if err != nil {
		return err
	}
	return seeOther(c, "/register/people/%s/%s", cmd.Person, cmd.Procedure)
}
