package edge_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"strconv"
	"strings"
	"testing"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
)

// The table of statuses, by RFC 9110, section 15, and RFC 6585 for 429.
var statuses = map[api.Kind]int{
	api.Unauthenticated: 401,
	api.Forbidden:       403,
	api.NotFound:        404,
	api.Malformed:       400,
	api.Invalid:         422,
	api.Conflict:        409,
	api.TooMany:         429,
	api.Unavailable:     503,
	edge.CrossOrigin:    403,
	edge.BadMethod:      405,
	edge.BadType:        415,
	edge.TooLarge:       413,
	edge.Internal:       500,
	"":                  500,
	"no such kind":      500,
}

func TestStatusOfEveryKind(t *testing.T) {
	for k, want := range statuses {
		if got := edge.Status(k); got != want {
			t.Errorf("%q: %d, want %d", k, got, want)
		}
	}
	for _, file := range []string{"../errors.go", "edge.go"} {
		kinds := kindsOf(t, file)
		if len(kinds) < 5 {
			t.Errorf("%s declares %d kinds: does this test still see them?", file, len(kinds))
		}
		for name, k := range kinds {
			if _, ok := statuses[k]; !ok {
				t.Errorf("%s: kind %s (%q) has no line in the table of this test", file, name, k)
			}
		}
	}
}

// kindsOf reads the constants of type Kind out of a source file, so that a kind
// that is added cannot be forgotten here.
func kindsOf(t *testing.T, file string) map[string]api.Kind {
	t.Helper()
	f, err := parser.ParseFile(token.NewFileSet(), file, nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]api.Kind{}
	ast.Inspect(f, func(n ast.Node) bool {
		spec, ok := n.(*ast.ValueSpec)
		if !ok || !strings.HasSuffix(typeName(spec.Type), "Kind") {
			return true
		}
		text, err := strconv.Unquote(spec.Values[0].(*ast.BasicLit).Value)
		if err != nil {
			t.Fatal(err)
		}
		out[spec.Names[0].Name] = api.Kind(text)
		return true
	})
	return out
}

func typeName(e ast.Expr) string {
	switch e := e.(type) {
	case *ast.Ident:
		return e.Name
	case *ast.SelectorExpr:
		return e.Sel.Name
	}
	return ""
}

func TestKnown(t *testing.T) {
	own := &api.Error{Kind: api.Conflict, Message: "no"}
	for _, c := range []struct {
		name string
		err  error
		want api.Kind
	}{
		{"an error with a kind", fmt.Errorf("do: %w", own), api.Conflict},
		{"a body past its limit", fmt.Errorf("read: %w", &http.MaxBytesError{Limit: 1024}), edge.TooLarge},
		{"given up by its client", fmt.Errorf("read: %w", context.Canceled), api.Unavailable},
		{"out of time", fmt.Errorf("read: %w", context.DeadlineExceeded), api.Unavailable},
		{"anything else", errors.New("password of the database: hunter2"), edge.Internal},
	} {
		e := edge.Known(c.err)
		if e.Kind != c.want {
			t.Errorf("%s: kind %q, want %q", c.name, e.Kind, c.want)
		}
		if strings.Contains(e.Message, "hunter2") || e.Message == "" {
			t.Errorf("%s: message %q", c.name, e.Message)
		}
	}
}

// bench is an engine with handlers that misbehave, and what it logged.
type bench struct {
	*gin.Engine
	log bytes.Buffer
}

func newBench() *bench {
	b := &bench{}
	log := slog.New(slog.NewTextHandler(&b.log, nil))
	fail := func(c *gin.Context, status int, e *api.Error) { c.String(status, "%s: %s", e.Kind, e.Message) }
	b.Engine = edge.New(edge.Options{Log: log, Fail: fail})
	h := edge.Adapt(log, fail)
	b.GET("/fine", h(func(c *gin.Context) error { c.String(200, "fine"); return nil }))
	b.POST("/read", h(func(c *gin.Context) error {
		_, err := bytes.NewBuffer(nil).ReadFrom(c.Request.Body)
		if err == nil {
			c.String(200, "read")
		}
		return err
	}))
	b.POST("/file", h(func(c *gin.Context) error {
		n, err := bytes.NewBuffer(nil).ReadFrom(edge.Upload(c))
		if err == nil {
			c.String(200, "%d", n)
		}
		return err
	}))
	b.GET("/thing/:name", h(func(c *gin.Context) error { c.String(200, "%s", c.Param("name")); return nil }))
	b.GET("/panic", func(*gin.Context) { panic("the secret of the house") })
	b.GET("/late", func(c *gin.Context) { c.String(200, "half"); panic("too late") })
	b.GET("/leave", func(*gin.Context) { panic(http.ErrAbortHandler) })
	b.GET("/defect", h(func(*gin.Context) error { return errors.New("the secret of the house") }))
	b.GET("/known", h(func(*gin.Context) error { return &api.Error{Kind: api.NotFound, Message: "There is none."} }))
	b.GET("/begun", h(func(c *gin.Context) error { c.String(200, "half"); return errors.New("in the middle") }))
	return b
}

func (b *bench) do(method, target string, body string, headers ...string) *httptest.ResponseRecorder {
	b.log.Reset()
	r := httptest.NewRequest(method, target, strings.NewReader(body))
	for i := 0; i+1 < len(headers); i += 2 {
		r.Header.Set(headers[i], headers[i+1])
	}
	w := httptest.NewRecorder()
	b.ServeHTTP(w, r)
	return w
}

