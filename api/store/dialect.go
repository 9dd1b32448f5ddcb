package store

import (
	"database/sql"
	"database/sql/driver"
	"errors"
	"io"
	"net"
	"strings"

	"github.com/lib/pq"
	"github.com/lib/pq/pqerror"
	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"
)

// A dialect says in what the two databases differ.
type dialect interface {
	// driver is the driver's name, by which sqlx knows its placeholders.
	driver() string
	// writing and reading are how transactions begin.
	writing() *sql.TxOptions
	reading() *sql.TxOptions
	// lockShared and lockExclusive end a SELECT that holds its rows until the
	// transaction ends: against change, or also against being held by others.
	lockShared() string
	lockExclusive() string
	// settings names what decides how durable a commit is, each with the query
	// that reads it.
	settings() []Setting

	// exists tells that a unique key is taken, missing that a row refers to one
	// that is not there.
	exists(error) bool
	missing(error) bool
	// again tells that the database asks to run the transaction again.
	again(error) bool
	// lost tells that the database cannot be reached or cannot work now.
	lost(error) bool
}

// postgres is the dialect of PostgreSQL.
type postgres struct{}

func (postgres) driver() string { return "postgres" }

// writing is READ COMMITTED: what must not change under a transaction it locks,
// and a statement behind a lock sees what its last holder committed.
func (postgres) writing() *sql.TxOptions { return &sql.TxOptions{Isolation: sql.LevelReadCommitted} }

// reading is one snapshot; it takes no locks and cannot fail to be serialized.
func (postgres) reading() *sql.TxOptions {
	return &sql.TxOptions{Isolation: sql.LevelRepeatableRead, ReadOnly: true}
}

func (postgres) lockShared() string    { return " FOR SHARE" }
func (postgres) lockExclusive() string { return " FOR UPDATE" }

func (postgres) settings() []Setting {
	read := func(name string) Setting {
		return Setting{name, "SELECT COALESCE(current_setting('" + name + "', TRUE), '')"}
	}
	return []Setting{read("server_version"), read("fsync"), read("synchronous_commit"), read("full_page_writes"),
		{"data_directory", "SELECT COALESCE(MAX(setting), '') FROM pg_settings WHERE name = 'data_directory'"}}
}

func (postgres) exists(err error) bool  { return pq.As(err, pqerror.UniqueViolation) != nil }
func (postgres) missing(err error) bool { return pq.As(err, pqerror.ForeignKeyViolation) != nil }

func (postgres) again(err error) bool {
	return pq.As(err, pqerror.TRSerializationFailure, pqerror.TRDeadlockDetected) != nil
}

// lost reads PostgreSQL's error classes (its manual, appendix A). The driver
// turns whatever ended the connection, an administrator's shutdown too, into
// driver.ErrBadConn.
func (d postgres) lost(err error) bool {
	var network *net.OpError
	switch {
	case errors.Is(err, driver.ErrBadConn), errors.Is(err, sql.ErrConnDone),
		errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF), errors.As(err, &network):
		return true
	}
	e := pq.As(err)
	if e == nil {
		return false
	}
	switch e.Code.Class() {
	case "08", // the connection
		"28", // signing in to the server
		"3D", // no such database
		"53", // out of connections, memory or disk
		"57", // shut down, starting up, or cancelled by its own limits
		"58": // input and output
		return true
	}
	return e.Code == pqerror.ReadOnlySQLTransaction || e.Code == pqerror.LockNotAvailable || d.again(err)
}

// embedded is the dialect of SQLite.
type embedded struct{}

func (embedded) driver() string { return "sqlite" }

// writing begins with the write lock (_txlock=immediate), so nothing that was
// read can change before the commit.
func (embedded) writing() *sql.TxOptions { return nil }

// reading begins without a lock: in WAL mode it sees one snapshot.
func (embedded) reading() *sql.TxOptions { return &sql.TxOptions{ReadOnly: true} }

// A transaction that writes holds the whole database: there is nothing to lock.
func (embedded) lockShared() string    { return "" }
func (embedded) lockExclusive() string { return "" }

func (embedded) settings() []Setting {
	return []Setting{{"sqlite_version", "SELECT sqlite_version()"}, {"journal_mode", "PRAGMA journal_mode"}, {"synchronous", "PRAGMA synchronous"},
		{"fullfsync", "PRAGMA fullfsync"}, {"file", "SELECT file FROM pragma_database_list WHERE name = 'main'"}}
}

// exists also knows the trigger that stops INSERT OR REPLACE on append-only
// tables: it fires before the database has looked at its unique keys.
func (embedded) exists(err error) bool {
	switch code(err) {
	case sqlite3.SQLITE_CONSTRAINT_PRIMARYKEY, sqlite3.SQLITE_CONSTRAINT_UNIQUE:
		return true
	case sqlite3.SQLITE_CONSTRAINT_TRIGGER:
		return strings.Contains(err.Error(), "has this key already")
	}
	return false
}

func (embedded) missing(err error) bool {
	return code(err) == sqlite3.SQLITE_CONSTRAINT_FOREIGNKEY
}

func (embedded) again(err error) bool {
	return code(err)&0xff == sqlite3.SQLITE_BUSY || code(err)&0xff == sqlite3.SQLITE_LOCKED
}

// lost knows the primary result codes (sqlite.org/rescode.html) of a disk that
// is full, gone or not to be written.
func (d embedded) lost(err error) bool {
	switch code(err) & 0xff {
	case sqlite3.SQLITE_READONLY, sqlite3.SQLITE_IOERR, sqlite3.SQLITE_FULL, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PROTOCOL:
		return true
	}
	return errors.Is(err, driver.ErrBadConn) || d.again(err)
}

// code is the extended result code of SQLite in the chain of err, or 0.
func code(err error) int {
	var e *sqlite.Error
	if errors.As(err, &e) {
		return e.Code()
	}
	return 0
}

// brokenPipe tells an established connection that turned out to be gone from
// a server that does not answer.
func brokenPipe(err error) bool {
	var network *net.OpError
	return errors.As(err, &network) && network.Op != "dial"
}
