package api_test

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"

	"soloright/api"
	"soloright/api/testenv"
	"soloright/scoring/ledger"
)

// signer is the nth key of the site's ledger, always the same.
func signer(t testing.TB, n byte) *ledger.Signer {
	t.Helper()
	key, _, err := ledger.NewKey(bytes.NewReader(bytes.Repeat([]byte{n}, 32)), "site.example/ledger")
	if err != nil {
		t.Fatal(err)
	}
	s, err := ledger.NewSigner(key)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// entries returns the ledger.
func (s *site) entries() []ledger.Entry {
	s.t.Helper()
	var all []ledger.Entry
	err := s.store.Read(s.t.Context(), func(r api.Reader) error {
		rows, err := r.LedgerRows(s.t.Context(), 0, 10000)
		for _, row := range rows {
			e, parse := ledger.Parse(row.Text)
			all, err = append(all, e), errors.Join(err, parse)
		}
		return err
	})
	if err != nil {
		s.t.Fatal(err)
	}
	return all
}

// acts writes each entry from a number on as "kind attribute attribute …", for
// the attributes that are asked for.
func (s *site) acts(from int, attributes ...string) []string {
	var all []string
	for _, e := range s.entries()[from:] {
		line := string(e.Kind)
		for _, key := range attributes {
			if v, ok := e.Attributes[key]; ok {
				line += " " + key + "=" + v
			}
		}
		all = append(all, line)
	}
	return all
}

func wantActs(t *testing.T, got []string, want ...string) {
	t.Helper()
	if !slices.Equal(got, want) {
		t.Errorf("the entries are\n  %s\nwant\n  %s", strings.Join(got, "\n  "), strings.Join(want, "\n  "))
	}
}

// Every act has its entry, in the transaction of the act, and what is no act has none.
func TestEveryActHasItsEntry(t *testing.T) {
	s := newSite(t)
	at := len(s.entries())
	if first := s.entries()[0]; first.Kind != ledger.KeyMade || first.Attributes["key"] != ledger.KeyDigest(signer(t, 1).Verifier()) {
		t.Errorf("the ledger begins with %+v", first)
	}
	admin := s.role(api.Administrator)
	p, err := s.AddAccount(t.Context(), admin, api.AddAccount{SignIn: "ada.lok", Name: "Ada Example", Role: api.Technician})
	if err != nil {
		t.Fatal(err)
	}
	by := " by=" + s.people[api.Administrator].ID
	change := func(cmd api.ChangeAccount) {
		t.Helper()
		cmd.Person = p.ID
		if _, err := s.ChangeAccount(t.Context(), admin, cmd); err != nil {
			t.Fatal(err)
		}
	}
	role, word, name, left, back := api.Trainer, password, "Ada Changed", true, false
	change(api.ChangeAccount{Role: &role})
	change(api.ChangeAccount{Role: &role}) // which changes nothing
	change(api.ChangeAccount{Password: &word, Name: &name})
	change(api.ChangeAccount{Left: &left})
	change(api.ChangeAccount{Left: &back})
	wantActs(t, s.acts(at, "by", "role", "act"), "account.added"+by+" role=technician", "act.recorded"+by+" act=account added",
		"account.role-changed"+by+" role=trainer", "act.recorded"+by+" act=role set", "account.changed"+by, "account.password-set"+by,
		"account.left"+by, "act.recorded"+by+" act=person left", "account.back"+by, "act.recorded"+by+" act=person back")

	at = len(s.entries())
	c := s.role(api.Technician)
	sit := s.open(c, api.Qualifying)
	s.answer(c, sit.ID, s.right)
	if n := len(s.entries()); n != at {
		t.Errorf("opening, answering and signing in made %d entries", n-at)
	}
	s.hand(c, sit.ID)
	s.hand(c, sit.ID) // twice is no second act
	late := s.open(c, api.Practice)
	s.wait(late.Deadline.Sub(s.now()) + 1)
	if _, err := s.Sweep(t.Context()); err != nil {
		t.Fatal(err)
	}
	if err := s.VoidSitting(t.Context(), s.role(api.SafetyOfficer), api.VoidCommand{Sitting: sit.ID, Reason: "the wrong person sat there"}); err != nil {
		t.Fatal(err)
	}
	wantActs(t, s.acts(at, "by", "time-up", "verdict", "act"),
		"sitting.handed-in by="+s.people[api.Technician].ID+" time-up=no", "sitting.marked by=program verdict=passed", "act.recorded by=program act=sitting marked",
		"sitting.handed-in by=program time-up=yes", "sitting.marked by=program verdict=failed",
		"sitting.voided by="+s.people[api.SafetyOfficer].ID, "act.recorded by="+s.people[api.SafetyOfficer].ID+" act=sitting voided")
	for _, e := range s.entries() {
		text, err := e.MarshalText()
		for _, secret := range []string{"Ada", "ada.lok", "Somebody", "wrong person"} {
			if err != nil || bytes.Contains(text, []byte(secret)) {
				t.Errorf("an entry holds %q: %s%v", secret, text, err)
			}
		}
	}
	s.sound()
}

// An act that fails leaves no entry, and an entry that cannot be written undoes
// its act.
func TestActAndEntryStandOrFallTogether(t *testing.T) {
	s := newSite(t)
	before := len(s.entries())
	_, err := s.AddAccount(t.Context(), api.Operator(), api.AddAccount{SignIn: s.people[api.Trainer].SignIn, Name: "X", Role: api.Technician})
	wantKind(t, err, api.Conflict)
	if n := len(s.entries()); n != before {
		t.Errorf("a refused act made %d entries", n-before)
	}
	foreign := api.New(api.Config{Store: s.store, Clock: s.now, Entropy: zeros{}, Signer: signer(t, 2)})
	_, err = foreign.AddAccount(t.Context(), api.Operator(), api.AddAccount{SignIn: "late", Name: "X", Role: api.Technician})
	wantKind(t, err, api.Unavailable)
	for _, p := range must(t, func() ([]api.Person, error) { return s.People(t.Context(), api.Operator()) }) {
		if p.SignIn == "late" {
			t.Error("an account was added that no entry attests")
		}
	}
	s.sound()
}

// zeros is randomness without any.
type zeros struct{}

func (zeros) Read(b []byte) (int, error) { clear(b); return len(b), nil }

func must[T any](t *testing.T, f func() (T, error)) T {
	t.Helper()
	v, err := f()
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func TestRotateKey(t *testing.T) {
	s := newSite(t)
	kept := must(t, func() (ledger.Checkpoint, error) { return s.Checkpoint(t.Context(), api.Operator()) })
	_, err := s.RotateKey(t.Context(), s.role(api.SafetyOfficer), signer(t, 2))
	wantKind(t, err, api.Forbidden)
	key := must(t, func() (ledger.Key, error) { return s.RotateKey(t.Context(), api.Operator(), signer(t, 2)) })
	if key.From != int64(len(s.entries())) || key.Verifier != signer(t, 2).Verifier() {
		t.Errorf("the next key is %+v", key)
	}
	_, err = s.AddAccount(t.Context(), api.Operator(), api.AddAccount{SignIn: "late", Name: "X", Role: api.Technician})
	wantKind(t, err, api.Unavailable)
	var wrong *api.WrongKey
	if err := s.BeginLedger(t.Context()); !errors.As(err, &wrong) || wrong.Want != key.Verifier {
		t.Errorf("started with the old key: %v", err)
	}
	s.App = api.New(api.Config{Store: s.store, Clock: s.now, Entropy: zeros{}, Signer: signer(t, 2)})
	if err := s.BeginLedger(t.Context()); err != nil {
		t.Errorf("started with the new key: %v", err)
	}
	s.add("later", api.Technician)
	s.sound()
	g := must(t, func() (ledger.Growth, error) { return s.ProveGrowth(t.Context(), api.Operator(), kept.Text) })
	if g.Old != kept.Size {
		t.Errorf("growth from %d, want %d", g.Old, kept.Size)
	}
	var export bytes.Buffer
	if _, err := s.ExportLedger(t.Context(), api.Operator(), &export, func(int64, int64) {}); err != nil {
		t.Fatal(err)
	}
	for n := range byte(2) { // whoever knows the first key can follow it to the second
		r, err := ledger.VerifyExport(bytes.NewReader(export.Bytes()), []string{signer(t, n+1).Verifier()}, []ledger.Checkpoint{kept}, nil)
		if err != nil || r.Entries != int64(len(s.entries())) {
			t.Errorf("export by key %d: %d entries, %v", n+1, r.Entries, err)
		}
	}
}

func TestProveEntry(t *testing.T) {
	s := newSite(t)
	for range 3 {
		s.add(fmt.Sprint("more", len(s.entries())), api.Technician)
	}
	all := s.entries()
	known, err := ledger.ReadKeys(signer(t, 1).Verifier())
	if err != nil {
		t.Fatal(err)
	}
	for n, e := range all {
		p := must(t, func() (ledger.Inclusion, error) { return s.ProveEntry(t.Context(), api.Operator(), fmt.Sprint(n)) })
		text, _ := e.MarshalText()
		if _, err := p.Verify(ledger.Known(known...)); err != nil || !bytes.Equal(p.Entry, text) || p.Index != int64(n) {
			t.Errorf("the proof of entry %d: %v; it is of %d, %s", n, err, p.Index, p.Entry)
		}
	}
	last := all[len(all)-1]
	if p := must(t, func() (ledger.Inclusion, error) { return s.ProveEntry(t.Context(), api.Operator(), last.ID) }); p.Index != int64(len(all)-1) {
		t.Errorf("by its id it is entry %d", p.Index)
	}
	for _, none := range []string{fmt.Sprint(len(all)), "-1", "nobody"} {
		_, err := s.ProveEntry(t.Context(), api.Operator(), none)
		wantKind(t, err, api.NotFound)
	}
	_, err = s.ProveEntry(t.Context(), s.role(api.Technician), "0")
	wantKind(t, err, api.Forbidden)
	_, err = s.ProveEntry(t.Context(), s.role(api.SafetyOfficer), "0")
	if err != nil {
		t.Error(err)
	}
}

// Two changes of one account at once: neither writes back what the other has
// just changed, so the account stays what its entries say.
func TestTwoChangesOfOneAccountAtOnce(t *testing.T) {
	s := newSiteAt(t, "", testenv.PostgreSQL(t))
	id, roles := s.people[api.Trainer].ID, []api.Role{api.Technician, api.Trainer}
	for i := range 30 {
		left := i%2 == 0
		var both sync.WaitGroup
		for _, cmd := range []api.ChangeAccount{{Person: id, Role: &roles[i%2]}, {Person: id, Left: &left}} {
			both.Go(func() {
				if _, err := s.ChangeAccount(t.Context(), api.Operator(), cmd); err != nil {
					t.Error(err)
				}
			})
		}
		both.Wait()
		for _, p := range must(t, func() ([]api.Person, error) { return s.People(t.Context(), api.Operator()) }) {
			if p.ID == id && (p.Role != roles[i%2] || p.Left.IsZero() == left) {
				t.Errorf("round %d: the role is %s and the person left at %v; one of the two changes is lost", i, p.Role, p.Left)
			}
		}
	}
	s.sound()
}
