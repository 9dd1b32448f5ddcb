package edge

import (
	"net/http"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"soloright/api"
)

// cookieName begins with __Host-: a browser accepts it only with Secure, without
// Domain and for the path /, so no neighbour can set it. Browsers treat the
// loopback address as secure.
const cookieName = "__Host-soloright"

// SetSession gives the browser its session.
func SetSession(c *gin.Context, s api.SignedIn, now time.Time) {
	http.SetCookie(c.Writer, &http.Cookie{Name: cookieName, Value: s.Token, Path: "/", Secure: true, HttpOnly: true,
		SameSite: http.SameSiteLaxMode, MaxAge: int(s.Expires.Sub(now).Seconds())})
}

// EndSession takes the session from the browser.
func EndSession(c *gin.Context) {
	http.SetCookie(c.Writer, &http.Cookie{Name: cookieName, Path: "/", Secure: true, HttpOnly: true, SameSite: http.SameSiteLaxMode, MaxAge: -1})
}

// Caller is whoever sent the request: by the Authorization header where there is
// one, else by the cookie. It is never the operator.
func Caller(c *gin.Context) api.Caller {
	if h := c.GetHeader("Authorization"); h != "" {
		scheme, token, _ := strings.Cut(h, " ")
		if strings.EqualFold(scheme, "Bearer") {
			return api.Bearer(strings.TrimSpace(token))
		}
		return api.Bearer("")
	}
	token, err := c.Cookie(cookieName)
	if err != nil {
		return api.Bearer("")
	}
	return api.Bearer(token)
}
