package edge

import (
	"context"
	"errors"
	"io"
	"log/slog"
	"net/http"
	"net/url"
	"runtime/debug"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/gin-gonic/gin"

	"soloright/api"
)

// MaxBody is the most bytes that the body of a request may have, but for files.
const MaxBody = 64 << 10

// MaxUpload is the most bytes of a procedure file sent to the server.
const MaxUpload = 4 << 20

// Options are what an engine is made with.
type Options struct {
	Log     *slog.Logger
	Fail    Fail          // what no handler of a face answers: unknown routes, panics, requests from other sites
	Timeout time.Duration // of a request; default 30 s
	Public  string        // address of the site, see [ParsePublic]; empty: that of each request
}

// New makes a gin engine with the middleware of both faces: request ids, the log
// line, recovery, headers, the time limit, and the refusal of what comes from
// another site, holds text that cannot be kept, or is too large. Addresses and
// methods that are not there go to o.Fail too.
func New(o Options) *gin.Engine {
	gin.SetMode(gin.ReleaseMode)
	e := gin.New()
	e.HandleMethodNotAllowed = true
	e.RedirectTrailingSlash = false
	if o.Timeout == 0 {
		o.Timeout = 30 * time.Second
	}
	_ = e.SetTrustedProxies(nil)
	e.Use(requestID, logLine(o.Log), recovery(o), headers, sameOrigin(o), readable(o), limits(o.Timeout), public(o.Public))
	e.NoRoute(func(c *gin.Context) {
		o.refuse(c, api.NotFound, "There is nothing at this address.")
	})
	e.NoMethod(func(c *gin.Context) {
		o.refuse(c, BadMethod, "This address does not take that method.")
	})
	return e
}

// refuse answers with an error and runs no further handler.
func (o Options) refuse(c *gin.Context, k api.Kind, message string) {
	c.Abort()
	o.Fail(c, Status(k), &api.Error{Kind: k, Message: message})
}

// recovery answers a panic like any other error without a kind. A handler that
// ends the connection on purpose does so.
func recovery(o Options) gin.HandlerFunc {
	return func(c *gin.Context) {
		defer func() {
			r := recover()
			if r == nil {
				return
			}
			if r == http.ErrAbortHandler {
				panic(r)
			}
			o.Log.Error("panic", "id", RequestID(c), "path", c.FullPath(), "panic", r, "stack", string(debug.Stack()))
			c.Abort()
			if !c.Writer.Written() {
				o.Fail(c, http.StatusInternalServerError, Known(errors.New("panic")))
			}
		}()
		c.Next()
	}
}

// sameOrigin refuses state-changing requests that a browser sends from another site.
func sameOrigin(o Options) gin.HandlerFunc {
	protection := http.NewCrossOriginProtection()
	return func(c *gin.Context) {
		if protection.Check(c.Request) != nil {
			o.refuse(c, CrossOrigin, "This request came from a page of another site and was refused.")
			return
		}
		c.Next()
	}
}

// readable refuses an address with text that no database can keep or look for:
// a NUL, or what is not UTF-8. Bodies are judged field by field where they are read.
func readable(o Options) gin.HandlerFunc {
	return func(c *gin.Context) {
		query, err := url.QueryUnescape(c.Request.URL.RawQuery)
		switch {
		case !text(c.Request.URL.Path):
			o.refuse(c, api.NotFound, "There is nothing at this address.")
		case err != nil || !text(query):
			o.refuse(c, api.Malformed, "What stands after the question mark of this address cannot be read.")
		default:
			c.Next()
		}
	}
}

func text(s string) bool { return utf8.ValidString(s) && !strings.ContainsRune(s, 0) }

const wholeBody = "soloright.body"

func limits(timeout time.Duration) gin.HandlerFunc {
	return func(c *gin.Context) {
		c.Set(wholeBody, c.Request.Body)
		ctx, cancel := context.WithTimeout(c.Request.Context(), timeout)
		defer cancel()
		c.Request = c.Request.WithContext(ctx)
		c.Request.Body = http.MaxBytesReader(c.Writer, c.Request.Body, MaxBody)
		c.Next()
	}
}

// Upload returns the body of a request that sends a file: up to MaxUpload bytes,
// past which reading fails.
func Upload(c *gin.Context) io.Reader {
	body, _ := c.Get(wholeBody)
	whole, ok := body.(io.ReadCloser)
	if !ok { // an engine without limits
		whole = c.Request.Body
	}
	return http.MaxBytesReader(c.Writer, whole, MaxUpload)
}

// logLine logs every request where the log wants to know as much. What fails is
// logged where it fails.
func logLine(log *slog.Logger) gin.HandlerFunc {
	return func(c *gin.Context) {
		begun := time.Now()
		c.Next()
		log.Debug("request", "id", RequestID(c), "method", c.Request.Method, "route", c.FullPath(), "status", c.Writer.Status(), "took", time.Since(begun))
	}
}
