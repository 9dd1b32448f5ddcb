package v1

import (
	"context"
	"crypto/rand"
	"encoding/json"
	"errors"
	"log/slog"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
	"soloright/api/store"
	"soloright/content/library"
	"soloright/quiz"
	"soloright/quiz/itemmodel"
)

const password = "a-long-enough-one"

// site is the JSON face on a database of its own, with two procedures, one
// person of each role, and a clock that the test moves.
type site struct {
	t      *testing.T
	app    *api.App
	store  *store.Store
	engine *gin.Engine
	traffic
	mu      sync.Mutex
	at      time.Time
	trouble error // what the store fails with; nil: it works
	token   map[api.Role]string
	person  map[api.Role]Person
}

func newSite(t *testing.T, c store.Config) *site {
	t.Helper()
	c.Careless = true
	st, err := store.Open(t.Context(), c)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := st.Close(); err != nil {
			t.Error(err)
		}
	})
	s := &site{t: t, store: st, at: time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC), token: map[api.Role]string{}, person: map[api.Role]Person{}}
	s.app = api.New(api.Config{Store: troubled{st, s}, Models: itemmodel.All(), Clock: s.now, Entropy: rand.Reader, Signer: newSigner(t)})
	s.engine = edge.New(edge.Options{Log: slog.New(slog.DiscardHandler), Fail: Fail})
	Register(s.engine, s.app, slog.New(slog.DiscardHandler))
	s.traffic = newTraffic(t)
	t.Cleanup(s.app.EndChecks)
	s.begin()
	for _, id := range []string{"aodd-air-side", "energy-isolation"} {
		s.importProcedure(api.Import{Name: id, Source: source(t, id), Blueprint: library.BlueprintSource(id)})
	}
	for _, r := range api.Roles {
		s.person[r] = s.add("the-"+string(r[:4]), r)
		s.token[r] = s.signIn("the-" + string(r[:4]))
	}
	return s
}

func source(t *testing.T, id string) []byte {
	t.Helper()
	src, err := library.Source(id)
	if err != nil {
		t.Fatal(err)
	}
	return src
}

// another is a procedure of the library as another revision.
func another(t *testing.T, id, revision string) string {
	t.Helper()
	before, rest, ok := strings.Cut(string(source(t, id)), "\nrevision: ")
	_, after, ok2 := strings.Cut(rest, "\n")
	if !ok || !ok2 {
		t.Fatalf("%s has no line with its revision", id)
	}
	return before + "\nrevision: " + revision + "\n" + after
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

func (s *site) importProcedure(cmd api.Import) {
	s.t.Helper()
	if _, err := s.app.ImportProcedure(s.t.Context(), api.Operator(), cmd); err != nil {
		s.t.Fatal(err)
	}
}

func (s *site) add(signIn string, r api.Role) Person {
	s.t.Helper()
	p, err := s.app.AddAccount(s.t.Context(), api.Operator(), api.AddAccount{SignIn: signIn, Name: "Somebody called " + signIn, Role: r, Password: password})
	if err != nil {
		s.t.Fatal(err)
	}
	return personOf(p)
}

// troubled is a store in front of the site's own that fails when it is told to.
type troubled struct {
	api.Store
	s *site
}

func (t troubled) InTx(ctx context.Context, f func(api.Tx) error) error {
	if t.s.trouble != nil {
		return t.s.trouble
	}
	return t.Store.InTx(ctx, f)
}

func (t troubled) Read(ctx context.Context, f func(api.Reader) error) error {
	if t.s.trouble != nil {
		return t.s.trouble
	}
	return t.Store.Read(ctx, f)
}

// form reads a form with its keys, past every use case.
func (s *site) form(sitting string) quiz.Form {
	s.t.Helper()
	var f quiz.Form
	err := s.store.Read(s.t.Context(), func(r api.Reader) error {
		raw, err := r.Form(s.t.Context(), sitting)
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

// kept reads the answers of an open sitting by sheet; of one that is handed in,
// all of them under 0.
func (s *site) kept(sitting string) map[int]string {
	s.t.Helper()
	out := map[int]string{}
	err := s.store.Read(s.t.Context(), func(r api.Reader) error {
		all, err := r.Answers(s.t.Context(), sitting)
		for _, k := range all {
			out[k.Sheet] = string(k.Answer)
		}
		if err != nil || len(all) > 0 {
			return err
		}
		h, err := r.HandIn(s.t.Context(), sitting)
		if errors.Is(err, api.ErrNone) {
			return nil
		}
		out[0] = string(h.Answers)
		return err
	})
	if err != nil {
		s.t.Fatal(err)
	}
	return out
}

func (s *site) right(it quiz.Item) quiz.Answer {
	s.t.Helper()
	a, err := quiz.RightAnswer(it)
	if err != nil {
		s.t.Fatalf("right answer of %s: %v", it.Model, err)
	}
	return a
}
