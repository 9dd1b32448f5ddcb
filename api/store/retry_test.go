package store_test

import (
	"context"
	"database/sql"
	"errors"
	"testing"
	"time"

	"github.com/lib/pq"
	"github.com/lib/pq/pqerror"

	"soloright/api"
	"soloright/api/store"
	"soloright/api/testenv"
)

// Two transactions that lock two rows in opposite orders: PostgreSQL ends one of
// them, which runs again, and both come to their end.
func TestPostgreSQLDeadlockRunsAgain(t *testing.T) {
	s := open(t, store.Config{URL: testenv.PostgreSQL(t)})
	a, b := api.Person{ID: "a", SignIn: "a", Added: time.Unix(0, 0)}, api.Person{ID: "b", SignIn: "b", Added: time.Unix(0, 0)}
	if err := s.InTx(ctx, func(tx api.Tx) error { return errors.Join(tx.AddPerson(ctx, a), tx.AddPerson(ctx, b)) }); err != nil {
		t.Fatal(err)
	}
	var runs [2]int
	meet := [2]chan struct{}{make(chan struct{}), make(chan struct{})}
	failed := make(chan error, 2)
	for i, order := range [2][2]api.Person{{a, b}, {b, a}} {
		go func() {
			failed <- s.InTx(ctx, func(tx api.Tx) error {
				runs[i]++
				if err := tx.SetPerson(ctx, order[0]); err != nil {
					return err
				}
				if runs[i] == 1 { // both hold their first row
					close(meet[i])
					<-meet[1-i]
				}
				return tx.SetPerson(ctx, order[1])
			})
		}()
	}
	if err := errors.Join(<-failed, <-failed); err != nil {
		t.Fatal(err)
	}
	if runs[0]+runs[1] < 3 {
		t.Errorf("%d and %d runs: they never met", runs[0], runs[1])
	}
}

// Running again has an end, and then says that the database is not to be had.
func TestRunsAgainAtMost(t *testing.T) {
	runs := 0
	busy := sqliteBusy(t)
	s := open(t, store.Config{Folder: t.TempDir()})
	err := s.InTx(ctx, func(api.Tx) error { runs++; return busy })
	if runs != store.MostRuns || api.KindOf(err) != api.Unavailable {
		t.Errorf("SQLite: %d runs and %v, want %d and Unavailable", runs, err, store.MostRuns)
	}
	runs = 0
	if err := s.InTx(ctx, func(api.Tx) error {
		if runs++; runs < 3 {
			return busy
		}
		return nil
	}); err != nil || runs != 3 {
		t.Errorf("SQLite: %d runs and %v, want 3 and nil", runs, err)
	}

	p := open(t, store.Config{URL: testenv.PostgreSQL(t)})
	for _, code := range []pqerror.Code{pqerror.TRSerializationFailure, pqerror.TRDeadlockDetected} {
		runs = 0
		err = p.InTx(ctx, func(api.Tx) error { runs++; return &pq.Error{Code: code} })
		if runs != store.MostRuns || api.KindOf(err) != api.Unavailable {
			t.Errorf("%s: %d runs and %v, want %d and Unavailable", code, runs, err, store.MostRuns)
		}
	}
	runs = 0
	stopped, stop := context.WithCancel(ctx)
	err = p.InTx(stopped, func(api.Tx) error { runs++; stop(); return &pq.Error{Code: pqerror.TRSerializationFailure} })
	if runs != 1 || !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %d runs and %v, want 1 and context.Canceled", runs, err)
	}
}

// sqliteBusy is SQLite's own error that another connection holds the lock.
func sqliteBusy(t *testing.T) error {
	name := "file:" + t.TempDir() + "/x.db?_txlock=immediate"
	a, b := raw(t, "sqlite", name), raw(t, "sqlite", name)
	tx, err := a.BeginTx(ctx, nil)
	if err != nil {
		t.Fatal(err)
	}
	defer tx.Rollback()
	_, err = b.BeginTx(ctx, &sql.TxOptions{})
	if err == nil {
		t.Fatal("two writers at once")
	}
	return err
}

// Another process at the file is waited for.
func TestSQLiteWaitsForAnotherProcess(t *testing.T) {
	folder := t.TempDir()
	s := open(t, store.Config{Folder: folder})
	other := raw(t, "sqlite", "file:"+folder+"/soloright.db?_txlock=immediate")
	tx, err := other.BeginTx(ctx, nil)
	if err != nil {
		t.Fatal(err)
	}
	time.AfterFunc(200*time.Millisecond, func() {
		if err := tx.Rollback(); err != nil {
			t.Error(err)
		}
	})
	if err := s.InTx(ctx, func(tx api.Tx) error {
		return tx.AddPerson(ctx, api.Person{ID: "a", SignIn: "a", Added: time.Unix(0, 0)})
	}); err != nil {
		t.Error(err)
	}
}
