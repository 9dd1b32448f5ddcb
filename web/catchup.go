package web

import (
	"net/http"
	"net/url"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
	"soloright/content"
)

// CatchUpPage is what one has to do to stand on the revision in force.
type CatchUpPage struct {
	Page
	api.CatchUp
	Message string
}

// Address is an address below the procedure.
func (p CatchUpPage) Address(what string) string {
	return "/procedures/" + url.PathEscape(p.Procedure.ID) + "/" + what
}

func (f *Face) catchUp(c *gin.Context) error { return f.catchUpPage(c, http.StatusOK, "") }

func (f *Face) catchUpPage(c *gin.Context, status int, message string) error {
	pg, err := f.page(c, "", "bench")
	if err != nil {
		return err
	}
	u, err := f.app.CatchUp(c.Request.Context(), edge.Caller(c), c.Param("procedure"))
	if conflictState(err) != "" {
		return seeOther(c, "/") // the open sitting stands first on the bench
	}
	if err != nil {
		return err
	}
	pg.Title, pg.Styles = "What changed: "+u.Procedure.Title, []string{"revise"}
	return f.render(c, status, "catch-up", CatchUpPage{Page: pg, CatchUp: u, Message: message})
}

func (f *Face) signReading(c *gin.Context) error {
	cmd := api.SignReading{Procedure: c.Param("procedure"), Digest: c.PostForm("digest"), Password: c.PostForm("password")}
	for _, id := range c.PostFormArray("fact") {
		cmd.Facts = append(cmd.Facts, content.FactID(id))
	}
	err := f.app.SignReading(c.Request.Context(), edge.Caller(c), cmd)
	if k := api.KindOf(err); k == api.Invalid || k == api.Conflict || k == api.TooMany {
		return f.catchUpPage(c, edge.Status(k), edge.Known(err).Message)
	}
	if err != nil {
		return err
	}
	return seeOther(c, "/procedures/%s/catch-up", url.PathEscape(cmd.Procedure))
}
