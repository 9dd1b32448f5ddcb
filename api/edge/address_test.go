package edge

import (
	"crypto/tls"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"testing"

	"github.com/gin-gonic/gin"

	"soloright/api"
)

func TestParsePublic(t *testing.T) {
	for text, want := range map[string]string{"": "", "https://soloright.works.example": "https://soloright.works.example", "https://soloright.works.example/": "https://soloright.works.example",
		"http://127.0.0.1:8080": "http://127.0.0.1:8080", "https://[::1]:8443": "https://[::1]:8443"} {
		if got, err := ParsePublic(text); err != nil || got != want {
			t.Errorf("ParsePublic(%q) = %q, %v; want %q", text, got, err, want)
		}
	}
	for _, text := range []string{"soloright.works.example", "//works.example", "ftp://works.example", "https://", "https://works.example/soloright", "https://works.example?x", "https://works.example#x",
		"https://robin@works.example", "https://works.example\n", "javascript:alert(1)"} {
		if got, err := ParsePublic(text); err == nil {
			t.Errorf("ParsePublic(%q) = %q, want an error", text, got)
		}
	}
}

func TestAddress(t *testing.T) {
	for _, c := range []struct {
		name, public, origin string
		tls                  bool
		want                 string
	}{
		{"as given", "https://soloright.works.example", "http://works.example", false, "https://soloright.works.example"},
		{"behind a proxy that speaks HTTPS", "", "https://works.example", false, "https://works.example"},
		{"on this machine", "", "http://works.example", false, "http://works.example"},
		{"no browser", "", "", false, "http://works.example"},
		{"no browser, over TLS", "", "", true, "https://works.example"},
		{"an origin elsewhere", "", "https://elsewhere.example", false, "http://works.example"},
		{"a sandboxed page", "", "null", false, "http://works.example"},
		{"a strange origin", "", "javascript://works.example", false, "http://works.example"},
	} {
		t.Run(c.name, func(t *testing.T) {
			e := New(Options{Log: slog.New(slog.NewTextHandler(io.Discard, nil)), Public: c.public, Fail: func(*gin.Context, int, *api.Error) {}})
			got := ""
			e.GET("/", func(c *gin.Context) { got = Address(c) })
			r := httptest.NewRequest(http.MethodGet, "http://works.example/", nil)
			if c.origin != "" {
				r.Header.Set("Origin", c.origin)
			}
			if c.tls {
				r.TLS = &tls.ConnectionState{}
			}
			e.ServeHTTP(httptest.NewRecorder(), r)
			if got != c.want {
				t.Errorf("got %q, want %q", got, c.want)
			}
		})
	}
}
