package api_test

import (
	"strings"
	"testing"
	"time"

	"soloright/api"
)

func TestSigningIn(t *testing.T) {
	s := newSite(t)
	p := s.add("casual", api.Technician)
	nobody := s.addWithoutPassword()
	for _, c := range []struct {
		name, signIn, password string
		want                   api.Kind
	}{
		{"right", "casual", password, ""},
		{"name in other letters", "Casual", password, ""},
		{"wrong password", "casual", password + "x", api.Unauthenticated},
		{"no such name", "nosuch", password, api.Unauthenticated},
		{"an account without a password", nobody.SignIn, "", api.Invalid},
		{"an account without a password, guessed", nobody.SignIn, "anything at all", api.Unauthenticated},
		{"a NUL", "casual\x00", password, api.Invalid},
		{"a password of a megabyte", "casual", strings.Repeat("x", 1<<20), api.Invalid},
	} {
		_, err := s.SignIn(t.Context(), api.SignIn{SignIn: c.signIn, Password: c.password})
		if got := api.KindOf(err); got != c.want || c.want == "" && err != nil {
			t.Errorf("%s: %v, want kind %q", c.name, err, c.want)
		}
	}
	left := true
	if _, err := s.ChangeAccount(t.Context(), api.Operator(), api.ChangeAccount{Person: p.ID, Left: &left}); err != nil {
		t.Fatal(err)
	}
	_, err := s.SignIn(t.Context(), api.SignIn{SignIn: "casual", Password: password})
	wantKind(t, err, api.Unauthenticated)
}

func (s *site) addWithoutPassword() api.Person {
	s.t.Helper()
	p, err := s.AddAccount(s.t.Context(), api.Operator(), api.AddAccount{SignIn: "nobody", Name: "Nobody", Role: api.Technician})
	if err != nil {
		s.t.Fatal(err)
	}
	return p
}

func TestSessionsEnd(t *testing.T) {
	s := newSite(t)
	p := s.people[api.Technician]
	me := func(c api.Caller) error {
		_, _, err := s.Me(t.Context(), c)
		return err
	}
	a, b := s.as(p), s.as(p)
	if err := s.SignOut(t.Context(), a); err != nil {
		t.Fatal(err)
	}
	wantKind(t, me(a), api.Unauthenticated)
	if err := me(b); err != nil {
		t.Errorf("the other session ended too: %v", err)
	}
	role := api.Trainer
	if _, err := s.ChangeAccount(t.Context(), api.Operator(), api.ChangeAccount{Person: p.ID, Role: &role}); err != nil {
		t.Fatal(err)
	}
	wantKind(t, me(b), api.Unauthenticated)
	c := s.as(p)
	s.wait(api.SessionFor)
	wantKind(t, me(c), api.Unauthenticated)
	for _, bad := range []string{"", "x", strings.Repeat("A", 43), strings.Repeat("A", 5000)} {
		wantKind(t, me(api.Bearer(bad)), api.Unauthenticated)
	}
}

func TestLastUseIsWrittenAtMostOnceAMinute(t *testing.T) {
	s := newSite(t)
	c := s.role(api.Technician)
	sit := s.open(c, api.Practice)
	seen := func() time.Time {
		t.Helper()
		_, all, err := s.Me(t.Context(), c)
		if err != nil || len(all) != 1 {
			t.Fatalf("%d sessions, %v", len(all), err)
		}
		return all[0].Seen
	}
	begun := seen()
	use := func() {
		t.Helper()
		if _, err := s.SaveAnswer(t.Context(), c, api.SaveAnswer{Sitting: sit.ID, Sheet: 1, Revision: 1}); err != nil {
			t.Fatal(err)
		}
	}
	s.wait(59 * time.Second)
	if use(); !seen().Equal(begun) {
		t.Error("last use was written within the minute")
	}
	s.wait(2 * time.Second)
	if use(); !seen().After(begun) {
		t.Error("last use was not written after a minute")
	}
}
