package store

import (
	"context"
	"database/sql"
	"fmt"

	"soloright/api"
)

// A Yardstick runs what saving an answer costs the database and nothing else:
// the store's own prepared statements on its own connections, through
// database/sql alone. What is measured through a face is measured against it,
// in the same run.
type Yardstick struct{ pool *pool }

// Yardstick returns the store's yardstick.
func (s *Store) Yardstick() Yardstick { return Yardstick{s.write} }

// SaveAnswer runs the transaction of a save: read the session, hold the open
// sitting, keep the answer.
func (y Yardstick) SaveAnswer(ctx context.Context, session []byte, sitting string, a api.KeptAnswer) (err error) {
	tx, err := y.pool.db.BeginTx(ctx, nil)
	if err != nil {
		return fmt.Errorf("begin: %w", err)
	}
	defer func() {
		if err != nil {
			_ = tx.Rollback()
		}
	}()
	var (
		p               personRow
		s               sessionRow
		id, person      string
		mode            string
		opened, expires int64
	)
	if err := tx.StmtContext(ctx, y.stmt(sessionByHash)).QueryRowContext(ctx, session).Scan(&s.Hash, &s.Holder, &s.Begun, &s.Seen, &s.Expires, &s.Agent,
		&p.ID, &p.SignIn, &p.Name, &p.Role, &p.Password, &p.Crew, &p.Added, &p.Gone); err != nil {
		return fmt.Errorf("read session: %w", err)
	}
	if err := tx.StmtContext(ctx, y.stmt(openShared)).QueryRowContext(ctx, sitting).Scan(&id, &person, &mode, &opened, &expires); err != nil {
		return fmt.Errorf("hold sitting: %w", err)
	}
	if _, err := tx.StmtContext(ctx, y.stmt(putAnswer)).ExecContext(ctx, sitting, a.Sheet, a.Revision, a.Answer, micros(a.Kept), a.Millis); err != nil {
		return fmt.Errorf("keep answer: %w", err)
	}
	return tx.Commit()
}

// Upsert keeps an answer by the one statement alone, in a transaction of its
// own: the least that any way of saving costs.
func (y Yardstick) Upsert(ctx context.Context, sitting string, a api.KeptAnswer) error {
	_, err := y.stmt(putAnswer).ExecContext(ctx, sitting, a.Sheet, a.Revision, a.Answer, micros(a.Kept), a.Millis)
	return err
}

func (y Yardstick) stmt(s *statement) *sql.Stmt { return y.pool.stmts[s.place].Stmt }