func TestErrorsOfHandlers(t *testing.T) {
	b := newBench()
	for _, c := range []struct {
		path   string
		status int
		body   string // beginning
		logged string
	}{
		{"/fine", 200, "fine", ""},
		{"/known", 404, "not-found: There is none.", ""},
		{"/defect", 500, "internal: Something went wrong", "the secret of the house"},
		{"/panic", 500, "internal: Something went wrong", "the secret of the house"},
		{"/begun", 200, "half", "in the middle"},
		{"/late", 200, "half", "too late"},
		{"/nowhere", 404, "not-found: There is nothing", ""},
	} {
		w := b.do("GET", c.path, "")
		if w.Code != c.status || !strings.HasPrefix(w.Body.String(), c.body) || strings.Contains(w.Body.String(), "secret") {
			t.Errorf("%s: %d %q", c.path, w.Code, w.Body)
		}
		if log := b.log.String(); c.logged == "" && log != "" || !strings.Contains(log, c.logged) {
			t.Errorf("%s logged %q, want %q in it", c.path, log, c.logged)
		} else if id := w.Header().Get("X-Request-Id"); c.logged != "" && !strings.Contains(log, "id="+id) {
			t.Errorf("%s: the log line %q has not the id %q that the answer has", c.path, log, id)
		}
	}
}

// A handler that ends the connection on purpose is left to do so.
func TestLeavingOnPurpose(t *testing.T) {
	defer func() {
		if r := recover(); r != http.ErrAbortHandler {
			t.Errorf("recovered %v, want %v", r, http.ErrAbortHandler)
		}
	}()
	newBench().do("GET", "/leave", "")
}

func TestMethodsNotTaken(t *testing.T) {
	w := newBench().do("DELETE", "/fine", "")
	if w.Code != 405 || !strings.HasPrefix(w.Body.String(), "method-not-allowed: ") || w.Header().Get("Allow") != "GET" {
		t.Errorf("%d %q, Allow %q", w.Code, w.Body, w.Header().Get("Allow"))
	}
}

func TestLimitsOfBodies(t *testing.T) {
	b := newBench()
	for _, c := range []struct {
		path   string
		bytes  int
		status int
	}{
		{"/read", edge.MaxBody, 200}, {"/read", edge.MaxBody + 1, 413},
		{"/file", edge.MaxUpload, 200}, {"/file", edge.MaxUpload + 1, 413},
	} {
		if w := b.do("POST", c.path, strings.Repeat("x", c.bytes)); w.Code != c.status {
			t.Errorf("%s of %d bytes: %d %s", c.path, c.bytes, w.Code, w.Body)
		}
	}
}

// What no database can keep or look for is refused at the door.
func TestAddressesThatCannotBeRead(t *testing.T) {
	b := newBench()
	for target, want := range map[string]int{
		"/fine?x=%C3%A4&y=a+b": 200, "/fine?x=%00": 400, "/fine?x=%ff": 400, "/fine?x=%zz": 400, "/thing/%C3%A4": 200, "/thing/%00": 404, "/thing/a%ff": 404,
	} {
		if w := b.do("GET", target, ""); w.Code != want {
			t.Errorf("%s: %d %s, want %d", target, w.Code, w.Body, want)
		}
	}
}

// Requests that change something and come from a page of another site are
// refused; programs, which send neither header, are not.
func TestRequestsFromOtherSites(t *testing.T) {
	b := newBench()
	for _, c := range []struct {
		name, method string
		headers      []string
		want         int
	}{
		{"a program", "POST", nil, 200},
		{"a page of ours", "POST", []string{"Sec-Fetch-Site", "same-origin"}, 200},
		{"typed by hand", "POST", []string{"Sec-Fetch-Site", "none"}, 200},
		{"another site", "POST", []string{"Sec-Fetch-Site", "cross-site"}, 403},
		{"a neighbour", "POST", []string{"Sec-Fetch-Site", "same-site"}, 403},
		{"an old browser, ours", "POST", []string{"Origin", "http://example.com"}, 200}, // httptest's host
		{"an old browser, another site", "POST", []string{"Origin", "http://elsewhere.example"}, 403},
		{"a link from another site", "GET", []string{"Sec-Fetch-Site", "cross-site"}, 405}, // let through to the routes
	} {
		w := b.do(c.method, "/read", "x", c.headers...)
		if w.Code != c.want {
			t.Errorf("%s: %d %s, want %d", c.name, w.Code, w.Body, c.want)
		}
		if c.want == 403 && !strings.HasPrefix(w.Body.String(), "cross-origin: ") {
			t.Errorf("%s: %q", c.name, w.Body)
		}
	}
}

func TestHeadersOfEveryAnswer(t *testing.T) {
	b := newBench()
	ids := map[string]bool{}
	for _, path := range []string{"/fine", "/known", "/panic", "/nowhere"} {
		w := b.do("GET", path, "", "X-Request-Id", "chosen by the client")
		for name, want := range map[string]string{
			"Content-Security-Policy": edge.Policy, "X-Content-Type-Options": "nosniff", "Referrer-Policy": "same-origin",
			"Cross-Origin-Opener-Policy": "same-origin", "Cross-Origin-Resource-Policy": "same-origin", "Cache-Control": "no-store",
		} {
			if got := w.Header().Get(name); got != want {
				t.Errorf("%s: %s is %q, want %q", path, name, got, want)
			}
		}
		id := w.Header().Get("X-Request-Id")
		if len(id) != 16 || ids[id] {
			t.Errorf("%s: request id %q", path, id)
		}
		ids[id] = true
	}
	for _, bad := range []string{"unsafe-inline", "unsafe-eval", "*", "http:", "https:", "data:"} {
		if strings.Contains(edge.Policy, bad) {
			t.Errorf("the security policy allows %s", bad)
		}
	}
	if !strings.HasPrefix(edge.Policy, "default-src 'none';") {
		t.Errorf("the security policy begins %q", edge.Policy)
	}
}
