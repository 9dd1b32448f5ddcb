package store

import (
	"context"
	"math"

	"soloright/api"
)

var actsOfKind = reads("list acts of a kind", `
	SELECT seq, at, done_by, kind, person, procedure, subject, data
	FROM acts
	WHERE kind = ? AND seq < ?
		AND (CAST(? AS TEXT) = '' OR procedure = ?)
		AND (CAST(? AS TEXT) = '' OR person = ?)
	ORDER BY seq DESC
	LIMIT ?`)

// ActsOfKind lists acts of one kind, the last first: those before a place, where
// one is given, that are filed under the procedure and the person, where they are.
func (r reader) ActsOfKind(ctx context.Context, f api.ActFilter) ([]api.StoredAct, error) {
	before, limit := f.Before, f.Limit
	if before == 0 {
		before = math.MaxInt64
	}
	if limit == 0 {
		limit = math.MaxInt32
	}
	return r.acts(ctx, actsOfKind, string(f.Kind), before, f.Procedure, f.Procedure, f.Person, f.Person, limit)
}
