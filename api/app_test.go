package api_test

import (
	"context"
	"crypto/rand"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"soloright/api"
	"soloright/api/store"
	"soloright/content/library"
	"soloright/quiz"
	"soloright/quiz/itemmodel"
)

// site is an application on an embedded database of its own, with the library
// imported, a clock that the test moves, and one person of each role.
type site struct {
	*api.App
	t      *testing.T
	folder string
	url    string // of PostgreSQL; else empty
	store  *store.Store
	mu     sync.Mutex
	at     time.Time
	people map[api.Role]api.Person
}

const password = "a-long-enough-one"

func newSite(t *testing.T) *site { return newSiteAt(t, t.TempDir(), "") }

// newSiteAt is newSite in a folder, or on a PostgreSQL where there is a URL.
func newSiteAt(t *testing.T, folder, url string) *site {
	t.Helper()
	s := &site{t: t, folder: folder, url: url, at: time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC), people: map[api.Role]api.Person{}}
	st, err := store.Open(t.Context(), store.Config{Folder: s.folder, URL: url, Careless: true})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := st.Close(); err != nil {
			t.Error(err)
		}
	})
	s.store = st
	s.App = s.on(st)
	if err := s.BeginLedger(t.Context()); err != nil {
		t.Fatal(err)
	}
	s.importLibrary()
	for _, r := range api.Roles {
		s.people[r] = s.add("the-"+string(r[:4]), r)
	}
	return s
}

// on makes an application with the site's clock on another store.
func (s *site) on(st api.Store) *api.App {
	return api.New(api.Config{Store: st, Models: itemmodel.All(), Clock: s.now, Entropy: rand.Reader, Log: slog.New(slog.DiscardHandler), Signer: signer(s.t, 1), Passwords: plainly{}})
}

// plainly keeps passwords as they are behind a number, as a salt would, for tests that are about something else: a
// hundred sites of four people each would hash for minutes under the race detector.
// What keeps them in truth has tests of its own.
type plainly struct{}

var salt atomic.Int64

func (plainly) Hash(_ context.Context, password string) (string, error) {
	return fmt.Sprint(salt.Add(1), "$", password), nil
}

func (plainly) Verify(_ context.Context, kept, password string) (bool, error) {
	_, was, known := strings.Cut(kept, "$")
	return known && was == password, nil
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

func (s *site) importLibrary() {
	s.t.Helper()
	procs, err := library.Procedures()
	if err != nil {
		s.t.Fatal(err)
	}
	for _, p := range procs {
		src, err := library.Source(p.ID)
		if err != nil {
			s.t.Fatal(err)
		}
		if _, err := s.ImportProcedure(s.t.Context(), api.Operator(), api.Import{Name: p.ID, Source: src, Blueprint: library.BlueprintSource(p.ID)}); err != nil {
			s.t.Fatal(err)
		}
	}
}

func (s *site) add(signIn string, r api.Role) api.Person {
	s.t.Helper()
	p, err := s.AddAccount(s.t.Context(), api.Operator(), api.AddAccount{SignIn: signIn, Name: "Somebody called " + signIn, Role: r, Password: password})
	if err != nil {
		s.t.Fatal(err)
	}
	return p
}

// as signs somebody in.
func (s *site) as(p api.Person) api.Caller {
	s.t.Helper()
	in, err := s.SignIn(s.t.Context(), api.SignIn{SignIn: p.SignIn, Password: password})
	if err != nil {
		s.t.Fatal(err)
	}
	return api.Bearer(in.Token)
}

func (s *site) role(r api.Role) api.Caller { return s.as(s.people[r]) }

func (s *site) open(c api.Caller, m api.Mode) api.Sitting {
	s.t.Helper()
	out, err := s.OpenSitting(s.t.Context(), c, api.OpenSitting{Procedure: "aodd-air-side", Mode: m})
	if err != nil {
		s.t.Fatal(err)
	}
	return out
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

// answer keeps an answer for each sheet: what choose returns, nothing where it
// returns a blank.
func (s *site) answer(c api.Caller, id string, choose func(n int, it quiz.Item) quiz.Answer) {
	s.t.Helper()
	for i, it := range s.form(id).Items {
		a := choose(i+1, it)
		if a.Blank() {
			continue
		}
		if _, err := s.SaveAnswer(s.t.Context(), c, api.SaveAnswer{Sitting: id, Sheet: i + 1, Revision: 1, Answer: a}); err != nil {
			s.t.Fatalf("sheet %d (%s): %v", i+1, it.Model, err)
		}
	}
}

func (s *site) right(_ int, it quiz.Item) quiz.Answer {
	s.t.Helper()
	a, err := quiz.RightAnswer(it)
	if err != nil {
		s.t.Fatalf("right answer of %s: %v", it.Model, err)
	}
	return a
}

func (s *site) hand(c api.Caller, id string) api.Result {
	s.t.Helper()
	if _, err := s.HandIn(s.t.Context(), c, id); err != nil {
		s.t.Fatal(err)
	}
	r, err := s.Result(s.t.Context(), c, id)
	if err != nil {
		s.t.Fatal(err)
	}
	return r
}

// person returns the id of whoever the caller is.
func (s *site) person(c api.Caller) string {
	s.t.Helper()
	p, _, err := s.Me(s.t.Context(), c)
	if err != nil {
		s.t.Fatal(err)
	}
	return p.ID
}

// wantKind fails unless the error is of the kind.
func wantKind(t *testing.T, err error, k api.Kind) *api.Error {
	t.Helper()
	var e *api.Error
	if !errors.As(err, &e) || e.Kind != k {
		t.Fatalf("error %v, want kind %s", err, k)
	}
	return e
}

// kept returns the answers that are kept of an open sitting.
func (s *site) kept(ctx context.Context, id string) map[int]string {
	s.t.Helper()
	out := map[int]string{}
	err := s.store.Read(ctx, func(r api.Reader) error {
		all, err := r.Answers(ctx, id)
		for _, k := range all {
			out[k.Sheet] = string(k.Answer)
		}
		return err
	})
	if err != nil {
		s.t.Fatal(err)
	}
	return out
}
