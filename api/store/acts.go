package store

import (
	"context"
	"database/sql"
	"time"

	"soloright/api"
	"soloright/scoring/clearance"
)

// actRow is a row of acts.
type actRow struct {
	Seq       int64            `db:"seq"`
	At        int64            `db:"at"`
	By        sql.Null[string] `db:"done_by"`
	Kind      string           `db:"kind"`
	Person    string           `db:"person"`
	Procedure string           `db:"procedure"`
	Subject   string           `db:"subject"`
	Data      []byte           `db:"data"`
}

func (r actRow) act() api.StoredAct {
	return api.StoredAct{Seq: r.Seq, At: instant(r.At), By: r.By.V, Kind: clearance.Kind(r.Kind), Person: r.Person, Procedure: r.Procedure, Subject: r.Subject, Data: r.Data}
}

var (
	actsAfter = reads("list acts", `
	SELECT seq, at, done_by, kind, person, procedure, subject, data
	FROM acts
	WHERE seq > ?
	ORDER BY seq
	LIMIT ?`)

	actsOfPerson = reads("list acts of a person", `
	SELECT seq, at, done_by, kind, person, procedure, subject, data
	FROM acts
	WHERE person = ?
	ORDER BY seq`)

	actsOfProcedure = reads("list acts on a procedure", `
	SELECT seq, at, done_by, kind, person, procedure, subject, data
	FROM acts
	WHERE procedure = ?
	ORDER BY seq`)

	actsAbout = reads("list acts about a subject", `
	SELECT seq, at, done_by, kind, person, procedure, subject, data
	FROM acts
	WHERE subject = ?
	ORDER BY seq`)
)

// Acts lists acts in the order of the record, after one of them.
func (r reader) Acts(ctx context.Context, after int64, limit int) ([]api.StoredAct, error) {
	return r.acts(ctx, actsAfter, after, limit)
}

// ActsOfPerson lists the acts that are filed under a person.
func (r reader) ActsOfPerson(ctx context.Context, person string) ([]api.StoredAct, error) {
	return r.acts(ctx, actsOfPerson, person)
}

// ActsOfProcedure lists the acts that are filed under a procedure.
func (r reader) ActsOfProcedure(ctx context.Context, procedure string) ([]api.StoredAct, error) {
	return r.acts(ctx, actsOfProcedure, procedure)
}

// ActsAbout lists the acts about a sitting, a rebuild, an appointment ….
func (r reader) ActsAbout(ctx context.Context, subject string) ([]api.StoredAct, error) {
	return r.acts(ctx, actsAbout, subject)
}

func (r reader) acts(ctx context.Context, s *statement, args ...any) ([]api.StoredAct, error) {
	var rows []actRow
	if err := r.list(ctx, &rows, s, args...); err != nil {
		return nil, err
	}
	acts := make([]api.StoredAct, len(rows))
	for i, row := range rows {
		acts[i] = row.act()
	}
	return acts, nil
}

var addAct = writes("add act", `
	INSERT INTO acts (seq, at, done_by, kind, person, procedure, subject, data)
	VALUES (?, ?, ?, ?, ?, ?, ?, ?)
	ON CONFLICT DO NOTHING`)

// AddActs keeps acts for good.
func (t txn) AddActs(ctx context.Context, acts []api.StoredAct) error {
	for _, a := range acts {
		if err := t.add(ctx, addAct, a.Seq, micros(a.At), textOrNull(a.By), string(a.Kind), a.Person, a.Procedure, a.Subject, blob(a.Data)); err != nil {
			return err
		}
	}
	return nil
}

var (
	unsettled = reads("list unsettled sittings", `
	SELECT sitting
	FROM unsettled
	WHERE handed <= ?
	ORDER BY handed, sitting
	LIMIT ?`)

	addUnsettled = writes("note that a sitting is unsettled", `
	INSERT INTO unsettled (sitting, handed)
	VALUES (?, ?)
	ON CONFLICT DO NOTHING`)

	dropUnsettled = writes("note that a sitting is settled", `
	DELETE FROM unsettled
	WHERE sitting = ?`)
)

// Unsettled lists sittings that wait for their final verdict.
func (r reader) Unsettled(ctx context.Context, handed time.Time, limit int) ([]string, error) {
	var ids []string
	if err := r.list(ctx, &ids, unsettled, micros(handed), limit); err != nil {
		return nil, err
	}
	return ids, nil
}

// AddUnsettled notes that a sitting waits for its final verdict.
func (t txn) AddUnsettled(ctx context.Context, sitting string, handed time.Time) error {
	return t.do(ctx, addUnsettled, sitting, micros(handed))
}

// DropUnsettled notes that a sitting waits no more.
func (t txn) DropUnsettled(ctx context.Context, sitting string) error {
	return t.do(ctx, dropUnsettled, sitting)
}
