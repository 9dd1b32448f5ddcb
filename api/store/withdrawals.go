package store

import (
	"context"
	"database/sql"

	"soloright/api"
	"soloright/content"
)

// withdrawalRow is a row of item_withdrawals.
type withdrawalRow struct {
	Procedure string           `db:"procedure"`
	Revision  string           `db:"revision"`
	Fact      string           `db:"fact"`
	Model     string           `db:"model"`
	Item      string           `db:"item"`
	N         int              `db:"n"`
	Withdrawn bool             `db:"withdrawn"`
	At        int64            `db:"at"`
	By        sql.Null[string] `db:"done_by"`
	Reason    string           `db:"reason"`
}

func (r withdrawalRow) withdrawal() api.Withdrawal {
	return api.Withdrawal{ItemSubject: api.ItemSubject{Procedure: r.Procedure, Revision: r.Revision, Fact: content.FactID(r.Fact), Model: r.Model, Item: r.Item},
		N: r.N, Withdrawn: r.Withdrawn, At: instant(r.At), By: r.By.V, Reason: r.Reason}
}

var (
	withdrawalsOf = reads("list withdrawals", `
	SELECT procedure, revision, fact, model, item, n, withdrawn, at, done_by, reason
	FROM item_withdrawals
	WHERE procedure = ?
	ORDER BY procedure, revision, fact, model, item, n`)

	everyWithdrawal = reads("list every withdrawal", `
	SELECT procedure, revision, fact, model, item, n, withdrawn, at, done_by, reason
	FROM item_withdrawals
	ORDER BY procedure, revision, fact, model, item, n`)
)

// Withdrawals lists withdrawals by subject and number.
func (r reader) Withdrawals(ctx context.Context, procedure string) ([]api.Withdrawal, error) {
	statement, args := everyWithdrawal, []any{}
	if procedure != "" {
		statement, args = withdrawalsOf, []any{procedure}
	}
	var rows []withdrawalRow
	if err := r.list(ctx, &rows, statement, args...); err != nil {
		return nil, err
	}
	all := make([]api.Withdrawal, len(rows))
	for i, row := range rows {
		all[i] = row.withdrawal()
	}
	return all, nil
}

var sittingsWith = reads("list sittings that hold an item", `
	SELECT DISTINCT s.id
	FROM sitting_items AS i
	JOIN sittings AS s ON s.id = i.sitting
	WHERE i.lead = ? AND i.model = ? AND ? IN ('', i.item) AND s.procedure = ? AND ? IN ('', s.revision)
	ORDER BY s.id`)

// SittingsWith lists sittings whose forms hold the subject.
func (r reader) SittingsWith(ctx context.Context, s api.ItemSubject) ([]string, error) {
	var ids []string
	err := r.list(ctx, &ids, sittingsWith, string(s.Fact), s.Model, s.Item, s.Procedure, s.Revision)
	return ids, err
}

var addWithdrawal = writes("add withdrawal", `
	INSERT INTO item_withdrawals (procedure, revision, fact, model, item, n, withdrawn, at, done_by, reason)
	VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)
	ON CONFLICT DO NOTHING`)

// AddWithdrawal keeps a withdrawal for good.
func (t txn) AddWithdrawal(ctx context.Context, w api.Withdrawal) error {
	return t.add(ctx, addWithdrawal, w.Procedure, w.Revision, string(w.Fact), w.Model, w.Item, w.N, w.Withdrawn, micros(w.At), textOrNull(w.By), w.Reason)
}
