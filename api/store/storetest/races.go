package storetest

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"soloright/api"
)

// atOnce calls f n times at the same moment, with 0 to n-1, and returns how
// many calls gave true.
func atOnce(n int, f func(i int) bool) int {
	var count atomic.Int64
	var done sync.WaitGroup
	gate := make(chan struct{})
	for i := range n {
		done.Go(func() {
			<-gate
			if f(i) {
				count.Add(1)
			}
		})
	}
	close(gate)
	done.Wait()
	return int(count.Load())
}

// Of several hand-ins of one sitting one wins; the others find it closed.
func handInsAtOnce(t *testing.T, db Database) {
	f := with(t, db.Open(t))
	for round := range rounds(50) {
		id := fmt.Sprint("s", round)
		f.opened(sitting(id, "ana", api.Practice, round))
		f.put(id, answer(1, 1))
		won := atOnce(4, func(i int) bool {
			err := f.s.InTx(background, func(tx api.Tx) error { return handInTx(tx, id, minutes(round+i)) })
			if err != nil && !errors.Is(err, api.ErrNone) {
				t.Error(err)
			}
			return err == nil
		})
		if won != 1 {
			t.Fatalf("%d hand-ins of one sitting", won)
		}
		if n := len(f.handed(id)); n != 1 {
			t.Fatalf("%d answers in the record, want 1", n)
		}
	}
}

// Answers race a hand-in: what was acknowledged before it is in the record, to
// the revision, and what comes after finds the sitting closed.
func answersAgainstHandIn(t *testing.T, db Database) {
	f := with(t, db.Open(t))
	const sheets = 3
	for round := range rounds(200) {
		id := fmt.Sprint("s", round)
		f.opened(sitting(id, "ana", api.Practice, round))
		f.put(id, answer(1, 1)) // so that the race is also one of updates
		acknowledged := [sheets]int64{1}
		atOnce(sheets+1, func(i int) bool {
			if i == sheets {
				if err := f.s.InTx(background, func(tx api.Tx) error { return handInTx(tx, id, minutes(round)) }); err != nil {
					t.Error(err)
				}
				return true
			}
			for rev := int64(2); rev < 50; rev++ {
				applied, err := saveAnswer(f.s, id, answer(i+1, rev))
				if errors.Is(err, api.ErrNone) {
					return true
				}
				if err != nil || !applied {
					t.Errorf("answer %d of sheet %d: applied %t, %v", rev, i+1, applied, err)
					return false
				}
				acknowledged[i] = rev
			}
			return false
		})
		var recorded [sheets]int64
		for _, a := range f.handed(id) {
			recorded[a.Sheet-1] = a.Revision
		}
		if recorded != acknowledged {
			t.Fatalf("round %d: acknowledged up to %v, in the record %v", round, acknowledged, recorded)
		}
		if left := f.kept(id); len(left) > 0 {
			t.Fatalf("round %d: %d answers after the hand-in", round, len(left))
		}
	}
}

// saveAnswer saves as the use case does; ErrNone where the sitting is not open.
func saveAnswer(s api.Store, sitting string, a api.KeptAnswer) (applied bool, err error) {
	err = s.InTx(background, func(tx api.Tx) (err error) {
		if _, err := tx.OpenShared(background, sitting); err != nil {
			return err
		}
		applied, err = tx.PutAnswer(background, sitting, a)
		return err
	})
	return applied, err
}

// Whatever the order in which 32 writers get their turn, the highest revision
// of each sheet stays, and it was never seen to go back.
func manyWriters(t *testing.T, db Database) {
	f := with(t, db.Open(t))
	f.opened(sitting("s", "ana", api.Practice, 0))
	const writers = 32
	each := rounds(10)
	stop := make(chan struct{})
	var watcher sync.WaitGroup
	watcher.Go(func() { watchRevisions(t, f, stop) })
	atOnce(writers, func(i int) bool {
		for n := range each {
			// Each writer goes through its revisions backwards on one sheet and
			// forwards on another.
			up, down := int64(n*writers+i+1), int64((each-n)*writers-i)
			_, err1 := saveAnswer(f.s, "s", answer(1, up))
			_, err2 := saveAnswer(f.s, "s", answer(2, down))
			if err := errors.Join(err1, err2); err != nil {
				t.Error(err)
				return false
			}
		}
		return true
	})
	close(stop)
	watcher.Wait()
	highest := int64(each * writers)
	same(t, "what is kept in the end", f.kept("s"), []api.KeptAnswer{answer(1, highest), answer(2, highest)})
}

