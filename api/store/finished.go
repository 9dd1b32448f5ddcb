package store

import (
	"cmp"
	"context"
	"strings"

	"soloright/api"
)

// finishedColumns and finishedTables are shared by what reads finished rebuilds,
// so that one and many read alike.
const (
	finishedColumns = `
	SELECT r.id AS rebuild, r.technician, r.assessor, r.procedure, r.revision, r.build, r.holds, r.opened,
		r.started, r.ended, r.finished, r.fault, r.digest,
		p.signed AS performed, o.signed AS observed, a.signed AS approved, v.voided, v.reason, v.voided_by`

	finishedTables = `
	FROM rebuilds AS r
	LEFT JOIN signatures AS p ON p.covers = 'rebuild' AND p.id = r.id AND p.meaning = 'performed'
	LEFT JOIN signatures AS o ON o.covers = 'rebuild' AND o.id = r.id AND o.meaning = 'observed'
	LEFT JOIN signatures AS a ON a.covers = 'rebuild' AND a.id = r.id AND a.meaning = 'approved'
	LEFT JOIN rebuild_voids AS v ON v.rebuild = r.id`
)

var (
	oneRebuild = reads("read rebuild", finishedColumns+`, r.record, r.sheet`+finishedTables+`
	WHERE r.id = ?`)

	allRebuilds = reads("list rebuilds", finishedColumns+finishedTables+`
	ORDER BY r.finished DESC, r.id
	LIMIT ?`)

	rebuildsOf = reads("list rebuilds of a person", finishedColumns+finishedTables+`
	WHERE r.technician = ? OR r.assessor = ?
	ORDER BY r.finished DESC, r.id
	LIMIT ?`)

	rebuildsWith = reads("list rebuilds with a wrench", finishedColumns+finishedTables+`
	JOIN rebuild_wrenches AS w ON w.rebuild = r.id
	WHERE w.wrench = ? AND (r.technician = ? OR r.assessor = ? OR ? = '')
	ORDER BY r.finished DESC, r.id
	LIMIT ?`)

	rebuildIDs = reads("list rebuilds by id", `
	SELECT id
	FROM rebuilds
	WHERE id > ?
	ORDER BY id
	LIMIT ?`)

	wrenchesIn = reads("list wrenches of a rebuild", `
	SELECT wrench
	FROM rebuild_wrenches
	WHERE rebuild = ?
	ORDER BY wrench`)
)

// Rebuild finds a finished rebuild.
func (r reader) Rebuild(ctx context.Context, id string) (api.FinishedRebuild, error) {
	var row finishedRow
	if err := r.get(ctx, &row, oneRebuild, id); err != nil {
		return api.FinishedRebuild{}, err
	}
	return row.finished(), nil
}

// Rebuilds lists finished rebuilds, the last finished first.
func (r reader) Rebuilds(ctx context.Context, f api.RebuildFilter) ([]api.FinishedRebuild, error) {
	limit := cmp.Or(f.Limit, 500)
	s, args := allRebuilds, []any{limit}
	switch {
	case f.Wrench != "":
		s, args = rebuildsWith, []any{f.Wrench, f.Person, f.Person, f.Person, limit}
	case f.Person != "":
		s, args = rebuildsOf, []any{f.Person, f.Person, limit}
	}
	var rows []finishedRow
	if err := r.list(ctx, &rows, s, args...); err != nil {
		return nil, err
	}
	out := make([]api.FinishedRebuild, len(rows))
	for i, row := range rows {
		out[i] = row.finished()
	}
	return out, nil
}

// RebuildIDs lists finished rebuilds whose id comes after the given one.
func (r reader) RebuildIDs(ctx context.Context, after string, limit int) ([]string, error) {
	var ids []string
	err := r.list(ctx, &ids, rebuildIDs, after, limit)
	return ids, err
}

// RebuildWrenches lists the wrenches used in a finished rebuild.
func (r reader) RebuildWrenches(ctx context.Context, rebuild string) ([]string, error) {
	var ids []string
	err := r.list(ctx, &ids, wrenchesIn, rebuild)
	return ids, err
}

var (
	addRebuild = writes("add rebuild", `
	INSERT INTO rebuilds (id, technician, assessor, procedure, revision, build, holds, opened, started, ended, finished, fault, digest, record, sheet)
	VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)
	ON CONFLICT DO NOTHING`)

	addRebuildWrench = writes("add wrench of a rebuild", `
	INSERT INTO rebuild_wrenches (rebuild, wrench)
	VALUES (?, ?)
	ON CONFLICT DO NOTHING`)

	addRebuildVoid = writes("strike a rebuild out", `
	INSERT INTO rebuild_voids (rebuild, voided, voided_by, reason)
	VALUES (?, ?, ?, ?)
	ON CONFLICT DO NOTHING`)
)

// AddRebuild keeps a finished rebuild for good and closes the open one. ErrExists
// where it is there already. Whoever reads the entries for it has to hold the
// rebuild by HoldRebuildAlone.
func (t txn) AddRebuild(ctx context.Context, f api.FinishedRebuild, wrenches []string) error {
	err := t.add(ctx, addRebuild, f.ID, f.Technician, f.Assessor, f.Procedure, f.Revision, f.Build, strings.Join(f.Holds, " "), micros(f.Opened),
		micros(f.Started), micros(f.Ended), micros(f.Finished), f.Fault, blob(f.Digest), blob(f.Record), blob(f.Sheet))
	if err != nil {
		return err
	}
	for _, w := range wrenches {
		if err := t.add(ctx, addRebuildWrench, f.ID, w); err != nil {
			return err
		}
	}
	return t.do(ctx, closeRebuild, f.ID)
}

// AddRebuildVoid strikes a finished rebuild out for good.
func (t txn) AddRebuildVoid(ctx context.Context, v api.RebuildVoid) error {
	return t.add(ctx, addRebuildVoid, v.Rebuild, micros(v.At), v.By, v.Reason)
}
