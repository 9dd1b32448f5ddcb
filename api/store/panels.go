package store

import (
	"context"
	"fmt"
	"strconv"
	"strings"

	"soloright/api"
)

// panelRow is a row of panels.
type panelRow struct {
	ID        string `db:"id"`
	Procedure string `db:"procedure"`
	Revision  string `db:"revision"`
	Build     string `db:"build"`
	Judges    string `db:"judges"`
	Form      []byte `db:"form"`
	Digest    []byte `db:"digest"`
	Items     int    `db:"items"`
	Opened    int64  `db:"opened"`
	By        string `db:"opened_by"`
}

func (r panelRow) panel() api.Panel {
	return api.Panel{ID: r.ID, Procedure: r.Procedure, Revision: r.Revision, Build: r.Build, Form: r.Form, Digest: r.Digest, Items: r.Items, Opened: instant(r.Opened), By: r.By, Judges: strings.Fields(r.Judges)}
}

var (
	onePanel = reads("read panel", `
	SELECT id, procedure, revision, build, judges, form, digest, items, opened, opened_by
	FROM panels
	WHERE id = ?`)

	allPanels = reads("list panels", `
	SELECT id, procedure, revision, build, judges, digest, items, opened, opened_by
	FROM panels
	ORDER BY opened DESC, id DESC`)
)

// Panel reads a panel with its form.
func (r reader) Panel(ctx context.Context, id string) (api.Panel, error) {
	var row panelRow
	if err := r.get(ctx, &row, onePanel, id); err != nil {
		return api.Panel{}, err
	}
	return row.panel(), nil
}

// Panels lists panels without their forms.
func (r reader) Panels(ctx context.Context) ([]api.Panel, error) {
	var rows []panelRow
	if err := r.list(ctx, &rows, allPanels); err != nil {
		return nil, err
	}
	out := make([]api.Panel, len(rows))
	for i, row := range rows {
		out[i] = row.panel()
	}
	return out, nil
}

var addPanel = writes("add panel", `
	INSERT INTO panels (id, procedure, revision, build, judges, form, digest, items, opened, opened_by)
	VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)
	ON CONFLICT DO NOTHING`)

// AddPanel keeps a panel for good.
func (t txn) AddPanel(ctx context.Context, p api.Panel) error {
	return t.add(ctx, addPanel, p.ID, p.Procedure, p.Revision, p.Build, strings.Join(p.Judges, " "), blob(p.Form), blob(p.Digest), p.Items, micros(p.Opened), p.By)
}

// ratingsRow is a row of panel_ratings.
type ratingsRow struct {
	Panel    string `db:"panel"`
	Round    int    `db:"round"`
	Judge    string `db:"judge"`
	Rated    int64  `db:"rated"`
	Percents string `db:"percents"`
}

var ratingsOf = reads("list ratings", `
	SELECT panel, round, judge, rated, percents
	FROM panel_ratings
	WHERE panel = ?
	ORDER BY round, rated, judge`)

// RatingsOf lists the ratings of a panel.
func (r reader) RatingsOf(ctx context.Context, panel string) ([]api.PanelRatings, error) {
	var rows []ratingsRow
	if err := r.list(ctx, &rows, ratingsOf, panel); err != nil {
		return nil, err
	}
	out := make([]api.PanelRatings, len(rows))
	for i, row := range rows {
		out[i] = api.PanelRatings{Panel: row.Panel, Round: row.Round, Judge: row.Judge, At: instant(row.Rated), Percent: percents(row.Percents)}
	}
	return out, nil
}

var addRatings = writes("add ratings", `
	INSERT INTO panel_ratings (panel, round, judge, rated, percents)
	VALUES (?, ?, ?, ?, ?)
	ON CONFLICT DO NOTHING`)

// AddRatings keeps a judge's ratings for good.
func (t txn) AddRatings(ctx context.Context, r api.PanelRatings) error {
	text := strings.Trim(fmt.Sprint(r.Percent), "[]")
	return t.add(ctx, addRatings, r.Panel, r.Round, r.Judge, micros(r.At), text)
}

// percents reads ratings. What is no number was altered and reads as one that no
// judge gives; the check of the record then names the row.
func percents(text string) []int {
	var out []int
	for _, s := range strings.Fields(text) {
		p, err := strconv.Atoi(s)
		if err != nil {
			p = -1
		}
		out = append(out, p)
	}
	return out
}

// endRow is a row of panel_ends.
type endRow struct {
	Panel  string `db:"panel"`
	Round  int    `db:"round"`
	Closed bool   `db:"closed"`
	Ended  int64  `db:"ended"`
	By     string `db:"ended_by"`
	Note   string `db:"note"`
}

var endsOf = reads("list ends of rounds", `
	SELECT panel, round, closed, ended, ended_by, note
	FROM panel_ends
	WHERE panel = ?
	ORDER BY round`)

// EndsOf lists the ends of a panel's rounds.
func (r reader) EndsOf(ctx context.Context, panel string) ([]api.PanelEnd, error) {
	var rows []endRow
	if err := r.list(ctx, &rows, endsOf, panel); err != nil {
		return nil, err
	}
	out := make([]api.PanelEnd, len(rows))
	for i, row := range rows {
		out[i] = api.PanelEnd{Panel: row.Panel, Round: row.Round, Closed: row.Closed, At: instant(row.Ended), By: row.By, Note: row.Note}
	}
	return out, nil
}

var addPanelEnd = writes("end round", `
	INSERT INTO panel_ends (panel, round, closed, ended, ended_by, note)
	VALUES (?, ?, ?, ?, ?, ?)
	ON CONFLICT DO NOTHING`)

// AddPanelEnd keeps the end of a round for good.
func (t txn) AddPanelEnd(ctx context.Context, e api.PanelEnd) error {
	return t.add(ctx, addPanelEnd, e.Panel, e.Round, e.Closed, micros(e.At), e.By, e.Note)
}
