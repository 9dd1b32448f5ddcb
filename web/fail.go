package web

import (
	"net/http"
	"net/url"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
)

// ErrorPage is the page of a request that could not be met.
type ErrorPage struct {
	Page
	Status int
	Error  *api.Error
	Back   Link
	Again  bool // the very same request may be sent again by itself
}

// Link is where one may go on.
type Link struct{ To, Text string }

var toBench = Link{"/", "To the bench"}

// Fail answers an error with a page; whoever is not signed in is sent to sign in
// and comes back afterwards.
func (f *Face) Fail(c *gin.Context, status int, e *api.Error) {
	if e.Kind == api.Unauthenticated && reading(c) {
		c.Redirect(http.StatusSeeOther, "/sign-in?to="+url.QueryEscape(c.Request.URL.RequestURI()))
		return
	}
	f.failTo(c, status, e, toBench)
}

// failTo answers an error with a page that leads on to a place of its own.
func (f *Face) failTo(c *gin.Context, status int, e *api.Error, back Link) {
	if status == http.StatusServiceUnavailable {
		c.Header("Retry-After", "5")
	}
	p := ErrorPage{Page: f.bare(c, failTitle(e.Kind)), Status: status, Error: e, Back: back, Again: status == http.StatusServiceUnavailable && reading(c)}
	if err := f.render(c, status, "error", p); err != nil {
		f.log.Error("render the error page", "err", err)
		c.String(status, "%s", e.Message)
	}
}

// reading reports whether the request only reads.
func reading(c *gin.Context) bool {
	return c.Request.Method == http.MethodGet || c.Request.Method == http.MethodHead
}

func failTitle(k api.Kind) string {
	switch k {
	case api.Unauthenticated:
		return "Sign in"
	case api.Forbidden:
		return "Not in your role"
	case api.NotFound:
		return "Not here"
	case api.Malformed, api.Invalid, edge.BadType:
		return "Not readable"
	case api.Conflict:
		return "Not in this state"
	case api.TooMany:
		return "Too many at once"
	case api.Unavailable:
		return "The record cannot be reached"
	case edge.CrossOrigin:
		return "Not from another site"
	case edge.BadMethod:
		return "Not in this way"
	case edge.TooLarge:
		return "Too large"
	}
	return "Something went wrong"
}
