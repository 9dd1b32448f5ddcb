package store

import (
	"context"
	"database/sql"

	"soloright/api"
)

// checkRow is a row of record_checks.
type checkRow struct {
	ID      string           `db:"id"`
	By      sql.Null[string] `db:"asked_by"`
	Begun   int64            `db:"begun"`
	Seen    int64            `db:"seen"`
	Ended   sql.Null[int64]  `db:"ended"`
	Part    string           `db:"part"`
	Done    int64            `db:"done"`
	Total   int64            `db:"total"`
	Older   int64            `db:"older"`
	Entries int64            `db:"entries"`
	Records int64            `db:"records"`
	Wrong   int64            `db:"wrong"`
	Found   []byte           `db:"found"`
	Broke   string           `db:"broke"`
}

func (r checkRow) check() api.StoredCheck {
	return api.StoredCheck{ID: r.ID, By: r.By.V, Begun: instant(r.Begun), Seen: instant(r.Seen), Ended: instantOrZero(r.Ended), Part: r.Part, Done: r.Done, Total: r.Total, Older: r.Older,
		Entries: r.Entries, Records: r.Records, Disagree: r.Wrong, Found: r.Found, Broke: r.Broke}
}

var lastChecks = reads("list checks of the record", `
	SELECT id, asked_by, begun, seen, ended, part, done, total, older, entries, records, wrong, found, broke
	FROM record_checks
	ORDER BY begun DESC, id DESC
	LIMIT ?`)

// LastChecks lists checks of the record, the one begun last first.
func (r reader) LastChecks(ctx context.Context, limit int) ([]api.StoredCheck, error) {
	var rows []checkRow
	if err := r.list(ctx, &rows, lastChecks, limit); err != nil {
		return nil, err
	}
	checks := make([]api.StoredCheck, len(rows))
	for i, row := range rows {
		checks[i] = row.check()
	}
	return checks, nil
}

var putCheck = writes("keep how far a check has come", `
	INSERT INTO record_checks (id, asked_by, begun, seen, ended, part, done, total, older, entries, records, wrong, found, broke)
	VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)
	ON CONFLICT (id) DO UPDATE SET seen = excluded.seen, ended = excluded.ended, part = excluded.part, done = excluded.done, total = excluded.total,
		entries = excluded.entries, records = excluded.records, wrong = excluded.wrong, found = excluded.found, broke = excluded.broke`)

// PutCheck keeps how far a check has come.
func (t txn) PutCheck(ctx context.Context, c api.StoredCheck) error {
	return t.do(ctx, putCheck, c.ID, textOrNull(c.By), micros(c.Begun), micros(c.Seen), microsOrNull(c.Ended), c.Part, c.Done, c.Total, c.Older,
		c.Entries, c.Records, c.Disagree, blob(c.Found), c.Broke)
}
