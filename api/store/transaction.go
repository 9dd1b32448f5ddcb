package store

import (
	"context"
	"database/sql"
	"fmt"
	"math/rand/v2"
	"time"

	"github.com/jmoiron/sqlx"

	"soloright/api"
)

// mostRuns is how often a transaction is run at most because the database asks
// for it: a deadlock or a serialization failure on PostgreSQL, a write lock that
// another process holds on SQLite.
const mostRuns = 6

// InTx runs f in one transaction that may write. It is committed, and durable,
// when InTx returns nil; where f fails or panics nothing of it is kept, also
// when ctx has ended by then.
//
// f may run again from the start, at most six times in all, so it must not
// change anything outside but by its last run. After [api.ErrExists] from an
// add the transaction is whole and may go on; after any other error it may not.
//
// An error of kind Unavailable leaves open whether the transaction took effect:
// the connection may have been lost on the way back from the commit.
func (s *Store) InTx(ctx context.Context, f func(api.Tx) error) error {
	for n := 1; ; n++ {
		err := s.write.run(ctx, s.dialect.writing(), func(tx *sqlx.Tx) error {
			return f(txn{reader{s.dialect, s.write, tx}})
		})
		if err == nil || n == mostRuns || !s.dialect.again(err) || pause(ctx, n) != nil {
			return s.outcome(ctx, err)
		}
	}
}

// Read runs f on one snapshot. It has connections of its own, so it waits for
// no writer, not even for its connection.
func (s *Store) Read(ctx context.Context, f func(api.Reader) error) error {
	err := s.read.run(ctx, s.dialect.reading(), func(tx *sqlx.Tx) error {
		return f(reader{s.dialect, s.read, tx})
	})
	return s.outcome(ctx, err)
}

// run runs f in one transaction, which is rolled back unless f returns nil.
// database/sql rolls back without a context, so the end of ctx is no hindrance.
func (p *pool) run(ctx context.Context, opts *sql.TxOptions, f func(*sqlx.Tx) error) (err error) {
	done, err := p.turn(ctx)
	if err != nil {
		return fmt.Errorf("wait for a connection: %w", err)
	}
	defer done()
	tx, err := p.begin(ctx, opts)
	if err != nil {
		return fmt.Errorf("begin: %w", err)
	}
	ended := false
	defer func() {
		if !ended {
			// An error here adds nothing: the connection is dropped, and with it
			// the transaction.
			_ = tx.Rollback()
		}
	}()
	if err := f(tx); err != nil {
		return err
	}
	ended = true
	if err := tx.Commit(); err != nil {
		return fmt.Errorf("commit: %w", err)
	}
	return nil
}

// begin begins a transaction. A connection that died in the pool shows at its
// first use; database/sql takes another where the driver says so, and begin
// where it does not. Nothing has happened by then, so trying again is safe.
func (p *pool) begin(ctx context.Context, opts *sql.TxOptions) (*sqlx.Tx, error) {
	for n := 0; ; n++ {
		tx, err := p.db.BeginTxx(ctx, opts)
		if err == nil || n == 3 || !brokenPipe(err) {
			return tx, err
		}
	}
}

// outcome turns a failure of the database into an [api.Error] that says what
// whoever asked can do. What f returned with a kind of its own stays as it is,
// and so does the end of the caller's context.
func (s *Store) outcome(ctx context.Context, err error) error {
	switch {
	case err == nil || api.KindOf(err) != "":
		return err
	case ctx.Err() != nil:
		return fmt.Errorf("%w: %w", context.Cause(ctx), err)
	case s.dialect.lost(err):
		return &api.Error{Kind: api.Unavailable, Err: err,
			Message: "The database cannot be reached just now. Nothing that was acknowledged is lost; try again in a moment."}
	}
	return err
}

// pause waits before run n+1: a little longer each time, and not in step with
// whoever it ran into. It returns an error where ctx ended.
func pause(ctx context.Context, n int) error {
	most := 5 * time.Millisecond << n
	t := time.NewTimer(rand.N(most))
	defer t.Stop()
	select {
	case <-t.C:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}
