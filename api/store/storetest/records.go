package storetest

import (
	"errors"
	"fmt"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"soloright/api"
	"soloright/content"
)

// same fails the test where got differs from want.
func same(t testing.TB, what string, got, want any) {
	t.Helper()
	dates := cmp.Comparer(func(a, b content.Date) bool { return a.String() == b.String() })
	if diff := cmp.Diff(want, got, dates); diff != "" {
		t.Errorf("%s (-want +got):\n%s", what, diff)
	}
}

func people(t *testing.T, db Database) {
	f := fixture{t, db.Open(t)}
	ana, bo, old := person("ana"), person("bo"), person("old")
	ana.Name, bo.Name, old.Name = "Østergaard", "anders", "Zwart" // by bytes: Z before a before Ø
	old.Left = minutes(5)
	bo.Crew, bo.Password = "", ""
	for _, p := range []api.Person{ana, bo, old} {
		f.tx(func(tx api.Tx) error { return tx.AddPerson(background, p) })
	}
	f.read(func(r api.Reader) error {
		all, err := r.People(background)
		same(t, "people by the bytes of their names", all, []api.Person{old, bo, ana})
		one, err2 := r.Person(background, "old")
		same(t, "one person", one, old)
		by, err3 := r.PersonBySignIn(background, "ANA.W")
		same(t, "a person by sign-in in any case", by, ana)
		_, none := r.Person(background, "nobody")
		_, none2 := r.PersonBySignIn(background, "nobody")
		if !errors.Is(none, api.ErrNone) || !errors.Is(none2, api.ErrNone) {
			t.Errorf("nobody: got %v and %v, want ErrNone", none, none2)
		}
		return errors.Join(err, err2, err3)
	})

	changed := ana
	changed.Name, changed.Role, changed.Password, changed.Crew, changed.Left = "A", api.Trainer, "x", "day", minutes(9)
	asked := changed
	asked.SignIn, asked.Added = "other", minutes(99) // these two never change
	f.tx(func(tx api.Tx) error { return tx.SetPerson(background, asked) })
	f.read(func(r api.Reader) error {
		got, err := r.Person(background, "ana")
		same(t, "a changed person", got, changed)
		return err
	})
	back := changed
	back.Left = time.Time{}
	f.tx(func(tx api.Tx) error { return tx.SetPerson(background, back) })
	f.read(func(r api.Reader) error {
		got, err := r.Person(background, "ana")
		same(t, "a person who came back", got, back)
		return err
	})
	f.want(api.ErrNone, func(tx api.Tx) error { return tx.SetPerson(background, person("nobody")) })
}

func uniqueSignIn(t *testing.T, db Database) {
	f := with(t, db.Open(t))
	again := person("ana")
	again.ID, again.SignIn = "other", "ANA.W"
	f.want(api.ErrExists, func(tx api.Tx) error { return tx.AddPerson(background, again) })
	again = person("ana")
	again.SignIn = "another"
	f.want(api.ErrExists, func(tx api.Tx) error { return tx.AddPerson(background, again) })

	const each = 8
	for round := range rounds(20) {
		won := atOnce(each, func(i int) bool {
			p := person(fmt.Sprint("p", round, "-", i))
			p.SignIn = fmt.Sprint("taken", round)
			err := f.s.InTx(background, func(tx api.Tx) error { return tx.AddPerson(background, p) })
			if err != nil && !errors.Is(err, api.ErrExists) {
				t.Error(err)
			}
			return err == nil
		})
		if won != 1 {
			t.Fatalf("%d of %d got the same sign-in name", won, each)
		}
	}
}

func sessions(t *testing.T, db Database) {
	f := with(t, db.Open(t))
	first, second, other := session("ana", 1), session("ana", 2), session("bo", 3)
	for _, s := range []api.Session{first, second, other} {
		f.tx(func(tx api.Tx) error { return tx.AddSession(background, s) })
	}
	f.want(api.ErrExists, func(tx api.Tx) error { return tx.AddSession(background, first) })
	f.want(api.ErrNone, func(tx api.Tx) error { return tx.AddSession(background, session("nobody", 9)) })
	f.read(func(r api.Reader) error {
		s, p, err := r.SessionByHash(background, second.Hash)
		same(t, "a session", s, second)
		same(t, "its person", p, person("ana"))
		all, err2 := r.SessionsOf(background, "ana")
		same(t, "sessions, the last one begun first", all, []api.Session{second, first})
		if _, _, none := r.SessionByHash(background, []byte{1}); !errors.Is(none, api.ErrNone) {
			t.Errorf("no session: got %v, want ErrNone", none)
		}
		return errors.Join(err, err2)
	})

	seen := minutes(20)
	f.tx(func(tx api.Tx) error {
		return errors.Join(tx.TouchSession(background, second.Hash, seen), tx.TouchSession(background, second.Hash, minutes(19)), tx.TouchSession(background, []byte{1}, seen))
	})
	second.Seen = seen
	f.sessionsAre("ana", "after touching; it never goes back", second, first)
	f.tx(func(tx api.Tx) error {
		return errors.Join(tx.EndSession(background, first.Hash), tx.EndSession(background, first.Hash))
	})
	f.sessionsAre("ana", "after one ended", second)
	late := session("ana", 200) // begins after the second has expired
	f.tx(func(tx api.Tx) error { return tx.AddSession(background, late) })
	f.sessionsAre("ana", "the expired one is dropped", late)
	f.tx(func(tx api.Tx) error { return tx.EndSessions(background, "ana") })
	f.sessionsAre("ana", "after all ended")
	f.sessionsAre("bo", "somebody else's stay", other)
}

func (f fixture) sessionsAre(person, what string, want ...api.Session) {
	f.t.Helper()
	f.read(func(r api.Reader) error {
		got, err := r.SessionsOf(background, person)
		same(f.t, what, append([]api.Session(nil), got...), want)
		return err
	})
}

func revisions(t *testing.T, db Database) {
	f := fixture{t, db.Open(t)}
	f.tx(func(tx api.Tx) error { return tx.AddPerson(background, person("ana")) })
	older, newer, tie, flange := revision("pump", "1", 1), revision("pump", "2", 2), revision("pump", "3", 2), revision("flange", "a", 3)
	flange.By, flange.Blueprint = "", nil
	for _, r := range []api.Revision{newer, older, tie, flange} {
		f.tx(func(tx api.Tx) error { return tx.AddRevision(background, r) })
	}
	forged := older
	forged.Source = []byte("forged")
	f.want(api.ErrExists, func(tx api.Tx) error { return tx.AddRevision(background, forged) })
	f.read(func(r api.Reader) error {
		one, err := r.Revision(background, "pump", "1")
		same(t, "a revision", one, older)
		bare, err2 := r.Revision(background, "flange", "a")
		if len(bare.Blueprint) != 0 || bare.By != "" {
			t.Errorf("without blueprint and importer: got %q and %q", bare.Blueprint, bare.By)
		}
		current, err3 := r.CurrentRevisions(background)
		same(t, "current revisions", current, []api.Revision{untexted(flange), untexted(tie)})
		all, err4 := r.Revisions(background, "pump")
		same(t, "all revisions", all, []api.Revision{untexted(older), untexted(newer), untexted(tie)})
		if _, none := r.Revision(background, "pump", "4"); !errors.Is(none, api.ErrNone) {
			t.Errorf("no revision: got %v, want ErrNone", none)
		}
		return errors.Join(err, err2, err3, err4)
	})
}

// untexted is a revision as lists give it.
func untexted(r api.Revision) api.Revision {
	r.Source, r.Blueprint = nil, nil
	return r
}
