package edge

import (
	"fmt"
	"net/url"
	"strings"

	"github.com/gin-gonic/gin"
)

const publicKey = "soloright.public"

// ParsePublic reads the address under which people reach the site, as it is given
// at the start: scheme and host, "https://soloright.works.example", perhaps with
// a port. It returns it without a slash at the end.
func ParsePublic(text string) (string, error) {
	if text == "" {
		return "", nil
	}
	u, err := url.Parse(strings.TrimSuffix(text, "/"))
	if err != nil || u.Scheme != "https" && u.Scheme != "http" || u.Host == "" || u.Path != "" || u.RawQuery != "" || u.Fragment != "" || u.User != nil {
		return "", fmt.Errorf("%q is not the address of a site; write it as https://soloright.works.example, without a path", text)
	}
	return u.String(), nil
}

// public tells the handlers the address of the site.
func public(address string) gin.HandlerFunc {
	return func(c *gin.Context) { c.Set(publicKey, address) }
}

// Address is the address of the site for what is printed and followed later, as
// [ParsePublic] gives it: the one that was given at the start. Without one it is
// that of the request: what the browser names as the origin of its page, where
// that is on the host that was asked, since only the browser knows of a proxy that
// speaks HTTPS; else the host that was asked.
func Address(c *gin.Context) string {
	if given := c.GetString(publicKey); given != "" {
		return given
	}
	if u, err := url.Parse(c.Request.Header.Get("Origin")); err == nil && u.Host == c.Request.Host && (u.Scheme == "https" || u.Scheme == "http") {
		return u.Scheme + "://" + u.Host
	}
	if c.Request.TLS != nil {
		return "https://" + c.Request.Host
	}
	return "http://" + c.Request.Host
}

// LivePath is where the pages show the live standing behind a card's code.
const LivePath = "/c/"

// LiveAddress is the address that the QR code of a card leads to.
func LiveAddress(c *gin.Context, code string) string { return Address(c) + LivePath + code }

// Unlisted says that the answer is for nobody but who asked: no search engine is
// to list it, and no page that it leads to learns where it was.
func Unlisted(c *gin.Context) {
	c.Header("X-Robots-Tag", "noindex, nofollow, noarchive")
	c.Header("Referrer-Policy", "no-referrer")
}
