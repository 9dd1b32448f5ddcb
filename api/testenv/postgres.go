package testenv

import (
	"fmt"
	"sync"
	"sync/atomic"
	"testing"
)

// shared is the one PostgreSQL server of this test process, started by the
// first test that asks. It is never stopped: it dies with the process, and its
// guard removes the folder.
var shared = sync.OnceValues(boot)

// databases counts the databases handed out, for their names.
var databases atomic.Int64

// PostgreSQL returns the data source name (a postgres:// address for lib/pq) of
// a fresh, empty database that no other test sees. The database is dropped when
// the test ends; connections still open are cut.
//
// All databases of one test process live on one server, which starts on the
// first call (about a second) and dies with the process. It keeps its promises
// as a production server does: fsync and synchronous_commit are on. Text is
// UTF-8 and, where the server was built with ICU, sorts by the rules of English
// and not by bytes, so a query that leans on the database's own order is found
// out.
//
// Without PostgreSQL on this machine the test is skipped, or fails where CI is
// set. PostgreSQL may be called from several tests at once.
func PostgreSQL(t testing.TB) (dsn string) {
	t.Helper()
	s, err := shared()
	if err != nil {
		unreachable(t, "PostgreSQL", err)
	}
	name := fmt.Sprintf("test%d", databases.Add(1))
	if err := s.createDatabase(name); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.dropDatabase(name); err != nil {
			t.Error(err)
		}
	})
	return s.dsn(name)
}

// A Postgres is a PostgreSQL server of a test's own, which the test may stop,
// crash and start again. Its methods end the test when they fail. They are for
// one goroutine at a time.
type Postgres struct {
	t testing.TB
	s *server
}

// StartPostgreSQL starts a server that belongs to this test alone, with one
// empty database, and removes both when the test ends. It costs about a second;
// a test that does not stop the server wants PostgreSQL instead.
//
// Without PostgreSQL on this machine the test is skipped, or fails where CI is
// set.
func StartPostgreSQL(t testing.TB) *Postgres {
	t.Helper()
	s, err := boot()
	if err != nil {
		unreachable(t, "PostgreSQL", err)
	}
	t.Cleanup(func() {
		if err := s.close(); err != nil {
			t.Error(err)
		}
	})
	if err := s.createDatabase("own"); err != nil {
		t.Fatal(err)
	}
	return &Postgres{t: t, s: s}
}

// DSN returns the data source name of the server's database. It stays the same
// over Stop and Start, and is valid while the server is down.
func (p *Postgres) DSN() string { return p.s.dsn("own") }

// Stop shuts the server down in good order: connections are cut, transactions
// under way are rolled back, everything is written. It returns once the server
// is gone.
func (p *Postgres) Stop() {
	p.t.Helper()
	if err := p.s.stop(); err != nil {
		p.t.Fatal(err)
	}
}

// Crash ends the server at once, as a lost process would: nothing is written
// and the next Start recovers from the log. It returns once the server is gone.
func (p *Postgres) Crash() {
	p.t.Helper()
	if err := p.s.crash(); err != nil {
		p.t.Fatal(err)
	}
}

// Start starts a stopped or crashed server on the same data and returns once it
// answers. Starting a running server does nothing.
func (p *Postgres) Start() {
	p.t.Helper()
	if err := p.s.start(); err != nil {
		p.t.Fatal(err)
	}
}
