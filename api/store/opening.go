package store

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"

	"soloright/api"
)

var (
	addSitting = writes("add sitting", `
	INSERT INTO sittings (id, person, procedure, revision, build, mode, confirms, opened, deadline, items, digest)
	VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)
	ON CONFLICT DO NOTHING`)

	addOpen = writes("open sitting", `
	INSERT INTO open_sittings (sitting, person, procedure, mode, confirms, opened, deadline)
	VALUES (?, ?, ?, ?, ?, ?, ?)
	ON CONFLICT DO NOTHING`)

	addForm = writes("add form", `
	INSERT INTO forms (sitting, form)
	VALUES (?, ?)
	ON CONFLICT DO NOTHING`)
)

// addItems is not prepared: sqlx writes it with as many rows as there are
// items, so that they cost one round trip.
const addItems = `
	INSERT INTO sitting_items (sitting, sheet, item, model, lead, topic, facts)
	VALUES (:sitting, :sheet, :item, :model, :lead, :topic, :facts)`

// itemRow is a row of sitting_items.
type itemRow struct {
	Sitting string `db:"sitting"`
	Sheet   int    `db:"sheet"`
	Item    string `db:"item"`
	Model   string `db:"model"`
	Lead    string `db:"lead"`
	Topic   string `db:"topic"`
	Facts   string `db:"facts"` // a JSON array
}

// AddSitting writes a sitting, its form and its items, and opens it, or writes
// nothing. ErrExists where the id is taken, where the person has an open
// sitting of that mode on that procedure, or, for one that confirms another,
// where that other one was confirmed before, by whatever came of it.
func (t txn) AddSitting(ctx context.Context, s api.Sitting, form []byte, items []api.MetItem) error {
	return t.whole(ctx, func() error {
		err := t.add(ctx, addSitting, s.ID, s.Person, s.Procedure, s.Revision, s.Build, string(s.Mode), textOrNull(s.Confirms),
			micros(s.Opened), micros(s.Deadline), s.Items, blob(s.Digest))
		if err != nil {
			return err
		}
		if err := t.add(ctx, addOpen, s.ID, s.Person, s.Procedure, string(s.Mode), s.Confirms, micros(s.Opened), micros(s.Deadline)); err != nil {
			return err
		}
		if err := t.add(ctx, addForm, s.ID, blob(form)); err != nil {
			return err
		}
		return t.addItems(ctx, s.ID, items)
	})
}

func (t txn) addItems(ctx context.Context, sitting string, items []api.MetItem) error {
	rows := make([]itemRow, len(items))
	for i, m := range items {
		facts, err := json.Marshal(m.Facts)
		if err != nil {
			return fmt.Errorf("encode facts of %s/%d: %w", sitting, m.Sheet, err)
		}
		rows[i] = itemRow{Sitting: sitting, Sheet: m.Sheet, Item: m.Item, Model: m.Model, Lead: string(m.Lead), Topic: string(m.Topic), Facts: string(facts)}
	}
	return addRows(ctx, t, "add items", addItems, rows)
}

// whole runs f so that nothing of it stays when it fails, and the transaction
// can go on.
func (t txn) whole(ctx context.Context, f func() error) error {
	if _, err := t.tx.ExecContext(ctx, "SAVEPOINT whole"); err != nil {
		return fmt.Errorf("set savepoint: %w", err)
	}
	end := "RELEASE SAVEPOINT whole"
	err := f()
	if err != nil {
		end = "ROLLBACK TO SAVEPOINT whole"
	}
	_, ended := t.tx.ExecContext(ctx, end)
	return errors.Join(err, ended)
}

// addRows inserts rows, a few hundred in each statement: both databases limit
// how many placeholders one may have.
func addRows[R any](ctx context.Context, t txn, does, text string, rows []R) error {
	for len(rows) > 0 {
		n := min(len(rows), 500)
		if _, err := t.tx.NamedExecContext(ctx, text, rows[:n]); err != nil {
			return fmt.Errorf("%s: %w", does, t.mean(err))
		}
		rows = rows[n:]
	}
	return nil
}
