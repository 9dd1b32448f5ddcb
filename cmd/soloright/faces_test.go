package main

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/gin-gonic/gin"
	"golang.org/x/net/html"

	"soloright/api"
	"soloright/api/store"
	v1 "soloright/api/v1"
	"soloright/content/library"
)

const facesPassword = "a-long-enough-one"

// faces are both faces on one store, put together as the program does it, with
// a clock that the test moves.
type faces struct {
	t       *testing.T
	env     *env
	app     *api.App
	handler http.Handler
	record  record
	log     *lockedBuffer
	mu      sync.Mutex
	at      time.Time
}

// lockedBuffer is a log that several requests may write at once.
type lockedBuffer struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (l *lockedBuffer) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.Write(p)
}

func (l *lockedBuffer) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.String()
}

// newFaces opens the database and puts a store in front of it, where wrap is given.
func newFaces(t *testing.T, c store.Config, wrap func(api.Store) api.Store) *faces {
	t.Helper()
	st, err := store.Open(t.Context(), c)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = st.Close() })
	f := &faces{t: t, record: record{t, st}, log: &lockedBuffer{}, at: time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC)}
	f.env = &env{ctx: t.Context(), out: io.Discard, err: io.Discard, clock: f.now, log: slog.New(slog.NewTextHandler(f.log, nil))}
	// What the test needs beforehand goes past the wrapping.
	plain := newApp(f.env, st)
	src, err := library.Source("aodd-air-side")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := plain.ImportProcedure(t.Context(), api.Operator(), api.Import{Name: "p", Source: src, Blueprint: library.BlueprintSource("aodd-air-side")}); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"one", "two"} {
		if _, err := plain.AddAccount(t.Context(), api.Operator(), api.AddAccount{SignIn: name, Name: "Number " + name, Role: api.Technician, Password: facesPassword}); err != nil {
			t.Fatal(err)
		}
	}
	f.app = plain
	if wrap != nil {
		f.app = newApp(f.env, wrap(st))
	}
	if f.handler, err = handler(f.app, f.env.log, f.now, ""); err != nil {
		t.Fatal(err)
	}
	return f
}

func (f *faces) now() time.Time {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.at
}

func (f *faces) wait(d time.Duration) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.at = f.at.Add(d)
}

// signIn begins a session past both faces.
func (f *faces) signIn(name string) string {
	f.t.Helper()
	for try := 0; ; try++ {
		in, err := f.app.SignIn(f.t.Context(), api.SignIn{SignIn: name, Password: facesPassword})
		if err == nil {
			return in.Token
		}
		if api.KindOf(err) != api.Unavailable || try > 50 {
			f.t.Fatal(err)
		}
	}
}

// send sends a request as the bearer of the token; a body makes it a form, or
// JSON where it begins with a brace.
func (f *faces) send(method, path, body, token string, headers ...string) *httptest.ResponseRecorder {
	f.t.Helper()
	r := httptest.NewRequest(method, path, strings.NewReader(body))
	switch {
	case strings.HasPrefix(body, "{"):
		r.Header.Set("Content-Type", "application/json")
	case body != "":
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	}
	if token != "" {
		r.AddCookie(&http.Cookie{Name: "__Host-soloright", Value: token})
	}
	for i := 0; i+1 < len(headers); i += 2 {
		r.Header.Set(headers[i], headers[i+1])
	}
	w := httptest.NewRecorder()
	f.handler.ServeHTTP(w, r)
	return w
}

// wantProblem fails unless the answer is a problem document with the status.
func wantProblem(t *testing.T, what string, w *httptest.ResponseRecorder, status int) v1.Problem {
	t.Helper()
	var p v1.Problem
	if err := json.Unmarshal(w.Body.Bytes(), &p); err != nil || w.Code != status || p.Status != status || w.Header().Get("Content-Type") != "application/problem+json" {
		t.Errorf("%s: %d %s %.200s, want the problem %d; %v", what, w.Code, w.Header().Get("Content-Type"), w.Body, status, err)
	}
	return p
}

// wantPage fails unless the answer is a page with the status; it returns its text.
func wantPage(t *testing.T, what string, w *httptest.ResponseRecorder, status int) string {
	t.Helper()
	if w.Code != status || w.Header().Get("Content-Type") != "text/html; charset=utf-8" {
		t.Errorf("%s: %d %s %.200s, want a page and %d", what, w.Code, w.Header().Get("Content-Type"), w.Body, status)
	}
	if w.Header().Get("X-Request-Id") == "" || w.Header().Get("Content-Security-Policy") == "" {
		t.Errorf("%s: headers %v", what, w.Header())
	}
	doc, err := html.Parse(bytes.NewReader(w.Body.Bytes()))
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	for n := range doc.Descendants() {
		if n.Type == html.TextNode {
			b.WriteString(n.Data + " ")
		}
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

// open opens a sitting through the HTML face and returns its id.
func (f *faces) open(token string, mode api.Mode) string {
	f.t.Helper()
	w := f.send("POST", "/sittings", url.Values{"procedure": {"aodd-air-side"}, "mode": {string(mode)}}.Encode(), token)
	id, ok := strings.CutPrefix(w.Header().Get("Location"), "/sittings/")
	if w.Code != http.StatusSeeOther || !ok {
		f.t.Fatalf("open: %d %s", w.Code, w.Body)
	}
	return id
}

// engine is the handler as gin's engine, for tests that add a route.
func (f *faces) engine() *gin.Engine { return f.handler.(*gin.Engine) }

// handed returns the answer of the first sheet in the record of a hand-in.
func (f *faces) handed(sitting string) string {
	f.t.Helper()
	var all []struct {
		Answer json.RawMessage `json:"answer"`
	}
	f.record.read(func(ctx context.Context, rd api.Reader) error {
		h, err := rd.HandIn(ctx, sitting)
		if err != nil {
			return err
		}
		return json.Unmarshal(h.Answers, &all)
	})
	if len(all) != 1 {
		f.t.Fatalf("%d answers were handed in, want 1", len(all))
	}
	return string(all[0].Answer)
}
