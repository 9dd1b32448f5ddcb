package api

import (
	"context"
	"time"
)

// StoredCheck is a check of the whole record, as far as it has come.
type StoredCheck struct {
	ID       string
	By       string // person id; empty: whoever runs the program
	Begun    time.Time
	Seen     time.Time // when it was last known to run
	Ended    time.Time // zero while it runs
	Part     string    // what is being read
	Done     int64
	Total    int64 // -1: not known
	Older    int64 // entries of the kept checkpoint that it is held against; 0: none was given
	Entries  int64
	Records  int64
	Disagree int64
	Found    []byte // JSON list of sentences, the first of them
	Broke    string // why it could not be ended
}

// CheckReader is what may be read of checks.
type CheckReader interface {
	// LastChecks returns at most limit checks, the one begun last first.
	LastChecks(ctx context.Context, limit int) ([]StoredCheck, error)
}

// CheckWriter is what may be written of checks.
type CheckWriter interface {
	// PutCheck adds a check, or replaces how far it has come.
	PutCheck(ctx context.Context, c StoredCheck) error
}
