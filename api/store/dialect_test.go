package store

import (
	"database/sql/driver"
	"errors"
	"fmt"
	"io"
	"net"
	"syscall"
	"testing"

	"github.com/lib/pq"
	"github.com/lib/pq/pqerror"
)

// What PostgreSQL says (its manual, appendix A, "PostgreSQL Error Codes"), and
// what it is to the caller.
func TestPostgreSQLErrors(t *testing.T) {
	const lost, again, exists, missing, other = "lost", "lost, run again", "exists", "missing", "a defect"
	code := func(c string) error {
		return fmt.Errorf("read: %w", &pq.Error{Code: pqerror.Code(c), Severity: "ERROR"})
	}
	for _, c := range []struct {
		err  error
		want string
	}{
		{code("08006"), lost},    // connection_failure
		{code("25006"), lost},    // read_only_sql_transaction: a standby
		{code("28P01"), lost},    // invalid_password
		{code("3D000"), lost},    // invalid_catalog_name
		{code("53100"), lost},    // disk_full
		{code("53300"), lost},    // too_many_connections
		{code("55P03"), lost},    // lock_not_available
		{code("57014"), lost},    // query_canceled
		{code("57P01"), lost},    // admin_shutdown
		{code("57P03"), lost},    // cannot_connect_now
		{code("58030"), lost},    // io_error
		{code("40001"), again},   // serialization_failure
		{code("40P01"), again},   // deadlock_detected
		{code("23505"), exists},  // unique_violation
		{code("23503"), missing}, // foreign_key_violation
		{code("23000"), other},   // what refuse_change raises
		{code("22021"), other},   // character_not_in_repertoire: a zero byte in text
		{code("42P01"), other},   // undefined_table
		{code("25P02"), other},   // in_failed_sql_transaction
		{driver.ErrBadConn, lost},
		{io.ErrUnexpectedEOF, lost},
		{&net.OpError{Op: "dial", Err: syscall.ECONNREFUSED}, lost},
		{errors.New("something else"), other},
	} {
		if got := meaning(postgres{}, c.err); got != c.want {
			t.Errorf("%v is %s, want %s", c.err, got, c.want)
		}
	}
}

// meaning puts into words what a dialect says of an error.
func meaning(d dialect, err error) string {
	switch {
	case d.exists(err):
		return "exists"
	case d.missing(err):
		return "missing"
	case d.again(err) && d.lost(err):
		return "lost, run again"
	case d.lost(err):
		return "lost"
	}
	return "a defect"
}
