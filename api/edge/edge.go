// Package edge is what both faces share of HTTP: the gin engine with its
// middleware, the session cookie, headers, limits, request ids, and the one
// table from the kind of an error to an HTTP status.
package edge

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net/http"

	"github.com/gin-gonic/gin"

	"soloright/api"
)

// Kinds of error that only HTTP knows.
const (
	Internal    api.Kind = "internal"           // a defect of ours; the log has the details
	CrossOrigin api.Kind = "cross-origin"       // a browser sent it from a page of another site
	BadMethod   api.Kind = "method-not-allowed" // the address takes other methods
	BadType     api.Kind = "media-type"         // the body is in a form that is not taken
	TooLarge    api.Kind = "too-large"          // the body is larger than is read
)

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
	case CrossOrigin:
		return http.StatusForbidden
	case BadMethod:
		return http.StatusMethodNotAllowed
	case BadType:
		return http.StatusUnsupportedMediaType
	case TooLarge:
		return http.StatusRequestEntityTooLarge
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
		return &api.Error{Kind: TooLarge, Message: fmt.Sprintf("The request is larger than the %d KiB that are read here.", big.Limit>>10)}
	}
	if errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return &api.Error{Kind: api.Unavailable, Message: "The request took too long and was given up. Nothing acknowledged is lost; try again."}
	}
	return &api.Error{Kind: Internal, Message: "Something went wrong on our side. Nothing acknowledged is lost. The log has the details under the request id."}
}
