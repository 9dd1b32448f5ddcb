package crew_test

import (
	"context"
	"io"
	"math/rand/v2"
	"testing"
	"time"

	"soloright/api"
	"soloright/api/store"
	"soloright/cmd/soloright/crew"
	"soloright/content"
	"soloright/content/procfile"
	"soloright/quiz/itemmodel"
	"soloright/scoring/ledger"
)

// play plays a history into a database of its own and returns it.
func play(t *testing.T, days int) *store.Store {
	t.Helper()
	st, err := store.Open(t.Context(), store.Config{Folder: t.TempDir(), Careless: true})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := st.Close(); err != nil {
			t.Error(err)
		}
	})
	key, _, err := ledger.NewKey(rand.NewChaCha8([32]byte{}), "works.example/ledger")
	if err != nil {
		t.Fatal(err)
	}
	signer, err := ledger.NewSigner(key)
	if err != nil {
		t.Fatal(err)
	}
	open := func(clock api.Clock, entropy io.Reader) *api.App {
		return api.New(api.Config{Store: st, Models: itemmodel.All(), Clock: clock, Entropy: entropy, Zone: time.UTC, Signer: signer,
			Passwords: crew.Trusting(api.Argon2id(1, entropy))})
	}
	now := time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)
	if err := crew.Play(t.Context(), crew.Works{Store: st, Open: open, Now: now, Days: days, Zone: time.UTC}); err != nil {
		t.Fatal(err)
	}
	return st
}

// share is how often a fact was right, of how many times.
type share struct{ right, of int }

func (s share) below(want float64) bool { return float64(s.right) < want*float64(s.of) }

// shares counts the states of a fact in the marked qualifying sittings, by key.
func shares(t *testing.T, st api.Store, fact content.FactID, key func(api.Sitting, api.Person) string) map[string]share {
	t.Helper()
	out := map[string]share{}
	err := st.Read(t.Context(), func(r api.Reader) error {
		all, err := r.Sittings(t.Context(), api.SittingFilter{State: api.StateMarked})
		if err != nil {
			return err
		}
		for _, s := range all {
			p, err := r.Person(t.Context(), s.Person)
			if err != nil {
				return err
			}
			if err := count(t.Context(), r, s, fact, key(s, p), out); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func count(ctx context.Context, r api.Reader, s api.Sitting, fact content.FactID, key string, out map[string]share) error {
	facts, err := r.MarkedFacts(ctx, s.ID, 1)
	if err != nil {
		return err
	}
	for _, f := range facts {
		if f.Fact == fact {
			n := out[key]
			n.of++
			if f.State == "right" {
				n.right++
			}
			out[key] = n
		}
	}
	return nil
}

// What went wrong at the works must be there to be found, often enough to be told
// from chance; a shorter history has less of it.
func TestTheHistoryHoldsWhatWentWrong(t *testing.T) {
	days, least := crew.Days, 30
	if testing.Short() {
		days, least = 45, 5
	}
	st := play(t, days)
	all := shares(t, st, crew.BadlyTaught, func(api.Sitting, api.Person) string { return "" })[""]
	if all.of < least || !all.below(.85) {
		t.Errorf("%s: %d right of %d; it was to be taught badly", crew.BadlyTaught, all.right, all.of)
	}
	by := shares(t, st, crew.OtherWay, func(_ api.Sitting, p api.Person) string { return p.Crew })
	if d, n := by[crew.Day], by[crew.Night]; d.of < least || n.of < least || d.below(.8) || !n.below(.7) {
		t.Errorf("%s: day %v, night %v; the night crew was to differ", crew.OtherWay, d, n)
	}
	key := shares(t, st, crew.WrongKey, func(s api.Sitting, _ api.Person) string { return s.Revision })
	if c := key[crew.EarlierFlange]; c.of < least || !c.below(.6) {
		t.Errorf("%s: %v by revision; revision %s was to have a wrong key", crew.WrongKey, key, crew.EarlierFlange)
	}
}

// The revision that waits to be adopted changes two facts and no more.
func TestTheNextRevisionChangesTwoFacts(t *testing.T) {
	st := play(t, 10)
	err := st.Read(t.Context(), func(r api.Reader) error {
		was, err := r.Revision(t.Context(), "aodd-air-side", "C")
		if err != nil {
			return err
		}
		next, err := r.Revision(t.Context(), "aodd-air-side", crew.NextPump)
		if err != nil {
			return err
		}
		c := content.Compare(stored(t, was), stored(t, next))
		if len(c.Delta()) != 2 || len(c.Removed) != 0 {
			t.Errorf("changed %v, removed %v", c.Delta(), c.Removed)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

func stored(t *testing.T, r api.Revision) *content.Procedure {
	t.Helper()
	p, err := procfile.Stored("stored.yaml", r.Source)
	if err != nil {
		t.Fatal(err)
	}
	return p
}