// watchRevisions fails the test where a revision goes back.
func watchRevisions(t testing.TB, f fixture, stop <-chan struct{}) {
	var last [3]int64
	for {
		select {
		case <-stop:
			return
		default:
		}
		for _, a := range f.kept("s") {
			if a.Revision < last[a.Sheet] {
				t.Errorf("sheet %d went back from revision %d to %d", a.Sheet, last[a.Sheet], a.Revision)
			}
			last[a.Sheet] = a.Revision
		}
	}
}

// Readers finish while writers sit in their transactions: more writers than a
// store has connections, all waiting for one another.
func readersDoNotWait(t *testing.T, db Database) {
	f := with(t, db.Open(t))
	f.opened(sitting("s", "ana", api.Practice, 0))
	const writers = 64
	var holding atomic.Int64
	first, release := make(chan struct{}), make(chan struct{})
	var done sync.WaitGroup
	for i := range writers {
		done.Go(func() {
			err := f.s.InTx(background, func(tx api.Tx) error {
				if _, err := tx.OpenExclusive(background, "s"); err != nil {
					return err
				}
				if _, err := tx.PutAnswer(background, "s", answer(1, int64(i+1))); err != nil {
					return err
				}
				if holding.Add(1) == 1 {
					close(first)
					<-release
				}
				return nil
			})
			if err != nil {
				t.Error(err)
			}
		})
	}
	<-first
	ctx, cancel := context.WithTimeout(background, 20*time.Second) // the writer holds on for as long as this reads
	defer cancel()
	read := atOnce(16, func(int) bool {
		for range 20 {
			err := f.s.Read(ctx, func(r api.Reader) error {
				kept, err := r.Answers(ctx, "s")
				if err == nil && len(kept) > 0 {
					err = fmt.Errorf("saw %d answers that were not committed", len(kept))
				}
				return err
			})
			if err != nil {
				t.Errorf("read while a writer writes: %v", err)
				return false
			}
		}
		return true
	})
	close(release)
	done.Wait()
	if read != 16 {
		t.Errorf("%d of 16 readers read", read)
	}
}

// Two devices of one person open the same kind of sitting: one gets it.
func openedAtOnce(t *testing.T, db Database) {
	f := with(t, db.Open(t))
	other := fixture{t, db.Open(t)} // another instance
	for round := range rounds(50) {
		won := atOnce(4, func(i int) bool {
			s := sitting(fmt.Sprint("s", round, "-", i), "ana", api.Qualifying, round)
			store := []api.Store{f.s, other.s}[i%2]
			err := store.InTx(background, func(tx api.Tx) error { return tx.AddSitting(background, s, form(s.ID), items(s.ID)) })
			if err != nil && !errors.Is(err, api.ErrExists) {
				t.Error(err)
			}
			return err == nil
		})
		if won != 1 {
			t.Fatalf("%d sittings of one kind opened at once", won)
		}
		f.read(func(r api.Reader) error {
			open, err := r.Sittings(background, api.SittingFilter{Person: "ana", State: api.StateOpen})
			if len(open) != 1 {
				t.Fatalf("%d open sittings", len(open))
			}
			f.handedIn(open[0].ID, round)
			return err
		})
	}
}

// Two instances mark one hand-in: one marking of that number is kept, and the
// other's transaction can still end well.
func markedAtOnce(t *testing.T, db Database) {
	f := with(t, db.Open(t))
	for round := range rounds(30) {
		id := fmt.Sprint("s", round)
		f.opened(sitting(id, "ana", api.Practice, round))
		f.handedIn(id, round)
		won := atOnce(3, func(i int) bool {
			first := false
			err := f.s.InTx(background, func(tx api.Tx) error {
				err := tx.AddMarks(background, marking(id, 1, round), facts())
				first = err == nil
				if errors.Is(err, api.ErrExists) {
					return nil
				}
				return err
			})
			if err != nil {
				t.Error(err)
			}
			return first
		})
		if won != 1 {
			t.Fatalf("%d first markings", won)
		}
	}
}

// Several instances open an empty database at once: one makes the tables.
func instancesAtOnce(t *testing.T, db Database) {
	stores := make([]api.Store, 3)
	if atOnce(len(stores), func(i int) bool {
		stores[i] = db.Open(t)
		return true
	}) < len(stores) {
		t.FailNow() // Open said why
	}
	f := with(t, stores[0])
	for _, s := range slices.Backward(stores) {
		fixture{t, s}.read(func(r api.Reader) error {
			_, err := r.Person(background, "ana")
			return err
		})
	}
	f.opened(sitting("s", "ana", api.Practice, 0))
	atOnce(len(stores)*4, func(i int) bool {
		if _, err := saveAnswer(stores[i%len(stores)], "s", answer(1, int64(i+1))); err != nil {
			t.Error(err)
		}
		return true
	})
	same(t, "what the instances kept", f.kept("s"), []api.KeptAnswer{answer(1, int64(len(stores)*4))})
}
