package storetest

import (
	"context"
	"errors"
	"testing"
	"time"

	"soloright/api"
)

var errOnPurpose = errors.New("on purpose")

func rollback(t *testing.T, db Database) {
	f := with(t, db.Open(t))
	write := func(tx api.Tx) error {
		return errors.Join(tx.AddPerson(background, person("new")), tx.AddSitting(background, sitting("s", "ana", api.Practice, 0), form("s"), items("s")))
	}
	f.want(errOnPurpose, func(tx api.Tx) error { return errors.Join(write(tx), errOnPurpose) })
	f.nothingNew("after an error")
	func() {
		defer func() {
			if recover() == nil {
				t.Error("the panic did not come through")
			}
		}()
		_ = f.s.InTx(background, func(tx api.Tx) error {
			if err := write(tx); err != nil {
				t.Error(err)
			}
			panic("on purpose")
		})
	}()
	f.nothingNew("after a panic")
	err := f.s.Read(background, func(api.Reader) error { return errOnPurpose })
	if !errors.Is(err, errOnPurpose) {
		t.Errorf("a reader's error came back as %v", err)
	}
	conflict := &api.Error{Kind: api.Conflict, Message: "on purpose"}
	if err := f.s.InTx(background, func(api.Tx) error { return conflict }); api.KindOf(err) != api.Conflict {
		t.Errorf("a use case's own kind came back as %v", err)
	}
}

// nothingNew fails the test where the person "new" or the sitting "s" is there.
func (f fixture) nothingNew(when string) {
	f.t.Helper()
	f.read(func(r api.Reader) error {
		_, err := r.Person(background, "new")
		_, err2 := r.Sitting(background, "s")
		_, err3 := r.Form(background, "s")
		for _, err := range []error{err, err2, err3} {
			if !errors.Is(err, api.ErrNone) {
				f.t.Errorf("%s: got %v, want ErrNone", when, err)
			}
		}
		return nil
	})
}

// After each ErrExists the same transaction goes on, keeps what it wrote before
// and after, and nothing of what was refused.
func goesOn(t *testing.T, db Database) {
	f := with(t, db.Open(t))
	f.opened(sitting("open", "ana", api.Practice, 0))
	f.opened(sitting("done", "ana", api.Qualifying, 0))
	f.handedIn("done", 1)
	f.marked(marking("done", 1, 2), facts())
	void := api.Void{Sitting: "done", At: minutes(3)}
	confirming := sitting("confirming", "ana", api.Qualifying, 0)
	confirming.Confirms = "done"
	f.opened(confirming)
	f.tx(func(tx api.Tx) error {
		return errors.Join(tx.AddVoid(background, void), tx.AddSession(background, session("bo", 1)))
	})
	second := sitting("refused2", "bo", api.Practice, 0)
	second.Confirms = "done"
	f.tx(func(tx api.Tx) error {
		if err := tx.AddPerson(background, person("before")); err != nil {
			return err
		}
		refused := sitting("refused", "ana", api.Practice, 5)
		for name, err := range map[string]error{
			"person":     tx.AddPerson(background, person("ana")),
			"session":    tx.AddSession(background, session("bo", 1)),
			"revision":   tx.AddRevision(background, revision("pump", "1", 5)),
			"sitting":    tx.AddSitting(background, refused, form("refused"), items("refused")),
			"confirming": tx.AddSitting(background, second, form("refused2"), items("refused2")),
			"hand-in":    tx.AddHandIn(background, api.HandIn{Sitting: "done", At: minutes(9)}),
			"marks":      tx.AddMarks(background, marking("done", 1, 9), facts()),
			"void":       tx.AddVoid(background, void),
		} {
			if !errors.Is(err, api.ErrExists) {
				t.Errorf("%s: got %v, want ErrExists", name, err)
			}
		}
		return tx.AddPerson(background, person("after"))
	})
	f.read(func(r api.Reader) error {
		_, err := r.Person(background, "before")
		_, err2 := r.Person(background, "after")
		for _, id := range []string{"refused", "refused2"} {
			if _, none := r.Sitting(background, id); !errors.Is(none, api.ErrNone) {
				t.Errorf("%s: got %v, want ErrNone: half a sitting stayed", id, none)
			}
		}
		return errors.Join(err, err2)
	})
}

// A context that ends in the middle of a transaction takes it back, at once and
// whole; the store goes on working, with all its connections.
func cancelled(t *testing.T, db Database) {
	f := with(t, db.Open(t))
	for range rounds(50) {
		ctx, cancel := context.WithCancel(background)
		err := f.s.InTx(ctx, func(tx api.Tx) error {
			if err := tx.AddPerson(ctx, person("new")); err != nil {
				return err
			}
			cancel()
			return tx.AddSitting(ctx, sitting("s", "ana", api.Practice, 0), form("s"), items("s"))
		})
		if !errors.Is(err, context.Canceled) {
			t.Fatalf("got %v, want context.Canceled", err)
		}
		f.nothingNew("after the context ended")
		err = f.s.InTx(ctx, func(api.Tx) error { t.Error("ran after the context ended"); return nil })
		if !errors.Is(err, context.Canceled) {
			t.Fatalf("got %v, want context.Canceled", err)
		}
	}
	f.opened(sitting("s", "ana", api.Practice, 0))
}

// What a reader saw once it sees again, whatever is written meanwhile.
func snapshot(t *testing.T, db Database) {
	f := with(t, db.Open(t))
	f.opened(sitting("s", "ana", api.Practice, 0))
	f.put("s", answer(1, 1))
	f.read(func(r api.Reader) error {
		before, err := r.Sitting(background, "s")
		if err != nil {
			return err
		}
		f.put("s", answer(1, 2))
		f.handedIn("s", 3)
		after, err := r.Sitting(background, "s")
		same(t, "the sitting, before and after it was handed in", after, before)
		kept, err2 := r.Answers(background, "s")
		same(t, "its answers", kept, []api.KeptAnswer{answer(1, 1)})
		return errors.Join(err, err2)
	})
	if s := f.sittingNow("s"); s.State != api.StateHandedIn {
		t.Errorf("the next reader sees it %s", s.State)
	}
}

// Who waits for a sitting that another holds can give up waiting.
func givesUp(t *testing.T, db Database) {
	f := with(t, db.Open(t))
	f.opened(sitting("s", "ana", api.Practice, 0))
	f.tx(func(tx api.Tx) error {
		if _, err := tx.OpenExclusive(background, "s"); err != nil {
			return err
		}
		ctx, cancel := context.WithCancel(background)
		time.AfterFunc(50*time.Millisecond, cancel)
		err := f.s.InTx(ctx, func(tx api.Tx) error {
			_, err := tx.OpenExclusive(ctx, "s")
			return err
		})
		if !errors.Is(err, context.Canceled) || api.KindOf(err) != "" {
			t.Errorf("got %v, want context.Canceled and no kind", err)
		}
		return nil
	})
	f.put("s", answer(1, 1))
}
