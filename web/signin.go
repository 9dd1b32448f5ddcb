package web

import (
	"net/http"
	"strings"
	"unicode"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
)

// SignInPage is the page to begin a session.
type SignInPage struct {
	Page
	SignIn  string
	To      string
	Message string
}

func (f *Face) signInPage(c *gin.Context) error {
	return f.render(c, http.StatusOK, "sign-in", SignInPage{Page: f.bare(c, "Sign in"), To: inside(c.Query("to"))})
}

func (f *Face) signIn(c *gin.Context) error {
	s, err := f.app.SignIn(c.Request.Context(), api.SignIn{SignIn: c.PostForm("sign_in"), Password: c.PostForm("password"), Agent: c.Request.UserAgent()})
	if k := api.KindOf(err); k == api.Unauthenticated || k == api.Invalid || k == api.TooMany {
		p := SignInPage{Page: f.bare(c, "Sign in"), SignIn: c.PostForm("sign_in"), To: inside(c.PostForm("to")), Message: edge.Known(err).Message}
		return f.render(c, edge.Status(k), "sign-in", p)
	}
	if err != nil {
		return err
	}
	edge.SetSession(c, s, f.clock())
	return seeOther(c, "%s", inside(c.PostForm("to")))
}

func (f *Face) signOut(c *gin.Context) error {
	if err := f.app.SignOut(c.Request.Context(), edge.Caller(c)); err != nil {
		return err
	}
	edge.EndSession(c)
	return seeOther(c, "/sign-in")
}

func (f *Face) signOutEverywhere(c *gin.Context) error {
	if err := f.app.SignOutEverywhere(c.Request.Context(), edge.Caller(c)); err != nil {
		return err
	}
	edge.EndSession(c)
	return seeOther(c, "/sign-in")
}

// AccountPage shows the own account and where it is signed in.
type AccountPage struct {
	Page
	Sessions []api.Session
}

func (f *Face) account(c *gin.Context) error {
	p, sessions, err := f.app.Me(c.Request.Context(), edge.Caller(c))
	if err != nil {
		return err
	}
	pg := f.bare(c, "Account")
	pg.Person, pg.Here = &p, "account"
	return f.render(c, http.StatusOK, "account", AccountPage{Page: pg, Sessions: sessions})
}

// inside is the path to go to after signing in: only one of this server's.
// Browsers take a backslash for a slash and leave control characters out, so
// "/\t/elsewhere" would be another host.
func inside(to string) string {
	odd := func(r rune) bool { return r == '\\' || unicode.IsControl(r) }
	if !strings.HasPrefix(to, "/") || strings.HasPrefix(to, "//") || strings.ContainsFunc(to, odd) {
		return "/"
	}
	return to
}
