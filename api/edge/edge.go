// Package edge is what both faces share of HTTP: the gin engine with its
// middleware, the session cookie, headers, limits, request ids, and the one
// table from the kind of an error to an HTTP status.
package edge

import (
	"context"
	"errors"
	"log/slog"
	"net/http"
	"runtime/debug"
	"time"

	"github.com/gin-gonic/gin"

	"soloright/api"
)

// MaxBody is the most bytes that a request's body may have, but for procedure files.
const MaxBody = 64 << 10

// MaxUpload is the most bytes of a procedure file sent to the server.
const MaxUpload = 4 << 20

// Status is the HTTP status of a kind of error; an unknown kind is 500.
func Status(k api.Kind) int {
	switch k {
	case api.Unauthenticated:
		return http.StatusUnauthorized
	case api.Forbidden:
		return http.StatusForbidden
	case api.NotFound:
		return http.StatusNotFound
	case api.Malformed:
		return http.StatusBadRequest
	case api.Invalid:
		return http.StatusUnprocessableEntity
	case api.Conflict:
		return http.StatusConflict
	case api.TooMany:
		return http.StatusTooManyRequests
	case api.Unavailable:
		return http.StatusServiceUnavailable
	}
	return http.StatusInternalServerError
}

// Fail is how a face answers an error; status is the one of the table, and the
// detail of a 500 has been logged already.
type Fail func(c *gin.Context, status int, e *api.Error)

// Handler is a handler that returns its error.
type Handler func(c *gin.Context) error

// Adapt turns handlers that return errors into gin's, with one Fail for the face.
// An error without a kind is logged whole and answered with a fixed text.
func Adapt(log *slog.Logger, fail Fail) func(Handler) gin.HandlerFunc {
	return func(h Handler) gin.HandlerFunc {
		return func(c *gin.Context) {
			err := h(c)
			if err == nil || c.Writer.Written() {
				if err != nil {
					log.Error("error after the answer was begun", "id", RequestID(c), "err", err)
				}
				return
			}
			e := Known(err)
			status := Status(e.Kind)
			if status >= 500 {
				log.Error("request failed", "id", RequestID(c), "path", c.FullPath(), "status", status, "err", err)
			}
			fail(c, status, e)
		}
	}
}

// Known returns the *api.Error in the chain, or a fixed one that tells nothing.
// A request that was given up by its client counts as Unavailable.
func Known(err error) *api.Error {
	var e *api.Error
	if errors.As(err, &e) {
		return e
	}
	var big *http.MaxBytesError
	if errors.As(err, &big) {
		return &api.Error{Kind: api.Malformed, Message: "The request is larger than this server reads."}
	}
	if errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return &api.Error{Kind: api.Unavailable, Message: "The request took too long and was given up. Nothing acknowledged is lost; try again."}
	}
	return &api.Error{Kind: "internal", Message: "Something went wrong on our side. Nothing acknowledged is lost. The log has the details under the request id."}
}

// Options are what an engine is made with.
type Options struct {
	Log     *slog.Logger
	Fail    Fail          // for panics and unknown routes outside of any face
	Timeout time.Duration // of a request; default 30 s
}

// New makes a gin engine with the middleware of both faces: request ids, the log
// line, recovery, headers, the limit of the body, the time limit.
func New(o Options) *gin.Engine {
	gin.SetMode(gin.ReleaseMode)
	e := gin.New()
	e.HandleMethodNotAllowed = true
	e.RedirectTrailingSlash = false
	if o.Timeout == 0 {
		o.Timeout = 30 * time.Second
	}
	_ = e.SetTrustedProxies(nil)
	e.Use(requestID, logLine(o.Log), recovery(o), headers, limits(o.Timeout))
	return e
}

// Protect refuses state-changing requests that a browser sends from another
// site, with the given answer.
func Protect(h http.Handler, deny http.Handler) http.Handler {
	p := http.NewCrossOriginProtection()
	p.SetDenyHandler(deny)
	return p.Handler(h)
}

func recovery(o Options) gin.HandlerFunc {
	return func(c *gin.Context) {
		defer func() {
			r := recover()
			if r == nil {
				return
			}
			o.Log.Error("panic", "id", RequestID(c), "path", c.FullPath(), "panic", r, "stack", string(debug.Stack()))
			if !c.Writer.Written() {
				o.Fail(c, http.StatusInternalServerError, Known(errors.New("panic")))
			}
			c.Abort()
		}()
		c.Next()
	}
}

func limits(timeout time.Duration) gin.HandlerFunc {
	return func(c *gin.Context) {
		c.Request.Body = http.MaxBytesReader(c.Writer, c.Request.Body, MaxUpload)
		ctx, cancel := context.WithTimeout(c.Request.Context(), timeout)
		defer cancel()
		c.Request = c.Request.WithContext(ctx)
		c.Next()
	}
}

func logLine(log *slog.Logger) gin.HandlerFunc {
	return func(c *gin.Context) {
		begun := time.Now()
		c.Next()
		if log.Enabled(c.Request.Context(), slog.LevelDebug) || c.Writer.Status() >= 500 {
			log.Debug("request", "id", RequestID(c), "method", c.Request.Method, "route", c.FullPath(), "status", c.Writer.Status(), "took", time.Since(begun))
		}
	}
}
