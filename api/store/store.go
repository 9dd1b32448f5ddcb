// Package store keeps the records of the application: one adapter on two
// databases. SQLite is embedded and needs nothing; PostgreSQL is for many
// sites, and any number of instances share one database.
//
// What is append-only (revisions, sittings with their forms and items,
// hand-ins, marks, voids, acts, rebuilds, signatures, cards) the database itself
// refuses to change or delete, by triggers. The rest is working state: people,
// sessions, open sittings and their answers, and the queue of what waits to be
// marked. The tables stand in migrations, one folder for each dialect, with the
// same numbers.
//
// Every statement is prepared once for each pool and kept; where the dialects
// differ, a function of dialect.go says how.
package store

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/jmoiron/sqlx"

	"soloright/api"
)

// Config says which database to open.
type Config struct {
	// URL is the address of a PostgreSQL database, postgres://…; empty: SQLite.
	URL string
	// Folder holds the SQLite database, soloright.db. It is made if missing, for
	// nobody but its owner. Not used with a URL.
	Folder string
	// Careless does not wait for the disk at a commit: until Close returns, the
	// power may take what was written, and with SQLite the whole database. It is
	// for invented history only, on a handle that is closed before the first real
	// request.
	Careless bool
	// Existing refuses a folder that holds no database yet, and makes nothing in
	// it. Not used with a URL.
	Existing bool
}

// Store is an open database. It is safe for concurrent use and implements
// [api.Store]. A database that goes away and comes back is used again without
// a new Open.
type Store struct {
	dialect dialect
	name    string
	write   *pool
	read    *pool
	settle  func() error // after the last connection is closed; may be nil
}

var _ api.Store = (*Store)(nil)

// Open opens the database, brings its tables up to date and checks that it
// keeps what it acknowledges: a PostgreSQL with fsync or synchronous_commit
// off is refused, and so is a database that a newer version of this program
// has changed. Any number of processes may open one database at once.
func Open(ctx context.Context, c Config) (*Store, error) {
	open := openSQLite
	if c.URL != "" {
		open = openPostgres
	}
	s, err := open(ctx, c)
	if err != nil {
		return nil, fmt.Errorf("open the database: %w", err)
	}
	return s, nil
}

// Close closes all connections, after the transactions under way have ended.
// Connections that were lost before are no error.
func (s *Store) Close() error {
	var failed []error
	for _, p := range []*pool{s.read, s.write} {
		if err := p.db.Close(); err != nil && !s.dialect.lost(err) {
			failed = append(failed, fmt.Errorf("close the database: %w", err))
		}
	}
	if s.settle != nil {
		failed = append(failed, s.settle())
	}
	return errors.Join(failed...)
}

// String says which database it is, without a password: "SQLite in /var/lib/x"
// or "PostgreSQL at host/name".
func (s *Store) String() string { return s.name }

// sized is an open database handle and the pool to make of it.
type sized struct {
	db   *sqlx.DB
	size int           // connections at most
	idle time.Duration // how long one stays open unused; 0: for good
}

// newStore prepares all statements for both pools.
func newStore(ctx context.Context, d dialect, name string, write, read sized) (*Store, error) {
	w, err := newPool(ctx, write.db, d, write.size, write.idle, true)
	if err != nil {
		return nil, errors.Join(err, read.db.Close())
	}
	r, err := newPool(ctx, read.db, d, read.size, read.idle, false)
	if err != nil {
		return nil, errors.Join(err, w.db.Close())
	}
	return &Store{dialect: d, name: name, write: w, read: r}, nil
}
