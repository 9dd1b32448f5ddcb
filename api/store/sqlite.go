package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"runtime"

	"github.com/jmoiron/sqlx"
	"github.com/pressly/goose/v3"
)

// fileName is the SQLite database in its folder.
const fileName = "soloright.db"

// busyMillis is how long a statement waits for another process at the file.
const busyMillis = 5000

func init() { sqlx.BindDriver(embedded{}.driver(), sqlx.QUESTION) }

// openSQLite opens the database in a folder. Within this process there is one
// connection that writes, so that writers queue in Go and not at the file, and
// a few that read.
func openSQLite(ctx context.Context, c Config) (_ *Store, err error) {
	if c.Folder == "" {
		return nil, errors.New("neither a URL of PostgreSQL nor a folder for SQLite is given")
	}
	folder, err := filepath.Abs(c.Folder)
	if err != nil {
		return nil, fmt.Errorf("find %s: %w", c.Folder, err)
	}
	if c.Existing {
		if _, err := os.Stat(filepath.Join(folder, fileName)); err != nil {
			return nil, fmt.Errorf("there is no record in %s: %w", folder, err)
		}
	}
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return nil, err
	}
	unlock, err := lockFolder(ctx, folder)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, unlock()) }()

	writer, err := openFile(ctx, sqliteName(folder, c.Careless, true), c.Careless)
	if err != nil {
		return nil, err
	}
	if err := migrate(ctx, writer.DB, goose.DialectSQLite3, "sqlite"); err != nil {
		return nil, errors.Join(err, writer.Close())
	}
	reader, err := openFile(ctx, sqliteName(folder, c.Careless, false), c.Careless)
	if err != nil {
		return nil, errors.Join(err, writer.Close())
	}
	readers := max(4, runtime.GOMAXPROCS(0))
	s, err := newStore(ctx, embedded{}, "SQLite in "+folder, sized{writer, 1, 0}, sized{reader, readers, 0})
	if err == nil && c.Careless {
		s.settle = func() error { return settleFolder(folder) }
	}
	return s, err
}

// settleFolder waits until the disk has what was written carelessly. Without it
// careful commits would later build on pages that never got there.
func settleFolder(folder string) error {
	for _, name := range []string{fileName, fileName + "-wal", "."} {
		f, err := os.Open(filepath.Join(folder, name))
		if errors.Is(err, fs.ErrNotExist) {
			continue // the log goes with the last connection
		}
		if err != nil {
			return err
		}
		if err := errors.Join(f.Sync(), f.Close()); err != nil {
			return fmt.Errorf("bring %s to the disk: %w", f.Name(), err)
		}
	}
	return nil
}

// sqliteName is the data source name of one of the two pools. It sets up every
// connection; a PRAGMA sent through the pool would reach one of them. Writers
// begin with the write lock: one that took it later would fail at once when
// another had written in between.
func sqliteName(folder string, careless, write bool) string {
	synchronous := "FULL"
	if careless {
		synchronous = "OFF"
	}
	q := url.Values{
		"_busy_timeout": {fmt.Sprint(busyMillis)},
		"_foreign_keys": {"ON"},
		"_journal_mode": {"WAL"},
		"_synchronous":  {synchronous},
		"_defensive":    {"1"},
		"_dqs":          {"0"},
		"_error_rc":     {"1"},
		// Only macOS knows these: there fsync alone does not reach the disk.
		"_pragma": {"fullfsync(1)", "checkpoint_fullfsync(1)", "journal_size_limit(67108864)"},
	}
	if write {
		q.Set("_txlock", "immediate")
	} else {
		q.Set("_query_only", "1")
	}
	at := url.URL{Scheme: "file", Path: filepath.ToSlash(filepath.Join(folder, fileName)), RawQuery: q.Encode()}
	return at.String()
}

// openFile opens the database file and reads back whether it will keep what is
// committed: some file systems cannot do WAL, and SQLite then says nothing.
func openFile(ctx context.Context, name string, careless bool) (*sqlx.DB, error) {
	db, err := sqlx.Open(embedded{}.driver(), name)
	if err != nil {
		return nil, err
	}
	db.SetMaxOpenConns(1)
	var journal, synchronous string
	if err := errors.Join(db.GetContext(ctx, &journal, "PRAGMA journal_mode"), db.GetContext(ctx, &synchronous, "PRAGMA synchronous")); err != nil {
		return nil, errors.Join(err, db.Close())
	}
	if journal != "wal" || synchronous != "2" && !careless {
		err := fmt.Errorf("the file system does not let SQLite keep its promise: journal_mode is %s, synchronous %s; wanted wal and 2 (FULL)", journal, synchronous)
		return nil, errors.Join(err, db.Close())
	}
	return db, nil
}

// lockFolder lets one process at a time open and migrate the database of a
// folder; two that switched a new file to WAL at once would trip over each
// other. The lock is SQLite's own, on a file beside the database, so it goes
// with the process that holds it.
func lockFolder(ctx context.Context, folder string) (unlock func() error, err error) {
	at := url.URL{Scheme: "file", Path: filepath.ToSlash(filepath.Join(folder, "opening.lock")), RawQuery: "_busy_timeout=30000"}
	db, err := sql.Open(embedded{}.driver(), at.String())
	if err != nil {
		return nil, fmt.Errorf("lock %s: %w", folder, err)
	}
	db.SetMaxOpenConns(1)
	if _, err := db.ExecContext(ctx, "BEGIN EXCLUSIVE"); err != nil {
		return nil, fmt.Errorf("lock %s: %w", folder, errors.Join(err, db.Close()))
	}
	return db.Close, nil
}
