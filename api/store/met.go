package store

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"time"

	"soloright/api"
	"soloright/content"
)

var itemsMet = reads("list items met", `
	SELECT i.sitting, i.sheet, i.item, i.model, i.lead, i.topic, i.facts
	FROM sittings AS s
	JOIN sitting_items AS i ON i.sitting = s.id
	WHERE s.person = ? AND s.procedure = ? AND s.opened < ?
	ORDER BY s.opened, s.id, i.sheet`)

var factsMissed = reads("list facts missed", `
	SELECT f.sitting, f.sheet, f.fact
	FROM sittings AS s
	JOIN fact_marks AS f ON f.sitting = s.id
		AND f.n = (SELECT MAX(n) FROM marks WHERE sitting = s.id AND marked <= ?)
	WHERE s.person = ? AND s.procedure = ? AND s.opened < ? AND f.state <> 'right'
	ORDER BY f.fact`)

// sheetKey is one sheet of one sitting.
type sheetKey struct {
	Sitting string `db:"sitting"`
	Sheet   int    `db:"sheet"`
}

// Met lists what a person met in a procedure's sittings, also void and open
// ones, by when the sitting was opened, then by sheet. Missed are the facts
// wrong or blank in the marking that stood at the time before, each once, in
// the order of their ids.
func (r reader) Met(ctx context.Context, person, procedure string, before time.Time) ([]api.MetItem, error) {
	missed, err := r.missed(ctx, person, procedure, before)
	if err != nil {
		return nil, err
	}
	var rows []itemRow
	if err := r.list(ctx, &rows, itemsMet, person, procedure, micros(before)); err != nil {
		return nil, err
	}
	met, err := itemsOf(rows)
	for i, m := range met {
		met[i].Missed = missed[sheetKey{m.Sitting, m.Sheet}]
	}
	return met, err
}

func itemsOf(rows []itemRow) ([]api.MetItem, error) {
	items := make([]api.MetItem, len(rows))
	for i, row := range rows {
		var facts []content.FactID
		if err := json.Unmarshal([]byte(row.Facts), &facts); err != nil {
			return nil, fmt.Errorf("decode facts of %s/%d: %w", row.Sitting, row.Sheet, err)
		}
		items[i] = api.MetItem{Sitting: row.Sitting, Sheet: row.Sheet, Item: row.Item, Model: row.Model, Lead: content.FactID(row.Lead),
			Topic: content.Topic(row.Topic), Facts: facts}
	}
	return items, nil
}

var itemsSet = reads("list items set", `
	SELECT sitting, sheet, item, model, lead, topic, facts
	FROM sitting_items
	WHERE sitting = ?
	ORDER BY sheet`)

// ItemsOf lists the items of a sitting by sheet.
func (r reader) ItemsOf(ctx context.Context, sitting string) ([]api.MetItem, error) {
	var rows []itemRow
	if err := r.list(ctx, &rows, itemsSet, sitting); err != nil {
		return nil, err
	}
	return itemsOf(rows)
}

// missed returns the facts missed by sheet.
func (r reader) missed(ctx context.Context, person, procedure string, before time.Time) (map[sheetKey][]content.FactID, error) {
	var rows []struct {
		sheetKey
		Fact string `db:"fact"`
	}
	if err := r.list(ctx, &rows, factsMissed, micros(before), person, procedure, micros(before)); err != nil {
		return nil, err
	}
	missed := map[sheetKey][]content.FactID{}
	for _, row := range rows {
		missed[row.sheetKey] = append(missed[row.sheetKey], content.FactID(row.Fact))
	}
	for key, facts := range missed {
		missed[key] = slices.Compact(facts)
	}
	return missed, nil
}
