package store

import (
	"context"
	"fmt"
)

// A Setting is one of the database's own, as it is in force.
type Setting struct{ Name, Value string }

// Settings reads back what decides how durable a commit is, on a connection
// that writes: for the operator's log and for whoever measures. The folder or
// data_directory tells which disk was waited for; PostgreSQL tells it to
// superusers only, and to others it stays empty.
func (s *Store) Settings(ctx context.Context) ([]Setting, error) {
	var out []Setting
	for _, q := range s.dialect.settings() {
		v := Setting{Name: q.Name}
		if err := s.write.db.GetContext(ctx, &v.Value, q.Value); err != nil {
			return nil, fmt.Errorf("read %s: %w", q.Name, err)
		}
		out = append(out, v)
	}
	return out, nil
}
