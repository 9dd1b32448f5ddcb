package store

import (
	"context"
	"database/sql"
	"math"

	"soloright/api"
)

// sittingRow is a sitting with what became of it.
type sittingRow struct {
	ID        string           `db:"id"`
	Person    string           `db:"person"`
	Procedure string           `db:"procedure"`
	Revision  string           `db:"revision"`
	Build     string           `db:"build"`
	Mode      string           `db:"mode"`
	Confirms  sql.Null[string] `db:"confirms"`
	Opened    int64            `db:"opened"`
	Deadline  int64            `db:"deadline"`
	Items     int              `db:"items"`
	Digest    []byte           `db:"digest"`

	State   string           `db:"state"`
	Handed  sql.Null[int64]  `db:"handed"`
	Verdict sql.Null[string] `db:"verdict"`
	Percent sql.Null[int]    `db:"percent"`
}

func (r sittingRow) sitting() api.Sitting {
	return api.Sitting{ID: r.ID, Person: r.Person, Procedure: r.Procedure, Revision: r.Revision, Build: r.Build, Mode: api.Mode(r.Mode),
		Confirms: r.Confirms.V, Opened: instant(r.Opened), Deadline: instant(r.Deadline), Items: r.Items, Digest: r.Digest,
		State: api.State(r.State), HandedIn: instantOrZero(r.Handed), Verdict: r.Verdict.V, Percent: r.Percent.V}
}

// The state of a sitting is stored nowhere: it is read off what was recorded
// after it. The marking that stands is the one with the highest n.
const (
	stateOf = `CASE
			WHEN v.sitting IS NOT NULL THEN 'void'
			WHEN m.sitting IS NOT NULL THEN 'marked'
			WHEN h.sitting IS NOT NULL THEN 'handed in'
			ELSE 'open'
		END`
	selectSitting = `
	SELECT s.id, s.person, s.procedure, s.revision, s.build, s.mode, s.confirms, s.opened, s.deadline, s.items, s.digest,
		` + stateOf + ` AS state, h.handed, m.verdict, m.percent`
	sittingAndAfter = `
	FROM sittings AS s` + after
	after = `
	LEFT JOIN hand_ins AS h ON h.sitting = s.id
	LEFT JOIN marks AS m ON m.sitting = s.id AND m.n = (SELECT MAX(n) FROM marks WHERE sitting = s.id)
	LEFT JOIN voids AS v ON v.sitting = s.id`
)

var oneSitting = reads("read sitting", selectSitting+sittingAndAfter+`
	WHERE s.id = ?`)

// Sitting finds a sitting, with what became of it.
func (r reader) Sitting(ctx context.Context, id string) (api.Sitting, error) {
	var row sittingRow
	if err := r.get(ctx, &row, oneSitting, id); err != nil {
		return api.Sitting{}, err
	}
	return row.sitting(), nil
}

// filtered ends a statement that already walks along one index: the other
// fields of the filter are looked at row by row, an empty one lets all through.
const filtered = `
		AND (CAST(? AS TEXT) = '' OR s.person = ?)
		AND (CAST(? AS TEXT) = '' OR s.procedure = ?)
		AND (CAST(? AS TEXT) = '' OR s.confirms = ?)
		AND (CAST(? AS TEXT) = '' OR s.mode = ?)
		AND (CAST(? AS TEXT) = '' OR ` + stateOf + ` = ?)
	ORDER BY s.opened DESC, s.id DESC
	LIMIT ?`

// One statement for each way into the table, most selective first.
var (
	sittingsConfirming = reads("list sittings that confirm one", selectSitting+sittingAndAfter+`
	WHERE s.confirms = ?`+filtered)

	sittingsOpen = reads("list open sittings", selectSitting+`
	FROM open_sittings AS o
	JOIN sittings AS s ON s.id = o.sitting`+after+`
	WHERE ? = 'open'`+filtered)

	sittingsOpenOf = reads("list a person's open sittings", selectSitting+`
	FROM open_sittings AS o
	JOIN sittings AS s ON s.id = o.sitting`+after+`
	WHERE o.person = ?`+filtered)

	sittingsOfPerson = reads("list a person's sittings", selectSitting+sittingAndAfter+`
	WHERE s.person = ?`+filtered)

	sittingsOfProcedure = reads("list a procedure's sittings", selectSitting+sittingAndAfter+`
	WHERE s.procedure = ?`+filtered)

	sittingsAll = reads("list sittings", selectSitting+sittingAndAfter+`
	WHERE s.id <> ?`+filtered)
)

// way chooses the statement for a filter, and its first argument.
func way(f api.SittingFilter) (*statement, string) {
	switch {
	case f.Confirms != "":
		return sittingsConfirming, f.Confirms
	case f.State == api.StateOpen && f.Person != "":
		return sittingsOpenOf, f.Person
	case f.State == api.StateOpen:
		return sittingsOpen, string(api.StateOpen)
	case f.Person != "":
		return sittingsOfPerson, f.Person
	case f.Procedure != "":
		return sittingsOfProcedure, f.Procedure
	}
	return sittingsAll, ""
}

// Sittings lists sittings, newest first, of one instant by falling id. A limit
// of 0 is none.
func (r reader) Sittings(ctx context.Context, f api.SittingFilter) ([]api.Sitting, error) {
	limit := f.Limit
	if limit == 0 {
		limit = math.MaxInt32
	}
	s, key := way(f)
	var rows []sittingRow
	err := r.list(ctx, &rows, s, key, f.Person, f.Person, f.Procedure, f.Procedure, f.Confirms, f.Confirms,
		string(f.Mode), string(f.Mode), string(f.State), string(f.State), limit)
	if err != nil {
		return nil, err
	}
	sittings := make([]api.Sitting, len(rows))
	for i, row := range rows {
		sittings[i] = row.sitting()
	}
	return sittings, nil
}

var oneForm = reads("read form", `
	SELECT form
	FROM forms
	WHERE sitting = ?`)

// Form returns the form of a sitting as it was stored, to the byte.
func (r reader) Form(ctx context.Context, sitting string) ([]byte, error) {
	var form []byte
	err := r.get(ctx, &form, oneForm, sitting)
	return form, err
}
