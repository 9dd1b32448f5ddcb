package store

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"errors"
	"net"
	"slices"
	"syscall"
	"testing"
	"testing/synctest"

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
		p := &pool{db: sqlx.NewDb(sql.OpenDB(flaky{errs: &c.errs, used: &used}), "postgres"), turns: make(chan struct{}, 1)}
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

// Who waits longest for a connection gets it, and who gives up is passed over.
func TestTurnsInOrder(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		p := &pool{turns: make(chan struct{}, 1)}
		done, err := p.turn(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		impatient, giveUp := context.WithCancel(t.Context())
		var order, want []int
		for i := range 50 {
			ctx := t.Context()
			if i%5 == 0 {
				ctx = impatient
			} else {
				want = append(want, i)
			}
			go func() {
				done, err := p.turn(ctx)
				if err != nil {
					return
				}
				order = append(order, i)
				done()
			}()
			synctest.Wait() // it waits before the next one comes
		}
		giveUp()
		synctest.Wait()
		done()
		synctest.Wait()
		if !slices.Equal(order, want) {
			t.Errorf("served in the order %v", order)
		}
	})
}
