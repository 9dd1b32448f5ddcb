package api_test

import (
	"strings"
	"sync"
	"testing"
	"time"

	"soloright/api"
	"soloright/scoring/ledger"
)

// refusals are the refused passwords in the database.
func (s *site) refusals() (n int) {
	s.t.Helper()
	s.do(s.store.Read(s.t.Context(), func(r api.Reader) error {
		all, err := r.EveryRefusedPassword(s.t.Context(), "", 1000)
		n = len(all)
		return err
	}))
	return n
}

func (s *site) again(c api.Caller, password string) error {
	return api.Again(s.t.Context(), s.App, c, password, "rebuild r1")
}

// A wrong password is refused and on the record, with an entry; the fifth within
// an hour ends the session, and until the hour is over the right one helps nobody.
// (How many, and how long: our own choice, no source.)
func TestAWrongPasswordIsCounted(t *testing.T) {
	s := newSite(t)
	c := s.role(api.Technician)
	s.do(s.again(c, password))
	before := len(s.entries())
	for i := range 4 {
		e := wantKind(t, s.again(c, password+"x"), api.Invalid)
		if len(e.Fields) != 1 || e.Fields[0].Field != "password" || !strings.Contains(e.Message, "Nothing was signed") {
			t.Errorf("refused with %q %v", e.Message, e.Fields)
		}
		if s.refusals() != i+1 || len(s.entries()) != before+i+1 {
			t.Errorf("after %d wrong ones: %d rows, %d entries", i+1, s.refusals(), len(s.entries())-before)
		}
		s.wait(time.Minute)
	}
	last := s.entries()[len(s.entries())-1]
	if last.Kind != ledger.PasswordRefused || last.ID != s.people[api.Technician].ID {
		t.Errorf("the entry is %+v", last)
	}
	s.do(s.again(c, password)) // four are not too many
	wantKind(t, s.again(c, "yet-another-one"), api.Invalid)
	wantKind(t, s.again(c, password), api.Unauthenticated)
	c = s.role(api.Technician)
	e := wantKind(t, s.again(c, password), api.TooMany)
	if !strings.Contains(e.Message, "until 09:00:00") {
		t.Errorf("refused with %q", e.Message)
	}
	s.do(s.again(s.role(api.Trainer), password)) // nobody else is held up
	s.wait(55*time.Minute + 59*time.Second)
	wantKind(t, s.again(c, password), api.TooMany)
	s.wait(time.Second)
	s.do(s.again(c, password))
	s.sound()
}

// Guesses sent all at once are counted one after the other.
func TestGuessesAtOnceAreCounted(t *testing.T) {
	s := newSite(t)
	cs := make([]api.Caller, 12)
	for i := range cs {
		cs[i] = s.role(api.Technician)
	}
	var all sync.WaitGroup
	for _, c := range cs {
		all.Go(func() { _ = s.again(c, "a-guess-in-the-dark") })
	}
	all.Wait()
	if n := s.refusals(); n != 5 {
		t.Errorf("%d guesses were tried; five are allowed", n)
	}
}

func TestOnlyAPersonSigns(t *testing.T) {
	s := newSite(t)
	wantKind(t, s.again(api.Operator(), password), api.Forbidden)
	wantKind(t, s.again(api.Bearer("x"), password), api.Unauthenticated)
	if s.refusals() != 0 {
		t.Error("somebody unknown was counted")
	}
}
