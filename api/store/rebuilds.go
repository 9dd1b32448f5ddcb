package store

import (
	"context"
	"database/sql"
	"strings"

	"soloright/api"
)

// openRebuildRow is a row of open_rebuilds, and the beginning of the others.
type openRebuildRow struct {
	ID         string `db:"rebuild"`
	Technician string `db:"technician"`
	Assessor   string `db:"assessor"`
	Procedure  string `db:"procedure"`
	Revision   string `db:"revision"`
	Build      string `db:"build"`
	Holds      string `db:"holds"`
	Opened     int64  `db:"opened"`
}

func (r openRebuildRow) open() api.OpenRebuild {
	return api.OpenRebuild{ID: r.ID, Technician: r.Technician, Assessor: r.Assessor, Procedure: r.Procedure, Revision: r.Revision, Build: r.Build,
		Holds: strings.Fields(r.Holds), Opened: instant(r.Opened)}
}

const selectOpenRebuild = `
	SELECT rebuild, technician, assessor, procedure, revision, build, holds, opened
	FROM open_rebuilds
	WHERE rebuild = ?`

var (
	oneOpenRebuild   = reads("read open rebuild", selectOpenRebuild)
	holdRebuild      = locks("hold open rebuild", selectOpenRebuild, dialect.lockShared)
	holdRebuildAlone = locks("hold open rebuild alone", selectOpenRebuild, dialect.lockExclusive)

	allOpenRebuilds = reads("list open rebuilds", `
	SELECT rebuild, technician, assessor, procedure, revision, build, holds, opened
	FROM open_rebuilds
	ORDER BY opened, rebuild`)

	openRebuildsOf = reads("list open rebuilds of a person", `
	SELECT rebuild, technician, assessor, procedure, revision, build, holds, opened
	FROM open_rebuilds
	WHERE technician = ? OR assessor = ?
	ORDER BY opened, rebuild`)

	addOpenRebuild = writes("open rebuild", `
	INSERT INTO open_rebuilds (rebuild, technician, assessor, procedure, revision, build, holds, opened)
	VALUES (?, ?, ?, ?, ?, ?, ?, ?)
	ON CONFLICT DO NOTHING`)

	closeRebuild = writes("close rebuild", `
	DELETE FROM open_rebuilds
	WHERE rebuild = ?`)
)

// OpenRebuild finds an open rebuild.
func (r reader) OpenRebuild(ctx context.Context, id string) (api.OpenRebuild, error) {
	return r.openRebuild(ctx, oneOpenRebuild, id)
}

func (r reader) openRebuild(ctx context.Context, s *statement, id string) (api.OpenRebuild, error) {
	var row openRebuildRow
	if err := r.get(ctx, &row, s, id); err != nil {
		return api.OpenRebuild{}, err
	}
	return row.open(), nil
}

// OpenRebuilds lists the open rebuilds of a person, for "" all, the oldest first.
func (r reader) OpenRebuilds(ctx context.Context, person string) ([]api.OpenRebuild, error) {
	s, args := openRebuildsOf, []any{person, person}
	if person == "" {
		s, args = allOpenRebuilds, nil
	}
	var rows []openRebuildRow
	if err := r.list(ctx, &rows, s, args...); err != nil {
		return nil, err
	}
	out := make([]api.OpenRebuild, len(rows))
	for i, row := range rows {
		out[i] = row.open()
	}
	return out, nil
}

// AddOpenRebuild opens a rebuild.
func (t txn) AddOpenRebuild(ctx context.Context, o api.OpenRebuild) error {
	return t.add(ctx, addOpenRebuild, o.ID, o.Technician, o.Assessor, o.Procedure, o.Revision, o.Build, strings.Join(o.Holds, " "), micros(o.Opened))
}

// HoldRebuild reads an open rebuild; until this transaction ends it cannot be closed.
func (t txn) HoldRebuild(ctx context.Context, id string) (api.OpenRebuild, error) {
	return t.openRebuild(ctx, holdRebuild, id)
}

// HoldRebuildAlone reads an open rebuild; until this transaction ends nobody else
// can write on it or close it.
func (t txn) HoldRebuildAlone(ctx context.Context, id string) (api.OpenRebuild, error) {
	return t.openRebuild(ctx, holdRebuildAlone, id)
}

// keptRow is a row of rebuild_entries.
type keptRow struct {
	Place    string `db:"place"`
	Revision int64  `db:"revision"`
	Entry    []byte `db:"entry"`
	Kept     int64  `db:"kept"`
}

var (
	entriesOf = reads("list entries of a rebuild", `
	SELECT place, revision, entry, kept
	FROM rebuild_entries
	WHERE rebuild = ?
	ORDER BY place`)

	putEntry = writes("keep entry of a rebuild", `
	INSERT INTO rebuild_entries (rebuild, place, revision, entry, kept)
	VALUES (?, ?, ?, ?, ?)
	ON CONFLICT (rebuild, place) DO UPDATE
	SET revision = excluded.revision, entry = excluded.entry, kept = excluded.kept
	WHERE excluded.revision > rebuild_entries.revision`)
)

