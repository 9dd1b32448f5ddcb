package web

import (
	"net/http"
	"net/url"

	"github.com/gin-gonic/gin"

	"soloright/api"
)

// ErrorPage is the page of a request that could not be met.
type ErrorPage struct {
	Page
	Status int
	Error  *api.Error
	Back   string
}

// Fail answers an error with a page; whoever is not signed in is sent to sign in
// and comes back afterwards.
func (f *Face) Fail(c *gin.Context, status int, e *api.Error) {
	if e.Kind == api.Unauthenticated && c.Request.Method == http.MethodGet {
		c.Redirect(http.StatusSeeOther, "/sign-in?to="+url.QueryEscape(c.Request.URL.RequestURI()))
		return
	}
	if status == http.StatusServiceUnavailable {
		c.Header("Retry-After", "5")
	}
	p := ErrorPage{Page: f.bare(c, failTitle(status)), Status: status, Error: e, Back: "/"}
	if err := f.render(c, status, "error", p); err != nil {
		f.log.Error("render the error page", "err", err)
		c.String(status, "%s", e.Message)
	}
}

func failTitle(status int) string {
	switch status {
	case http.StatusNotFound:
		return "Not here"
	case http.StatusServiceUnavailable:
		return "The record cannot be reached"
	case http.StatusForbidden:
		return "Not in your role"
	case http.StatusConflict:
		return "Not in this state"
	case http.StatusUnprocessableEntity, http.StatusBadRequest:
		return "Not readable"
	case http.StatusUnauthorized:
		return "Sign in"
	case http.StatusMethodNotAllowed:
		return "Not in this way"
	}
	return "Something went wrong"
}
