package store

import (
	"context"
	"database/sql"
	"fmt"

	"soloright/api"
	"soloright/content"
)

// wrenchRow is a row of wrenches.
type wrenchRow struct {
	ID      string           `db:"id"`
	Kind    string           `db:"kind"`
	Lowest  string           `db:"lowest"`
	Highest string           `db:"highest"`
	Added   int64            `db:"added"`
	By      sql.Null[string] `db:"added_by"`
}

func (r wrenchRow) wrench() api.Wrench {
	return api.Wrench{ID: r.ID, Kind: api.WrenchKind(r.Kind), Lowest: r.Lowest, Highest: r.Highest, Added: instant(r.Added), By: r.By.V}
}

// calibrationRow is a row of calibrations. Result is "good" or "out".
type calibrationRow struct {
	Wrench      string           `db:"wrench"`
	N           int              `db:"n"`
	Done        string           `db:"done"`
	Due         string           `db:"due"`
	Result      string           `db:"result"`
	Certificate string           `db:"certificate"`
	Recorded    int64            `db:"recorded"`
	By          sql.Null[string] `db:"recorded_by"`
}

const goodResult, outResult = "good", "out"

func (r calibrationRow) calibration() (api.Calibration, error) {
	c := api.Calibration{Wrench: r.Wrench, N: r.N, Good: r.Result == goodResult, Certificate: r.Certificate, At: instant(r.Recorded), By: r.By.V}
	var err error
	if c.Done, err = content.ParseDate(r.Done); err == nil {
		c.Due, err = content.ParseDate(r.Due)
	}
	if err != nil {
		return c, fmt.Errorf("read calibration %d of %s: %w", r.N, r.Wrench, err)
	}
	return c, nil
}

var (
	oneWrench = reads("read wrench", `
	SELECT id, kind, lowest, highest, added, added_by
	FROM wrenches
	WHERE id = ?`)

	allWrenches = reads("list wrenches", `
	SELECT id, kind, lowest, highest, added, added_by
	FROM wrenches
	ORDER BY id`)

	addWrench = writes("add wrench", `
	INSERT INTO wrenches (id, kind, lowest, highest, added, added_by)
	VALUES (?, ?, ?, ?, ?, ?)
	ON CONFLICT DO NOTHING`)

	calibrationsOf = reads("list calibrations of a wrench", `
	SELECT wrench, n, done, due, result, certificate, recorded, recorded_by
	FROM calibrations
	WHERE wrench = ?
	ORDER BY n`)

	allCalibrations = reads("list calibrations", `
	SELECT wrench, n, done, due, result, certificate, recorded, recorded_by
	FROM calibrations
	ORDER BY wrench, n`)

	addCalibration = writes("add calibration", `
	INSERT INTO calibrations (wrench, n, done, due, result, certificate, recorded, recorded_by)
	VALUES (?, ?, ?, ?, ?, ?, ?, ?)
	ON CONFLICT DO NOTHING`)
)

// Wrench finds a wrench by the id engraved on it.
func (r reader) Wrench(ctx context.Context, id string) (api.Wrench, error) {
	var row wrenchRow
	if err := r.get(ctx, &row, oneWrench, id); err != nil {
		return api.Wrench{}, err
	}
	return row.wrench(), nil
}

// Wrenches lists the wrenches by id.
func (r reader) Wrenches(ctx context.Context) ([]api.Wrench, error) {
	var rows []wrenchRow
	if err := r.list(ctx, &rows, allWrenches); err != nil {
		return nil, err
	}
	out := make([]api.Wrench, len(rows))
	for i, row := range rows {
		out[i] = row.wrench()
	}
	return out, nil
}

// Calibrations lists the calibrations of a wrench, for "" those of all.
func (r reader) Calibrations(ctx context.Context, wrench string) ([]api.Calibration, error) {
	s, args := calibrationsOf, []any{wrench}
	if wrench == "" {
		s, args = allCalibrations, nil
	}
	var rows []calibrationRow
	if err := r.list(ctx, &rows, s, args...); err != nil {
		return nil, err
	}
	out := make([]api.Calibration, len(rows))
	for i, row := range rows {
		var err error
		if out[i], err = row.calibration(); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// AddWrench keeps a wrench for good.
func (t txn) AddWrench(ctx context.Context, w api.Wrench) error {
	return t.add(ctx, addWrench, w.ID, string(w.Kind), w.Lowest, w.Highest, micros(w.Added), textOrNull(w.By))
}

// AddCalibration keeps a calibration for good. ErrExists where there is one of
// that number, ErrNone where there is no such wrench.
func (t txn) AddCalibration(ctx context.Context, c api.Calibration) error {
	result := outResult
	if c.Good {
		result = goodResult
	}
	return t.add(ctx, addCalibration, c.Wrench, c.N, c.Done.String(), c.Due.String(), result, c.Certificate, micros(c.At), textOrNull(c.By))
}
