package web

import (
	"bytes"
	"crypto/rand"
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
	"soloright/api/edge"
	"soloright/api/store"
	"soloright/content/library"
	"soloright/quiz"
	"soloright/quiz/itemmodel"
	"soloright/scoring/ledger"
)

const password = "a-long-enough-one"

// site is the HTML face on an embedded database of its own, with the library
// and one person of each role.
type site struct {
	t      *testing.T
	app    *api.App
	store  *store.Store
	folder string
	face   *Face
	engine *gin.Engine
	signer *ledger.Signer
	mu     sync.Mutex
	at     time.Time
	token  map[api.Role]string
	person map[api.Role]api.Person
}

func newSite(t *testing.T) *site {
	t.Helper()
	folder := t.TempDir()
	st, err := store.Open(t.Context(), store.Config{Folder: folder, Careless: true})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = st.Close() })
	s := &site{t: t, folder: folder, store: st, at: time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC), token: map[api.Role]string{}, person: map[api.Role]api.Person{}}
	log := slog.New(slog.NewTextHandler(io.Discard, nil))
	key, _, err := ledger.NewKey(rand.Reader, "test.example/ledger")
	if err != nil {
		t.Fatal(err)
	}
	signer, err := ledger.NewSigner(key)
	if err != nil {
		t.Fatal(err)
	}
	s.signer = signer
	s.app = api.New(api.Config{Store: st, Models: itemmodel.All(), Clock: s.now, Entropy: rand.Reader, Log: log, Signer: signer})
	if err := s.app.BeginLedger(t.Context()); err != nil {
		t.Fatal(err)
	}
	if s.face, err = New(Options{App: s.app, Log: log, Clock: s.now}); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(s.app.EndChecks)
	s.engine = edge.New(edge.Options{Log: log, Fail: s.face.Fail})
	s.face.Register(s.engine)
	procs, err := library.Procedures()
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range procs {
		src, err := library.Source(p.ID)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := s.app.ImportProcedure(t.Context(), api.Operator(), api.Import{Name: p.ID, Source: src, Blueprint: library.BlueprintSource(p.ID)}); err != nil {
			t.Fatal(err)
		}
	}
	for _, r := range api.Roles {
		s.person[r], s.token[r] = s.add("the-"+string(r[:4]), r)
	}
	return s
}

// add adds a person and signs the person in.
func (s *site) add(name string, r api.Role) (api.Person, string) {
	s.t.Helper()
	p, err := s.app.AddAccount(s.t.Context(), api.Operator(), api.AddAccount{SignIn: name, Name: "Somebody <b>called</b> " + name, Role: r, Crew: "day", Password: password})
	if err != nil {
		s.t.Fatal(err)
	}
	in, err := s.app.SignIn(s.t.Context(), api.SignIn{SignIn: name, Password: password, Agent: "a <tablet>"})
	if err != nil {
		s.t.Fatal(err)
	}
	return p, in.Token
}

func (s *site) now() time.Time {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.at
}

func (s *site) wait(d time.Duration) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.at = s.at.Add(d)
}

func (s *site) send(method, path, token string, form url.Values) *httptest.ResponseRecorder {
	s.t.Helper()
	r := httptest.NewRequest(method, path, strings.NewReader(form.Encode()))
	if method == http.MethodPost {
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	}
	if token != "" {
		r.AddCookie(&http.Cookie{Name: "__Host-soloright", Value: token})
	}
	w := httptest.NewRecorder()
	s.engine.ServeHTTP(w, r)
	return w
}

// post posts a form and returns where it leads.
func (s *site) post(path, token string, form url.Values) string {
	s.t.Helper()
	w := s.send(http.MethodPost, path, token, form)
	if w.Code != http.StatusSeeOther {
		s.t.Fatalf("POST %s: %d %s", path, w.Code, textOf(parse(s.t, w.Body.Bytes())))
	}
	return w.Header().Get("Location")
}

// open opens a sitting by its form and returns its id.
func (s *site) open(token, procedure string, mode api.Mode) string {
	s.t.Helper()
	form := url.Values{"procedure": {procedure}, "mode": {string(mode)}}
	if procedure == "flanged-joint" {
		p, err := library.Procedure(procedure)
		if err != nil {
			s.t.Fatal(err)
		}
		form.Set("build", p.Builds[1].ID)
	}
	return strings.TrimPrefix(s.post("/sittings", token, form), "/sittings/")
}

// form reads a form with its keys, past every use case.
func (s *site) form(id string) quiz.Form {
	s.t.Helper()
	var f quiz.Form
	err := s.store.Read(s.t.Context(), func(r api.Reader) error {
		raw, err := r.Form(s.t.Context(), id)
		if err != nil {
			return err
		}
		return json.Unmarshal(raw, &f)
	})
	if err != nil {
		s.t.Fatal(err)
	}
	return f
}

// answer keeps right answers for the sheets that choose accepts.
func (s *site) answer(token, id string, choose func(n int, it quiz.Item) bool) {
	s.t.Helper()
	for i, it := range s.form(id).Items {
		if !choose(i+1, it) {
			continue
		}
		a, err := quiz.RightAnswer(it)
		if err != nil {
			s.t.Fatal(err)
		}
		if _, err := s.app.SaveAnswer(s.t.Context(), api.Bearer(token), api.SaveAnswer{Sitting: id, Sheet: i + 1, Revision: 1, Answer: a}); err != nil {
			s.t.Fatal(err)
		}
	}
}

func parse(t *testing.T, body []byte) *html.Node {
	t.Helper()
	doc, err := html.Parse(bytes.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	return doc
}

// textOf is the text of a node with single spaces.
func textOf(n *html.Node) string {
	var b strings.Builder
	if n.Type == html.TextNode {
		b.WriteString(n.Data)
	}
	for d := range n.Descendants() {
		if d.Type == html.TextNode {
			b.WriteString(d.Data + " ")
		}
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

func attr(n *html.Node, name string) (string, bool) {
	for _, a := range n.Attr {
		if a.Key == name {
			return a.Val, true
		}
	}
	return "", false
}

// elements returns the elements of the given names, in order; all where none is given.
func elements(n *html.Node, names ...string) []*html.Node {
	var out []*html.Node
	for d := range n.Descendants() {
		if d.Type != html.ElementNode {
			continue
		}
		if len(names) == 0 {
			out = append(out, d)
		}
		for _, name := range names {
			if d.Data == name {
				out = append(out, d)
			}
		}
	}
	return out
}
