package web

import (
	"net/http"
	"slices"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
	"soloright/scoring/clearance"
)

// SignPage shows exactly what is signed, with its digest, and asks for the password.
type SignPage struct {
	Page
	View    api.RebuildView
	Meaning clearance.Meaning
	May     bool // it is the caller's to sign now
	Message string
}

// Says is what the signature says, in a sentence.
func (p SignPage) Says() string {
	good := p.View.Rebuild.Fault == ""
	switch p.Meaning {
	case clearance.Performed:
		return "I performed this rebuild as the sheet above records it."
	case clearance.Observed:
		if good {
			return "I observed this rebuild as the sheet above records it. It counts."
		}
		return "I observed this rebuild as the sheet above records it. It does not count."
	}
	return "I have read the sheet above and approve of the rebuilds of this sitting."
}

func (f *Face) signPage(c *gin.Context) error { return f.signPageWith(c, http.StatusOK, "") }

func (f *Face) signPageWith(c *gin.Context, status int, message string) error {
	pg, v, err := f.rebuildView(c)
	if err != nil {
		return err
	}
	m := clearance.Meaning(c.Param("meaning"))
	if v.Open || m != clearance.Performed && m != clearance.Observed && m != clearance.Approved {
		return &api.Error{Kind: api.NotFound, Message: "There is nothing to sign here."}
	}
	pg.Title = "Sign: " + string(m)
	p := SignPage{Page: pg, View: v, Meaning: m, May: slices.Contains(v.Mine, m), Message: message}
	if !p.May && message == "" {
		return seeOther(c, "/rebuilds/%s", v.Rebuild.ID)
	}
	return f.render(c, status, "sign", p)
}

func (f *Face) signRebuild(c *gin.Context) error {
	id := c.Param("rebuild")
	_, err := f.app.SignRebuild(c.Request.Context(), edge.Caller(c), api.SignRebuild{Rebuild: id, Meaning: clearance.Meaning(c.Param("meaning")),
		Digest: c.PostForm("digest"), Password: c.PostForm("password")})
	switch k := api.KindOf(err); k {
	case api.Invalid, api.Conflict, api.TooMany:
		again := f.signPageWith(c, edge.Status(k), edge.Known(err).Message)
		if api.KindOf(again) == api.Unauthenticated { // the fifth wrong password ended the session
			f.failTo(c, edge.Status(k), edge.Known(err), Link{"/sign-in", "Sign in again"})
			return nil
		}
		return again
	}
	if err != nil {
		return err
	}
	return seeOther(c, "/rebuilds/%s", id)
}
