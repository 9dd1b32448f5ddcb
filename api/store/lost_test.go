package store_test

import (
	"errors"
	"fmt"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"soloright/api"
	"soloright/api/store"
	"soloright/api/store/storetest"
	"soloright/api/testenv"
)

// patience bounds every wait of these tests.
const patience = 30 * time.Second

// A server that goes away and comes back, with one handle all the while.
func TestPostgreSQLLost(t *testing.T) {
	t.Parallel()
	server := testenv.StartPostgreSQL(t)
	s := open(t, store.Config{URL: server.DSN()})
	candidates := storetest.NewCandidates(t, s, 9)
	t.Run("restart unnoticed", func(t *testing.T) { restartUnnoticed(t, server, s, candidates[8]) })
	t.Run("under load", func(t *testing.T) { lostUnderLoad(t, server, s, candidates[:8]) })
	t.Run("gone", func(t *testing.T) { gone(t, server, s) })
}

// After a restart that nobody noticed the first call works: its dead connection
// is not the caller's business.
func restartUnnoticed(t *testing.T, server *testenv.Postgres, s *store.Store, c storetest.Candidate) {
	for n, end := range []func(){server.Stop, server.Crash} {
		end()
		server.Start()
		if err := c.Save(s, int64(n+1)); err != nil {
			t.Errorf("write: %v", err)
		}
		if got := c.Kept(t, s); len(got) != 1 || got[0].Revision != int64(n+1) {
			t.Errorf("kept %+v, want revision %d", got, n+1)
		}
	}
}

// The server goes away under load, in order or by a crash, and comes back: what
// the callers get in between is Unavailable and nothing else, the same handle
// works again by itself, and what was acknowledged is there.
func lostUnderLoad(t *testing.T, server *testenv.Postgres, s *store.Store, candidates []storetest.Candidate) {
	load := startLoad(t, s, candidates)
	for _, end := range []func(){server.Stop, server.Crash} {
		load.await("answers kept", func(w *worker) bool { return w.kept.Load() >= 20 })
		end()
		load.await("Unavailable", func(w *worker) bool { return w.lost.Load() > 0 })
		server.Start()
		load.await("answers kept again", func(w *worker) bool { return w.kept.Load() >= 20 && w.read.Load() >= 5 })
	}
	load.stop()
	for i, w := range load.workers {
		kept := candidates[i].Kept(t, s)
		if len(kept) != 1 || kept[0].Revision < w.acknowledged {
			t.Errorf("candidate %d: acknowledged revision %d, kept %+v", i, w.acknowledged, kept)
		}
	}
	if n := s.InUse(); n != 0 {
		t.Errorf("%d connections were not given back", n)
	}
}

// Where there is no server the caller is told at once.
func gone(t *testing.T, server *testenv.Postgres, s *store.Store) {
	server.Stop()
	err := s.InTx(ctx, func(api.Tx) error { t.Error("ran without a database"); return nil })
	err2 := s.Read(ctx, func(api.Reader) error { t.Error("ran without a database"); return nil })
	for _, err := range []error{err, err2} {
		if api.KindOf(err) != api.Unavailable {
			t.Errorf("got %v, want Unavailable", err)
		}
	}
}

// A load is workers, each a candidate that saves one revision after the other.
type load struct {
	t       testing.TB
	workers []*worker
	ended   chan struct{}
	done    sync.WaitGroup
}

type worker struct {
	kept, read, lost atomic.Int64 // since the last await
	acknowledged     int64
}

func startLoad(t testing.TB, s *store.Store, candidates []storetest.Candidate) *load {
	l := &load{t: t, ended: make(chan struct{})}
	for _, c := range candidates {
		w := &worker{}
		l.workers = append(l.workers, w)
		l.done.Go(func() { l.run(s, c, w) })
	}
	return l
}

func (l *load) run(s *store.Store, c storetest.Candidate, w *worker) {
	for rev := int64(1); ; rev++ {
		select {
		case <-l.ended:
			return
		default:
		}
		err := c.Save(s, rev)
		if err == nil {
			w.acknowledged = rev
			w.kept.Add(1)
			err = s.Read(ctx, func(r api.Reader) error { _, err := r.Answers(ctx, c.Sitting); return err })
		}
		switch {
		case err == nil:
			w.read.Add(1)
		case api.KindOf(err) == api.Unavailable:
			w.lost.Add(1)
			time.Sleep(10 * time.Millisecond)
		default:
			l.t.Errorf("got %v, want nil or Unavailable", err)
			return
		}
	}
}

// await resets the counts and waits until each worker has come so far.
func (l *load) await(what string, reached func(*worker) bool) {
	l.t.Helper()
	for _, w := range l.workers {
		w.kept.Store(0)
		w.read.Store(0)
		w.lost.Store(0)
	}
	err := errors.New("not yet")
	for deadline := time.Now().Add(patience); err != nil; time.Sleep(5 * time.Millisecond) {
		err = nil
		for i, w := range l.workers {
			if !reached(w) {
				err = fmt.Errorf("worker %d: %d kept, %d read, %d lost", i, w.kept.Load(), w.read.Load(), w.lost.Load())
			}
		}
		if err != nil && time.Now().After(deadline) {
			l.stop()
			l.t.Fatalf("no %s within %v: %v", what, patience, err)
		}
	}
}

func (l *load) stop() {
	close(l.ended)
	l.done.Wait()
}

// A server that has no connection left for us is Unavailable to who finds none,
// and works for the others.
func TestPostgreSQLTooManyConnections(t *testing.T) {
	dsn := testenv.PostgreSQL(t)
	admin := raw(t, "postgres", dsn)
	exec := func(statement string) {
		t.Helper()
		if _, err := admin.Exec(statement); err != nil {
			t.Fatal(err)
		}
	}
	exec("CREATE ROLE few LOGIN")
	exec("GRANT ALL ON SCHEMA public TO few")
	s := open(t, store.Config{URL: strings.Replace(dsn, "soloright@", "few@", 1)})
	candidates := storetest.NewCandidates(t, s, 16)
	exec("ALTER ROLE few CONNECTION LIMIT 4")
	s.DropIdle()
	var kept, lost atomic.Int64
	var done sync.WaitGroup
	for _, c := range candidates {
		done.Go(func() {
			for rev := range int64(5) {
				switch err := c.Save(s, rev+1); {
				case err == nil:
					kept.Add(1)
				case api.KindOf(err) == api.Unavailable:
					lost.Add(1)
				default:
					t.Errorf("got %v, want nil or Unavailable", err)
				}
			}
		})
	}
	done.Wait()
	if kept.Load() == 0 || lost.Load() == 0 {
		t.Errorf("%d kept and %d lost, want some of each", kept.Load(), lost.Load())
	}
	exec("ALTER ROLE few CONNECTION LIMIT -1")
	if err := candidates[0].Save(s, 9); err != nil {
		t.Errorf("with connections again: %v", err)
	}
}
