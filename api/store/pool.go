package store

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/jmoiron/sqlx"
)

// A pool is connections of one kind, with the statements prepared for them.
// database/sql prepares a statement again on each further connection, once.
type pool struct {
	db    *sqlx.DB
	stmts []*sqlx.Stmt // by statement.place; nil where the pool does not need it
	turns chan struct{}
}

// newPool makes a pool of at most size connections, which are kept open for
// while idle (0: as long as the pool), and prepares its statements.
func newPool(ctx context.Context, db *sqlx.DB, d dialect, size int, idle time.Duration, write bool) (*pool, error) {
	db.SetMaxOpenConns(size)
	db.SetMaxIdleConns(size)
	db.SetConnMaxIdleTime(idle)
	p := &pool{db: db, stmts: make([]*sqlx.Stmt, len(statements)), turns: make(chan struct{}, size)}
	for i, s := range statements {
		if s.write && !write {
			continue
		}
		stmt, err := db.PreparexContext(ctx, db.Rebind(s.sql(d)))
		if err != nil {
			return nil, fmt.Errorf("prepare to %s: %w", s.does, errors.Join(err, db.Close()))
		}
		p.stmts[i] = stmt
	}
	return p, nil
}

// turn waits for a connection to be free, and returns what gives it back. Who
// came first goes first, as with every Go channel; database/sql would hand a
// free connection to any of those who wait, and some would wait very long.
func (p *pool) turn(ctx context.Context) (done func(), err error) {
	select {
	case p.turns <- struct{}{}:
		return func() { <-p.turns }, nil
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}
