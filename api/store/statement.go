package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"

	"github.com/jmoiron/sqlx"

	"soloright/api"
)

// A statement is one SQL statement, which every pool that needs it prepares
// once and keeps. Placeholders are written as question marks.
type statement struct {
	does  string // for errors: "read person"
	sql   func(dialect) string
	place int  // in statements
	write bool // not prepared where nothing may be written
}

// statements is every statement of the package, each declared beside the Go
// code that runs it. It is complete once the package is initialized.
var statements []*statement

// reads declares a statement that only reads and is the same in both dialects.
func reads(does, text string) *statement {
	return declare(&statement{does: does, sql: func(dialect) string { return text }})
}

// writes declares a statement that writes, or locks, and is the same in both.
func writes(does, text string) *statement {
	return declare(&statement{does: does, sql: func(dialect) string { return text }, write: true})
}

// locks declares a statement that reads rows and holds them.
func locks(does, text string, how func(dialect) string) *statement {
	return declare(&statement{does: does, sql: func(d dialect) string { return text + how(d) }, write: true})
}

func declare(s *statement) *statement {
	s.place = len(statements)
	statements = append(statements, s)
	return s
}

// reader is one transaction, as far as it reads. It implements [api.Reader].
type reader struct {
	dialect dialect
	pool    *pool
	tx      *sqlx.Tx
}

// get reads one row into a struct or a value; [api.ErrNone] where there is none.
func (r reader) get(ctx context.Context, into any, s *statement, args ...any) error {
	err := r.tx.StmtxContext(ctx, r.pool.stmts[s.place]).GetContext(ctx, into, args...)
	if errors.Is(err, sql.ErrNoRows) {
		return api.ErrNone
	}
	if err != nil {
		return fmt.Errorf("%s: %w", s.does, err)
	}
	return nil
}

// list reads all rows into a slice.
func (r reader) list(ctx context.Context, into any, s *statement, args ...any) error {
	if err := r.tx.StmtxContext(ctx, r.pool.stmts[s.place]).SelectContext(ctx, into, args...); err != nil {
		return fmt.Errorf("%s: %w", s.does, err)
	}
	return nil
}

// txn is one transaction that may write. It implements [api.Tx].
type txn struct{ reader }

// exec runs a statement and returns how many rows it wrote.
func (t txn) exec(ctx context.Context, s *statement, args ...any) (int64, error) {
	res, err := t.tx.StmtxContext(ctx, t.pool.stmts[s.place]).ExecContext(ctx, args...)
	if err != nil {
		return 0, fmt.Errorf("%s: %w", s.does, t.mean(err))
	}
	return res.RowsAffected()
}

// do runs a statement and does not care how many rows it wrote.
func (t txn) do(ctx context.Context, s *statement, args ...any) error {
	_, err := t.exec(ctx, s, args...)
	return err
}

// add runs an INSERT … ON CONFLICT DO NOTHING; [api.ErrExists] where a unique
// key is taken. A plain failure would spoil a transaction of PostgreSQL, and
// some use cases go on after it.
func (t txn) add(ctx context.Context, s *statement, args ...any) error {
	n, err := t.exec(ctx, s, args...)
	if err == nil && n == 0 {
		return fmt.Errorf("%s: %w", s.does, api.ErrExists)
	}
	return err
}

// mean turns a constraint's refusal into what the port calls it.
func (t txn) mean(err error) error {
	switch {
	case t.dialect.exists(err):
		return fmt.Errorf("%w (%w)", api.ErrExists, err)
	case t.dialect.missing(err):
		return fmt.Errorf("%w (%w)", api.ErrNone, err)
	}
	return err
}
