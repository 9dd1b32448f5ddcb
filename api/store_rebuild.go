package api

import (
	"context"
	"time"
)

// RebuildReader is what may be read of observed rebuilds, wrenches and signatures.
type RebuildReader interface {
	// RefusedPasswords returns when a person's password was refused at signing after
	// an instant, oldest first.
	RefusedPasswords(ctx context.Context, person string, after time.Time) ([]time.Time, error)
	RefusedPassword(ctx context.Context, id string) (RefusedPassword, error)
	// EveryRefusedPassword walks through them by id.
	EveryRefusedPassword(ctx context.Context, after string, limit int) ([]RefusedPassword, error)
	// Signatures returns the signatures under a thing, in the order in which they were given.
	Signatures(ctx context.Context, kind, id string) ([]Signature, error)
	// EverySignature walks through them by kind, id and meaning; from the first where after is zero.
	EverySignature(ctx context.Context, after Signature, limit int) ([]Signature, error)

	Wrench(ctx context.Context, id string) (Wrench, error)
	Wrenches(ctx context.Context) ([]Wrench, error) // by id
	// Calibrations returns those of a wrench, for "" all, by wrench and in the order in which they were recorded.
	Calibrations(ctx context.Context, wrench string) ([]Calibration, error)

	OpenRebuild(ctx context.Context, id string) (OpenRebuild, error)
	// OpenRebuilds returns those of a person, as technician or assessor, oldest first; for "" all.
	OpenRebuilds(ctx context.Context, person string) ([]OpenRebuild, error)
	// RebuildEntries returns what is kept of the sheet of an open rebuild, by place.
	RebuildEntries(ctx context.Context, rebuild string) ([]KeptEntry, error)
	// Rebuild finds a finished rebuild.
	Rebuild(ctx context.Context, id string) (FinishedRebuild, error)
	// Rebuilds returns finished rebuilds, the last finished first, without Record and Sheet.
	Rebuilds(ctx context.Context, f RebuildFilter) ([]FinishedRebuild, error)
	// RebuildIDs walks through finished rebuilds by id.
	RebuildIDs(ctx context.Context, after string, limit int) ([]string, error)
	// RebuildWrenches returns the wrenches used in a finished rebuild, by id.
	RebuildWrenches(ctx context.Context, rebuild string) ([]string, error)
	AbandonedRebuild(ctx context.Context, id string) (AbandonedRebuild, error)
	// AbandonedRebuilds walks through abandoned rebuilds by id.
	AbandonedRebuilds(ctx context.Context, after string, limit int) ([]AbandonedRebuild, error)
}

// RebuildWriter is what may be written of them. All but open rebuilds and their
// entries is append-only.
type RebuildWriter interface {
	AddRefusedPassword(ctx context.Context, p RefusedPassword) error
	AddSignature(ctx context.Context, s Signature) error // ErrExists where the thing bears one of that meaning
	AddWrench(ctx context.Context, w Wrench) error       // ErrExists where the id is taken
	AddCalibration(ctx context.Context, c Calibration) error

	// AddOpenRebuild opens a rebuild. ErrExists where the technician has an open one on that procedure.
	AddOpenRebuild(ctx context.Context, o OpenRebuild) error
	// HoldRebuild reads an open rebuild so that it cannot be finished before this
	// transaction ends; HoldRebuildAlone so that nobody else can write on it either.
	HoldRebuild(ctx context.Context, id string) (OpenRebuild, error)
	HoldRebuildAlone(ctx context.Context, id string) (OpenRebuild, error)
	// PutRebuildEntry keeps an entry if its client revision is higher than the kept one's; it reports whether it did.
	PutRebuildEntry(ctx context.Context, rebuild string, e KeptEntry) (applied bool, err error)
	// AddRebuild writes a finished rebuild with the wrenches used in it and closes the open one.
	AddRebuild(ctx context.Context, f FinishedRebuild, wrenches []string) error
	AddRebuildVoid(ctx context.Context, v RebuildVoid) error // ErrExists where it is struck out already
	// AddAbandonedRebuild writes an abandoned rebuild and closes the open one.
	AddAbandonedRebuild(ctx context.Context, a AbandonedRebuild) error
}
