package edge

import (
	"crypto/rand"
	"encoding/hex"

	"github.com/gin-gonic/gin"
)

// Policy is the content security policy of every page: everything from this
// server, nothing inline, nothing framed.
const Policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'; manifest-src 'self'"

func headers(c *gin.Context) {
	h := c.Writer.Header()
	h.Set("Content-Security-Policy", Policy)
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Referrer-Policy", "same-origin")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Permissions-Policy", "camera=(), microphone=(), geolocation=()")
	h.Set("Cache-Control", "no-store") // static files set their own
	c.Next()
}

const requestKey = "soloright.request"

// requestID gives each request an id of its own; what a client claims is not used.
func requestID(c *gin.Context) {
	var b [8]byte
	_, _ = rand.Read(b[:]) // never fails, see crypto/rand
	id := hex.EncodeToString(b[:])
	c.Set(requestKey, id)
	c.Writer.Header().Set("X-Request-Id", id)
	c.Next()
}

// RequestID returns the id of the request: it stands in the log and in the answer.
func RequestID(c *gin.Context) string { return c.GetString(requestKey) }
