// Package v1 is the JSON face: the use cases as HTTP under /api/v1, described by
// an OpenAPI document, with problem documents (RFC 9457) for errors.
package v1

import (
	"log/slog"
	"net/http"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
)

// Prefix is the path under which the face lives.
const Prefix = "/api/v1"

type face struct {
	app *api.App
}

// Register adds the face's routes to the engine. What may be got may also be
// asked for without its body (HEAD; RFC 9110, 9.3.2).
func Register(e *gin.Engine, app *api.App, log *slog.Logger) {
	f := &face{app: app}
	h := edge.Adapt(log, Fail)
	g := e.Group(Prefix)
	for _, r := range routes {
		do := h(func(c *gin.Context) error { return r.do(f, c) })
		g.Handle(r.method, r.path, do)
		if r.method == http.MethodGet {
			g.Handle(http.MethodHead, r.path, do)
		}
	}
}

// Problem is a problem document, RFC 9457. Type is a relative reference to the
// kind of error; Errors names the wrong fields; State is what stood in the way.
type Problem struct {
	Type   string           `json:"type"`
	Title  string           `json:"title"`
	Status int              `json:"status"`
	Detail string           `json:"detail"`
	ID     string           `json:"request_id"`
	State  string           `json:"state,omitempty"`
	Errors []api.FieldError `json:"errors,omitempty"`
}

// Fail answers an error with a problem document.
func Fail(c *gin.Context, status int, e *api.Error) {
	if status == http.StatusServiceUnavailable {
		c.Header("Retry-After", "5")
	}
	if status == http.StatusUnauthorized {
		c.Header("WWW-Authenticate", "Bearer")
	}
	c.Header("Content-Type", "application/problem+json")
	c.JSON(status, Problem{Type: Prefix + "/problems/" + string(e.Kind), Title: http.StatusText(status), Status: status, Detail: e.Message,
		ID: edge.RequestID(c), State: e.State, Errors: e.Fields})
}

// send answers with JSON.
func send(c *gin.Context, status int, body any) error {
	c.JSON(status, body)
	return nil
}