// RebuildEntries lists what is kept of the sheet of an open rebuild.
func (r reader) RebuildEntries(ctx context.Context, rebuild string) ([]api.KeptEntry, error) {
	var rows []keptRow
	if err := r.list(ctx, &rows, entriesOf, rebuild); err != nil {
		return nil, err
	}
	out := make([]api.KeptEntry, len(rows))
	for i, row := range rows {
		out[i] = api.KeptEntry{Place: row.Place, Revision: row.Revision, Entry: row.Entry, Kept: instant(row.Kept)}
	}
	return out, nil
}

// PutRebuildEntry keeps an entry unless a newer one is there. ErrNone where the
// rebuild is not open.
func (t txn) PutRebuildEntry(ctx context.Context, rebuild string, e api.KeptEntry) (bool, error) {
	n, err := t.exec(ctx, putEntry, rebuild, e.Place, e.Revision, blob(e.Entry), micros(e.Kept))
	return n == 1, err
}

// abandonedRow is a row of abandoned_rebuilds.
type abandonedRow struct {
	openRebuildRow
	Abandoned int64  `db:"abandoned"`
	Reason    string `db:"reason"`
	Entries   []byte `db:"entries"`
}

var (
	oneAbandoned = reads("read abandoned rebuild", `
	SELECT id AS rebuild, technician, assessor, procedure, revision, build, holds, opened, abandoned, reason, entries
	FROM abandoned_rebuilds
	WHERE id = ?`)

	everyAbandoned = reads("list abandoned rebuilds", `
	SELECT id AS rebuild, technician, assessor, procedure, revision, build, holds, opened, abandoned, reason, entries
	FROM abandoned_rebuilds
	WHERE id > ?
	ORDER BY id
	LIMIT ?`)

	addAbandoned = writes("add abandoned rebuild", `
	INSERT INTO abandoned_rebuilds (id, technician, assessor, procedure, revision, build, holds, opened, abandoned, reason, entries)
	VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)
	ON CONFLICT DO NOTHING`)
)

func (r abandonedRow) abandoned() api.AbandonedRebuild {
	return api.AbandonedRebuild{OpenRebuild: r.open(), At: instant(r.Abandoned), Reason: r.Reason, Entries: r.Entries}
}

// AbandonedRebuild finds an abandoned rebuild.
func (r reader) AbandonedRebuild(ctx context.Context, id string) (api.AbandonedRebuild, error) {
	var row abandonedRow
	if err := r.get(ctx, &row, oneAbandoned, id); err != nil {
		return api.AbandonedRebuild{}, err
	}
	return row.abandoned(), nil
}

// AbandonedRebuilds lists abandoned rebuilds whose id comes after the given one.
func (r reader) AbandonedRebuilds(ctx context.Context, after string, limit int) ([]api.AbandonedRebuild, error) {
	var rows []abandonedRow
	if err := r.list(ctx, &rows, everyAbandoned, after, limit); err != nil {
		return nil, err
	}
	out := make([]api.AbandonedRebuild, len(rows))
	for i, row := range rows {
		out[i] = row.abandoned()
	}
	return out, nil
}

// AddAbandonedRebuild keeps an abandoned rebuild for good and closes the open one.
func (t txn) AddAbandonedRebuild(ctx context.Context, a api.AbandonedRebuild) error {
	err := t.add(ctx, addAbandoned, a.ID, a.Technician, a.Assessor, a.Procedure, a.Revision, a.Build, strings.Join(a.Holds, " "), micros(a.Opened),
		micros(a.At), a.Reason, blob(a.Entries))
	if err != nil {
		return err
	}
	return t.do(ctx, closeRebuild, a.ID)
}

// finishedRow is a row of rebuilds with what became of it.
type finishedRow struct {
	openRebuildRow
	Started   int64            `db:"started"`
	Ended     int64            `db:"ended"`
	Finished  int64            `db:"finished"`
	Fault     string           `db:"fault"`
	Digest    []byte           `db:"digest"`
	Record    []byte           `db:"record"`
	Sheet     []byte           `db:"sheet"`
	Performed sql.Null[int64]  `db:"performed"`
	Observed  sql.Null[int64]  `db:"observed"`
	Approved  sql.Null[int64]  `db:"approved"`
	Voided    sql.Null[int64]  `db:"voided"`
	Reason    sql.Null[string] `db:"reason"`
	VoidedBy  sql.Null[string] `db:"voided_by"`
}

func (r finishedRow) finished() api.FinishedRebuild {
	return api.FinishedRebuild{OpenRebuild: r.open(), Started: instant(r.Started), Ended: instant(r.Ended), Finished: instant(r.Finished),
		Fault: r.Fault, Digest: r.Digest, Record: r.Record, Sheet: r.Sheet, Performed: instantOrZero(r.Performed), Observed: instantOrZero(r.Observed),
		Approved: instantOrZero(r.Approved), Voided: instantOrZero(r.Voided), Reason: r.Reason.V, VoidedBy: r.VoidedBy.V}
}
