package v1

import (
	"bytes"
	"encoding/json"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/getkin/kin-openapi/openapi3filter"
	"github.com/getkin/kin-openapi/routers"
	"github.com/getkin/kin-openapi/routers/gorillamux"

	"soloright/api"
)

// traffic holds every request and answer against the document, and remembers
// which statuses each operation answered with.
type traffic struct {
	doc    *openapi3.T
	router routers.Router
	seen   map[string]map[int]int // operation, status: how often
}

func newTraffic(t *testing.T) traffic {
	t.Helper()
	doc, err := openapi3.NewLoader().LoadFromData(document)
	if err != nil {
		t.Fatal(err)
	}
	router, err := gorillamux.NewRouter(doc)
	if err != nil {
		t.Fatal(err)
	}
	return traffic{doc: doc, router: router, seen: map[string]map[int]int{}}
}

// call is one request. A body that is a string is sent as it is, any other as JSON.
type call struct {
	method, path string // the path below the prefix
	body         any
	as           string            // a session token; "": nobody
	headers      map[string]string // over what is sent anyway
	bad          bool              // the request may break the document
}

// answer is what came back.
type answer struct {
	t      *testing.T
	what   string
	status int
	header http.Header
	body   []byte
}

func (c call) request(t *testing.T) *http.Request {
	t.Helper()
	var body io.Reader
	switch b := c.body.(type) {
	case nil:
	case string:
		body = strings.NewReader(b)
	default:
		raw, err := json.Marshal(b)
		if err != nil {
			t.Fatal(err)
		}
		body = bytes.NewReader(raw)
	}
	r := httptest.NewRequest(c.method, Prefix+c.path, body)
	if body != nil {
		r.Header.Set("Content-Type", "application/json")
	}
	if c.as != "" {
		r.Header.Set("Authorization", "Bearer "+c.as)
	}
	for k, v := range c.headers {
		r.Header.Set(k, v)
	}
	return r
}

// do sends a request, holds it and the answer against the document, and fails
// unless the answer has the wanted status.
func (s *site) do(c call, want int) answer {
	s.t.Helper()
	r := c.request(s.t)
	route, params, err := s.router.FindRoute(r)
	if err != nil {
		s.t.Fatalf("%s %s is not in the document: %v", c.method, c.path, err)
	}
	in := &openapi3filter.RequestValidationInput{Request: r, PathParams: params, Route: route,
		Options: &openapi3filter.Options{AuthenticationFunc: openapi3filter.NoopAuthenticationFunc, RejectWhenRequestBodyNotSpecified: true, IncludeResponseStatus: true}}
	if err := openapi3filter.ValidateRequest(s.t.Context(), in); err != nil && !c.bad {
		s.t.Errorf("%s %s: the document refuses the request: %v", c.method, c.path, err)
	}
	w := httptest.NewRecorder()
	s.engine.ServeHTTP(w, c.request(s.t))
	a := answer{s.t, c.method + " " + c.path, w.Code, w.Header(), w.Body.Bytes()}
	if s.seen[route.Operation.OperationID] == nil {
		s.seen[route.Operation.OperationID] = map[int]int{}
	}
	s.seen[route.Operation.OperationID][w.Code]++
	out := &openapi3filter.ResponseValidationInput{RequestValidationInput: in, Status: w.Code, Header: w.Header(), Options: in.Options}
	out.SetBodyBytes(a.body)
	if err := openapi3filter.ValidateResponse(s.t.Context(), out); err != nil {
		s.t.Errorf("%s: the document refuses the answer %d: %v", a.what, w.Code, err)
	}
	if w.Code != want {
		s.t.Fatalf("%s: %d %s, want %d", a.what, w.Code, a.body, want)
	}
	if w.Code >= 400 {
		a.problem()
	}
	return a
}

// into decodes the body strictly.
func (a answer) into(v any) {
	a.t.Helper()
	d := json.NewDecoder(bytes.NewReader(a.body))
	d.DisallowUnknownFields()
	if err := d.Decode(v); err != nil {
		a.t.Fatalf("%s: %v in %.200s", a.what, err, a.body)
	}
}

// problem checks that the body is a problem document (RFC 9457, section 3) and
// returns it.
func (a answer) problem() Problem {
	a.t.Helper()
	var p Problem
	a.into(&p)
	if ct := a.header.Get("Content-Type"); ct != "application/problem+json" {
		a.t.Errorf("%s: a problem comes as %q", a.what, ct)
	}
	if p.Status != a.status || p.Title != http.StatusText(a.status) || p.Detail == "" || !strings.HasPrefix(p.Type, Prefix+"/problems/") {
		a.t.Errorf("%s: %d with the problem %+v", a.what, a.status, p)
	}
	if p.ID == "" || p.ID != a.header.Get("X-Request-Id") {
		a.t.Errorf("%s: request id %q in the body, %q in the header", a.what, p.ID, a.header.Get("X-Request-Id"))
	}
	for status, header := range map[int]string{http.StatusServiceUnavailable: "Retry-After", http.StatusUnauthorized: "WWW-Authenticate", http.StatusMethodNotAllowed: "Allow"} {
		if got := a.header.Get(header); (got != "") != (a.status == status) {
			a.t.Errorf("%s: %d with %s %q", a.what, a.status, header, got)
		}
	}
	return p
}

// signIn signs in through the face and returns the token.
func (s *site) signIn(name string) string {
	s.t.Helper()
	var in Session
	s.do(call{method: "POST", path: "/session", body: api.SignIn{SignIn: name, Password: password}}, 201).into(&in)
	if in.Token == "" || in.Person.SignIn != name || !in.Expires.Equal(s.now().Add(api.SessionFor)) {
		s.t.Errorf("signed in: %+v", in)
	}
	return in.Token
}
