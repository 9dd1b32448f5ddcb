// Package v1 is the JSON face: the use cases as HTTP under /api/v1, described by
// an OpenAPI document, with problem documents (RFC 9457) for errors.
package v1

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"strings"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
)

// Prefix is the path under which the face lives.
const Prefix = "/api/v1"

type face struct {
	app *api.App
}

// Register adds the face's routes to the engine.
func Register(e *gin.Engine, app *api.App, log *slog.Logger) {
	f := &face{app: app}
	h := edge.Adapt(log, Fail)
	g := e.Group(Prefix)
	for _, r := range routes {
		g.Handle(r.method, r.path, h(func(c *gin.Context) error { return r.do(f, c) }))
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

// CrossOrigin answers a request that a browser sent from another site.
func CrossOrigin(w http.ResponseWriter, _ *http.Request) {
	w.Header().Set("Content-Type", "application/problem+json")
	w.WriteHeader(http.StatusForbidden)
	_ = json.NewEncoder(w).Encode(Problem{Type: Prefix + "/problems/cross-origin", Title: http.StatusText(http.StatusForbidden), Status: http.StatusForbidden,
		Detail: "This request came from a page of another site and was refused."})
}

// decode reads the body into a command: one JSON value, no unknown fields.
func decode(c *gin.Context, into any) error {
	if ct := c.ContentType(); ct != "application/json" {
		return &api.Error{Kind: api.Malformed, Message: "Send the body as application/json."}
	}
	d := json.NewDecoder(http.MaxBytesReader(c.Writer, c.Request.Body, edge.MaxBody))
	d.DisallowUnknownFields()
	err := d.Decode(into)
	if err == nil && d.Decode(&struct{}{}) != io.EOF {
		err = errors.New("more than one JSON value")
	}
	if err == nil {
		return nil
	}
	var big *http.MaxBytesError
	if errors.As(err, &big) {
		return err
	}
	var kind *json.UnmarshalTypeError
	if errors.As(err, &kind) {
		return &api.Error{Kind: api.Invalid, Message: fmt.Sprintf("%s must be a %s.", kind.Field, kind.Type), Err: err,
			Fields: []api.FieldError{{Field: kind.Field, Message: "must be a " + kind.Type.String()}}}
	}
	if name, ok := strings.CutPrefix(err.Error(), "json: unknown field "); ok {
		name = strings.Trim(name, `"`)
		return &api.Error{Kind: api.Invalid, Message: "There is no field " + name + ".", Err: err, Fields: []api.FieldError{{Field: name, Message: "is not known here"}}}
	}
	return &api.Error{Kind: api.Malformed, Message: "The body is not the JSON that is wanted here: " + err.Error() + ".", Err: err}
}

// send answers with JSON.
func send(c *gin.Context, status int, body any) error {
	c.JSON(status, body)
	return nil
}
