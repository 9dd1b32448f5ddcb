package api

import (
	"context"

	"soloright/scoring/clearance"
)

// ReviseReader is what lists of acts are read by.
type ReviseReader interface {
	// ActsOfKind returns acts of one kind, the last first.
	ActsOfKind(ctx context.Context, f ActFilter) ([]StoredAct, error)
}

// ActFilter chooses acts of a kind; the other fields do not filter where they are
// zero.
type ActFilter struct {
	Kind      clearance.Kind
	Procedure string // under which it is filed
	Person    string
	Before    int64 // the place of the first act that is not wanted
	Limit     int
}
