package store

import (
	"context"
	"database/sql"
	"fmt"

	"soloright/api"
	"soloright/content"
)

// revisionRow is a row of revisions; Source and Blueprint are not always read.
type revisionRow struct {
	Procedure string           `db:"procedure"`
	Revision  string           `db:"revision"`
	Title     string           `db:"title"`
	Issued    string           `db:"issued"`
	Digest    []byte           `db:"digest"`
	Imported  int64            `db:"imported"`
	By        sql.Null[string] `db:"imported_by"`
	Blueprint []byte           `db:"blueprint"`
	Source    []byte           `db:"source"`
}

func (r revisionRow) revision() (api.Revision, error) {
	var issued content.Date
	if err := issued.UnmarshalText([]byte(r.Issued)); err != nil {
		return api.Revision{}, fmt.Errorf("read revision %s %s: %w", r.Procedure, r.Revision, err)
	}
	return api.Revision{Procedure: r.Procedure, Revision: r.Revision, Title: r.Title, Issued: issued, Source: r.Source, Blueprint: r.Blueprint,
		Digest: r.Digest, Imported: instant(r.Imported), By: r.By.V}, nil
}

var oneRevision = reads("read revision", `
	SELECT procedure, revision, title, issued, digest, imported, imported_by, blueprint, source
	FROM revisions
	WHERE procedure = ? AND revision = ?`)

// Revision finds a revision, with its text.
func (r reader) Revision(ctx context.Context, procedure, revision string) (api.Revision, error) {
	var row revisionRow
	if err := r.get(ctx, &row, oneRevision, procedure, revision); err != nil {
		return api.Revision{}, err
	}
	return row.revision()
}

// Of two revisions imported in the same microsecond the higher name is newer.
var currentRevisions = reads("list current revisions", `
	SELECT r.procedure, r.revision, r.title, r.issued, r.digest, r.imported, r.imported_by
	FROM revisions AS r
	WHERE NOT EXISTS (
		SELECT 1
		FROM revisions AS newer
		WHERE newer.procedure = r.procedure
			AND (newer.imported, newer.revision) > (r.imported, r.revision))
	ORDER BY r.procedure`)

// CurrentRevisions lists the newest import of each procedure, without its text.
func (r reader) CurrentRevisions(ctx context.Context) ([]api.Revision, error) {
	return r.revisions(ctx, currentRevisions)
}

var revisionsOf = reads("list revisions", `
	SELECT procedure, revision, title, issued, digest, imported, imported_by
	FROM revisions
	WHERE procedure = ?
	ORDER BY imported, revision`)

// Revisions lists every revision of a procedure, without its text.
func (r reader) Revisions(ctx context.Context, procedure string) ([]api.Revision, error) {
	return r.revisions(ctx, revisionsOf, procedure)
}

func (r reader) revisions(ctx context.Context, s *statement, args ...any) ([]api.Revision, error) {
	var rows []revisionRow
	if err := r.list(ctx, &rows, s, args...); err != nil {
		return nil, err
	}
	revisions := make([]api.Revision, len(rows))
	for i, row := range rows {
		var err error
		if revisions[i], err = row.revision(); err != nil {
			return nil, err
		}
	}
	return revisions, nil
}

var addRevision = writes("add revision", `
	INSERT INTO revisions (procedure, revision, title, issued, digest, imported, imported_by, blueprint, source)
	VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)
	ON CONFLICT DO NOTHING`)

// AddRevision keeps a revision for good.
func (t txn) AddRevision(ctx context.Context, r api.Revision) error {
	return t.add(ctx, addRevision, r.Procedure, r.Revision, r.Title, r.Issued.String(), blob(r.Digest), micros(r.Imported), textOrNull(r.By),
		blob(r.Blueprint), blob(r.Source))
}
