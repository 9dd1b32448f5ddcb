package web

import (
	"net/http"
	"strings"
	"testing"
	"testing/fstest"

	"soloright/api/edge"
)

// A file asked for with the stamp of what is served may be kept for good; without
// it, or with an old one, a browser asks again.
func TestStaticFilesAreKeptByTheirStamp(t *testing.T) {
	s := newSite(t)
	for _, c := range []struct{ path, kind, cache string }{
		{"/static/sheet.css?v=" + s.face.stamp, "text/css; charset=utf-8", "public, max-age=31536000, immutable"},
		{"/static/bench.js?v=" + s.face.stamp, "text/javascript; charset=utf-8", "public, max-age=31536000, immutable"},
		{"/static/mark.svg?v=" + s.face.stamp, "image/svg+xml", "public, max-age=31536000, immutable"},
		{"/static/sheet.css", "text/css; charset=utf-8", "no-cache"},
		{"/static/sheet.css?v=0123456789ab", "text/css; charset=utf-8", "no-cache"},
		{"/static//sheet.css?v=" + s.face.stamp, "text/css; charset=utf-8", "public, max-age=31536000, immutable"},
	} {
		get, head := s.send(http.MethodGet, c.path, "", nil), s.send(http.MethodHead, c.path, "", nil)
		if get.Code != 200 || get.Body.Len() == 0 || get.Header().Get("Content-Type") != c.kind || get.Header().Get("Cache-Control") != c.cache {
			t.Errorf("GET %s: %d, %d bytes, %v", c.path, get.Code, get.Body.Len(), get.Header())
		}
		if head.Code != 200 || head.Body.Len() != 0 || head.Header().Get("Content-Length") != get.Header().Get("Content-Length") || head.Header().Get("Cache-Control") != c.cache {
			t.Errorf("HEAD %s: %d, %d bytes, %v", c.path, head.Code, head.Body.Len(), head.Header())
		}
		if get.Header().Get("X-Content-Type-Options") != "nosniff" || get.Header().Get("Content-Security-Policy") != edge.Policy {
			t.Errorf("GET %s: %v", c.path, get.Header())
		}
	}
}

// Nothing but the files of the folder is given out.
func TestStaticPathsStayInside(t *testing.T) {
	s := newSite(t)
	for _, path := range []string{
		"/static/", "/static/nosuch.css", "/static/../web.go", "/static/../templates/sheet.tmpl", "/static/%2e%2e/templates/sheet.tmpl",
		"/static/..%2ftemplates%2fsheet.tmpl", "/static//etc/passwd", "/static/..%5c..%5cgo.mod", "/static/sheet.css/", "/static/sheet.css%00", "/static/.",
	} {
		w := s.send(http.MethodGet, path, "", nil)
		if path == "/static/sheet.css/" && w.Code == 200 {
			continue // the same file by a slash more
		}
		if w.Code != http.StatusNotFound || !strings.HasPrefix(w.Header().Get("Content-Type"), "text/html") {
			t.Errorf("GET %s: %d %.100s", path, w.Code, w.Body)
		}
	}
	if w := s.send(http.MethodPost, "/static/sheet.css", "", nil); w.Code != http.StatusMethodNotAllowed {
		t.Errorf("POST to a file: %d", w.Code)
	}
}

// The stamp changes with any file, its content or its name.
func TestStampFollowsTheFiles(t *testing.T) {
	seen := map[string]string{}
	for name, files := range map[string]fstest.MapFS{
		"one":     {"a.css": {Data: []byte("x")}},
		"content": {"a.css": {Data: []byte("y")}},
		"name":    {"b.css": {Data: []byte("x")}},
		"more":    {"a.css": {Data: []byte("x")}, "b.css": {}},
	} {
		stamp, err := stampOf(files)
		if err != nil || len(stamp) != 12 {
			t.Fatalf("%s: stamp %q, %v", name, stamp, err)
		}
		if other, ok := seen[stamp]; ok {
			t.Errorf("%s and %s have one stamp", name, other)
		}
		seen[stamp] = name
	}
}

// HEAD is answered on every page as GET is, without the page.
func TestHeadOnPages(t *testing.T) {
	s := newSite(t)
	token := s.token["trainer"]
	for _, path := range []string{"/", "/account", "/results", "/people", "/procedures/aodd-air-side", "/sign-in"} {
		if w := s.send(http.MethodHead, path, token, nil); w.Code != http.StatusOK {
			t.Errorf("HEAD %s: %d", path, w.Code)
		}
	}
}
