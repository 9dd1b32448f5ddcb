package store

import (
	"context"
	"database/sql/driver"
	"errors"
	"net"
	"syscall"
	"testing"

	"database/sql"

	"github.com/jmoiron/sqlx"
)

// A flaky server's connections fail to begin, each with the next error; then
// they begin.
type flaky struct {
	driver.Conn
	errs *[]error
	used *int
}

func (f flaky) Connect(context.Context) (driver.Conn, error) { return f, nil }
func (f flaky) Driver() driver.Driver                        { return nil }
func (f flaky) Close() error                                 { return nil }
func (f flaky) Commit() error                                { return nil }
func (f flaky) Rollback() error                              { return nil }

func (f flaky) BeginTx(context.Context, driver.TxOptions) (driver.Tx, error) {
	*f.used++
	if len(*f.errs) == 0 {
		return f, nil
	}
	err := (*f.errs)[0]
	*f.errs = (*f.errs)[1:]
	return nil, err
}

// A connection that was reset while it lay in the pool is the pool's business;
// a server that does not answer is the caller's, at once.
func TestBeginTakesAnotherConnection(t *testing.T) {
	reset := &net.OpError{Op: "read", Err: syscall.ECONNRESET}
	refused := &net.OpError{Op: "dial", Err: syscall.ECONNREFUSED}
	for _, c := range []struct {
		errs []error
		used int
		want error
	}{
		{nil, 1, nil},
		{[]error{reset}, 2, nil},
		{[]error{reset, driver.ErrBadConn, reset}, 4, nil},
		{[]error{refused}, 1, refused},
		{[]error{reset, refused}, 2, refused},
		{[]error{reset, reset, reset, reset}, 4, reset},
		{[]error{errOther}, 1, errOther},
	} {
		used := 0
		p := &pool{db: sqlx.NewDb(sql.OpenDB(flaky{errs: &c.errs, used: &used}), "postgres")}
		err := p.run(context.Background(), nil, func(*sqlx.Tx) error { return nil })
		if !errors.Is(err, c.want) || used != c.used {
			t.Errorf("after %d connections: %v, want %v after %d", used, err, c.want, c.used)
		}
		if err := p.db.Close(); err != nil {
			t.Error(err)
		}
	}
}

var errOther = errors.New("something else")
