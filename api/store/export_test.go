package store

import (
	"context"
	"database/sql"
)

// What the tests look at from inside.

var CheckDurable = checkDurable

const MostRuns = mostRuns

// EachConn calls f with every connection that the store may open, all of them
// open at once; write tells which of its pools the connection is of.
func (s *Store) EachConn(ctx context.Context, f func(c *sql.Conn, write bool) error) error {
	for _, p := range []*pool{s.write, s.read} {
		for range p.db.Stats().MaxOpenConnections {
			c, err := p.db.DB.Conn(ctx)
			if err != nil {
				return err
			}
			defer c.Close()
			if err := f(c, p == s.write); err != nil {
				return err
			}
		}
	}
	return nil
}

// InUse counts connections that are not idle.
func (s *Store) InUse() int { return s.write.db.Stats().InUse + s.read.db.Stats().InUse }

// DropIdle closes every connection that is not in use.
func (s *Store) DropIdle() {
	for _, p := range []*pool{s.write, s.read} {
		p.db.SetMaxIdleConns(0)
		p.db.SetMaxIdleConns(p.db.Stats().MaxOpenConnections)
	}
}

// A Text is a statement as one pool prepares it.
type Text struct{ Does, SQL string }

// Texts returns all statements of the store's dialect.
func (s *Store) Texts() []Text {
	var out []Text
	for _, st := range statements {
		out = append(out, Text{st.does, s.write.db.Rebind(st.sql(s.dialect))})
	}
	return out
}
