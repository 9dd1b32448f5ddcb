package store

import (
	"context"
	"database/sql"

	"soloright/api"
	"soloright/content"
)

// markRow is a row of marks.
type markRow struct {
	Sitting string `db:"sitting"`
	N       int    `db:"n"`
	Rules   int    `db:"rules"`
	Marked  int64  `db:"marked"`
	Verdict string `db:"verdict"`
	Percent int    `db:"percent"`
	Reason  string `db:"reason"`
	Outcome []byte `db:"outcome"`
}

var marksOf = reads("list marks", `
	SELECT sitting, n, rules, marked, verdict, percent, reason, outcome
	FROM marks
	WHERE sitting = ?
	ORDER BY n`)

// Marks lists the markings of a sitting by their number.
func (r reader) Marks(ctx context.Context, sitting string) ([]api.Marking, error) {
	var rows []markRow
	if err := r.list(ctx, &rows, marksOf, sitting); err != nil {
		return nil, err
	}
	marks := make([]api.Marking, len(rows))
	for i, row := range rows {
		marks[i] = api.Marking{Sitting: row.Sitting, N: row.N, Rules: row.Rules, At: instant(row.Marked), Outcome: row.Outcome,
			Verdict: row.Verdict, Percent: row.Percent, Reason: row.Reason}
	}
	return marks, nil
}

var (
	addMarks = writes("add marks", `
	INSERT INTO marks (sitting, n, rules, marked, verdict, percent, reason, outcome)
	VALUES (?, ?, ?, ?, ?, ?, ?, ?)
	ON CONFLICT DO NOTHING`)

	dropUnmarked = writes("note that a hand-in waits no more", `
	DELETE FROM unmarked
	WHERE sitting = ?`)
)

// addFactMarks is not prepared, for the same reason as addItems.
const addFactMarks = `
	INSERT INTO fact_marks (sitting, n, place, sheet, fact, state)
	VALUES (:sitting, :n, :place, :sheet, :fact, :state)`

// factRow is a row of fact_marks.
type factRow struct {
	Sitting string `db:"sitting"`
	N       int    `db:"n"`
	Place   int    `db:"place"`
	Sheet   int    `db:"sheet"`
	Fact    string `db:"fact"`
	State   string `db:"state"`
}

// AddMarks writes a marking, with the state of each fact. ErrExists where the
// sitting has a marking of that number, ErrNone where it is not handed in or a
// fact is of a sheet that the form does not have.
func (t txn) AddMarks(ctx context.Context, m api.Marking, facts []api.MarkedFact) error {
	err := t.add(ctx, addMarks, m.Sitting, m.N, m.Rules, micros(m.At), m.Verdict, m.Percent, m.Reason, blob(m.Outcome))
	if err != nil {
		return err
	}
	rows := make([]factRow, len(facts))
	for i, f := range facts {
		rows[i] = factRow{Sitting: m.Sitting, N: m.N, Place: i + 1, Sheet: f.Sheet, Fact: string(f.Fact), State: f.State}
	}
	if err := addRows(ctx, t, "add fact marks", addFactMarks, rows); err != nil {
		return err
	}
	return t.do(ctx, dropUnmarked, m.Sitting)
}

var factsMarked = reads("list facts marked", `
	SELECT sitting, n, place, sheet, fact, state
	FROM fact_marks
	WHERE sitting = ? AND n = ?
	ORDER BY place`)

// MarkedFacts lists the facts of a marking by their place in it.
func (r reader) MarkedFacts(ctx context.Context, sitting string, n int) ([]api.MarkedFact, error) {
	var rows []factRow
	if err := r.list(ctx, &rows, factsMarked, sitting, n); err != nil {
		return nil, err
	}
	facts := make([]api.MarkedFact, len(rows))
	for i, row := range rows {
		facts[i] = api.MarkedFact{Sheet: row.Sheet, Fact: content.FactID(row.Fact), State: row.State}
	}
	return facts, nil
}

// voidRow is a row of voids.
type voidRow struct {
	Sitting string           `db:"sitting"`
	Voided  int64            `db:"voided"`
	By      sql.Null[string] `db:"voided_by"`
	Reason  string           `db:"reason"`
}

var oneVoid = reads("read void", `
	SELECT sitting, voided, voided_by, reason
	FROM voids
	WHERE sitting = ?`)

// Void finds out by whom and why a sitting was struck out.
func (r reader) Void(ctx context.Context, sitting string) (api.Void, error) {
	var row voidRow
	if err := r.get(ctx, &row, oneVoid, sitting); err != nil {
		return api.Void{}, err
	}
	return api.Void{Sitting: row.Sitting, At: instant(row.Voided), By: row.By.V, Reason: row.Reason}, nil
}

var addVoid = writes("add void", `
	INSERT INTO voids (sitting, voided, voided_by, reason)
	VALUES (?, ?, ?, ?)
	ON CONFLICT DO NOTHING`)

// AddVoid strikes a sitting out. ErrExists where it is void already, ErrNone
// where there is no such sitting.
func (t txn) AddVoid(ctx context.Context, v api.Void) error {
	if err := t.add(ctx, addVoid, v.Sitting, micros(v.At), textOrNull(v.By), v.Reason); err != nil {
		return err
	}
	return t.do(ctx, dropUnmarked, v.Sitting)
}
