package storetest

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"soloright/api"
	"soloright/scoring/ledger"
)

// The tables, each in one of two lists: a new table is put into one of them
// here, and the suite holds the database to it.
var (
	appendOnlyTables = []string{"revisions", "sittings", "forms", "sitting_items", "hand_ins", "marks", "fact_marks", "voids", "acts", "item_withdrawals", "cards", "card_revocations", "ledger_entries", "ledger_keys",
		"refused_passwords", "signatures", "wrenches", "calibrations", "rebuilds", "rebuild_wrenches", "rebuild_voids", "abandoned_rebuilds",
		"panels", "panel_ratings", "panel_ends"}
	workingTables = []string{"people", "sessions", "open_sittings", "answers", "unmarked", "unsettled", "record_checks", "responses", "ledger_head", "goose_db_version",
		"open_rebuilds", "rebuild_entries"}
)

func everyTable(t *testing.T, db Database) {
	db.Open(t)
	a := attacker{t, db.Raw(t), db.PostgreSQL}
	want := append(slices.Clone(appendOnlyTables), workingTables...)
	slices.Sort(want)
	query := "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%'"
	if db.PostgreSQL {
		query = "SELECT table_name FROM information_schema.tables WHERE table_schema = current_schema() AND table_type = 'BASE TABLE'"
	}
	got := a.texts(query)
	slices.Sort(got)
	same(t, "the tables", got, want)
}

// appendOnly sends each table everything that SQL has to change a row.
func appendOnly(t *testing.T, db Database) {
	fillAll(with(t, db.Open(t)))
	a := attacker{t, db.Raw(t), db.PostgreSQL}
	before := map[string][]string{}
	for _, table := range appendOnlyTables {
		before[table] = a.rows(table)
		if len(before[table]) == 0 {
			t.Fatalf("%s is empty: nothing would be attacked", table)
		}
	}
	for _, table := range appendOnlyTables {
		for _, statement := range a.attacks(table) {
			a.refused(table, statement)
		}
	}
	for _, table := range appendOnlyTables {
		same(t, table+" after the attacks", a.rows(table), before[table])
	}
}

// fillAll puts rows into every append-only table, with every unique key in use.
func fillAll(f fixture) {
	f.opened(sitting("s", "ana", api.Qualifying, 0))
	f.put("s", answer(1, 1))
	f.handedIn("s", 1)
	f.marked(marking("s", 1, 2), facts())
	confirming := sitting("c", "ana", api.Qualifying, 3)
	confirming.Confirms = "s"
	f.opened(confirming)
	f.handedIn("c", 4)
	f.marked(marking("c", 1, 5), facts())
	f.cards()
	f.tx(func(tx api.Tx) error {
		return errors.Join(tx.AddVoid(background, api.Void{Sitting: "c", At: minutes(6), By: "bo", Reason: "x"}), tx.AddRevision(background, revision("pump", "2", 5)),
			tx.AddActs(background, []api.StoredAct{act(1, 7)}),
			tx.AddWithdrawal(background, withdrawal(1)),
			fillRebuilds(tx),
			fillPanels(tx),
			tx.AddLedgerKey(background, ledger.Key{Verifier: Signer().Verifier()}),
			api.AppendEntries(background, tx, Signer(), Entry("s", 0), Entry("s", 1)))
	})
}

// An attacker has a database shell.
type attacker struct {
	t    testing.TB
	raw  *sql.DB
	isPG bool
}

// refused fails the test unless the database refuses the statement, and for the
// reason we want: a typing mistake in an attack would be refused as well.
func (a attacker) refused(table, statement string) {
	a.t.Helper()
	conn, err := a.raw.Conn(background)
	if err != nil {
		a.t.Fatal(err)
	}
	defer conn.Close()
	for _, s := range strings.Split(statement, ";\n") {
		_, err = conn.ExecContext(background, s)
	}
	if a.isPG { // the connection goes back to the pool as it was
		if _, err := conn.ExecContext(context.WithoutCancel(background), "RESET session_replication_role"); err != nil {
			a.t.Fatal(err)
		}
	}
	switch {
	case err == nil:
		a.t.Errorf("%s took: %s", table, statement)
	case strings.Contains(err.Error(), table+" is append-only"), strings.Contains(err.Error(), table+" has this key already"):
	case strings.Contains(statement, "rowid") && strings.Contains(err.Error(), "has no column named rowid"):
	default:
		a.t.Errorf("%s refused %s for another reason: %v", table, statement, err)
	}
}

// attacks are the statements that change or delete rows of a table.
func (a attacker) attacks(table string) []string {
	columns, keys := a.columns(table), a.keys(table)
	if len(keys) == 0 {
		a.t.Fatalf("%s has no unique key", table)
	}
	all := []string{"DELETE FROM " + table}
	for _, c := range columns {
		all = append(all, fmt.Sprintf("UPDATE %s SET %s = %s", table, c.name, c.name))
	}
	for _, key := range keys {
		insert := fmt.Sprintf("INTO %s (%s) SELECT %s FROM %s WHERE %s IS NOT NULL", table, names(columns), a.clash(columns, key), table, key[0])
		upsert := fmt.Sprintf("INSERT %s ON CONFLICT (%s) DO UPDATE SET %s = excluded.%s", insert, strings.Join(key, ", "), columns[0].name, columns[0].name)
		all = append(all, upsert)
		if !a.isPG {
			all = append(all, "INSERT OR REPLACE "+insert, "REPLACE "+insert, "PRAGMA recursive_triggers = OFF;\nINSERT OR REPLACE "+insert,
				"INSERT OR FAIL "+insert)
		}
	}
	if !a.isPG {
		return append(all, fmt.Sprintf("UPDATE OR REPLACE %s SET %s = %s", table, columns[0].name, columns[0].name),
			// A new row in the place of an old one, which it shares no key with.
			fmt.Sprintf("INSERT OR REPLACE INTO %s (rowid, %s) SELECT 1, %s FROM %s", table, names(columns), a.clash(columns, nil), table))
	}
	same := make([]string, len(keys[0]))
	for i, c := range keys[0] {
		same[i] = fmt.Sprintf("into_.%s = from_.%s", c, c)
	}
	merge := fmt.Sprintf("MERGE INTO %s AS into_ USING %s AS from_ ON %s WHEN MATCHED THEN ", table, table, strings.Join(same, " AND "))
	all = append(all, "TRUNCATE "+table+" CASCADE", merge+"DELETE", merge+fmt.Sprintf("UPDATE SET %s = from_.%s", columns[0].name, columns[0].name),
		fmt.Sprintf("WITH gone AS (DELETE FROM %s RETURNING 1) SELECT COUNT(*) FROM gone", table))
	for _, s := range slices.Clone(all) { // as a replica would apply it
		all = append(all, "SET session_replication_role = replica;\n"+s)
	}
	return all
}

// clash selects rows that meet an existing one in one unique key and differ
// from it in all other columns.
func (a attacker) clash(columns []column, key []string) string {
	out := make([]string, len(columns))
	for i, c := range columns {
		switch {
		case slices.Contains(key, c.name):
			out[i] = c.name
		case c.kind == "text":
			out[i] = c.name + " || '-forged'"
		case c.kind == "blob", c.kind == "bytea":
			out[i] = map[bool]string{true: `'\x00'::bytea`, false: "x'00'"}[a.isPG]
		case c.kind == "boolean":
			out[i] = "NOT " + c.name
		default:
			out[i] = c.name + " + 1000"
		}
	}
	return strings.Join(out, ", ")
}

// A column of a table; kind is its type in lower case.
type column struct{ name, kind string }

func names(columns []column) string {
	out := make([]string, len(columns))
	for i, c := range columns {
		out[i] = c.name
	}
	return strings.Join(out, ", ")
}

func (a attacker) columns(table string) []column {
	query := "SELECT name || ' ' || lower(type) FROM pragma_table_info('" + table + "')"
	if a.isPG {
		query = "SELECT column_name || ' ' || data_type FROM information_schema.columns WHERE table_schema = current_schema() AND table_name = '" + table + "' ORDER BY ordinal_position"
	}
	var out []column
	for _, s := range a.texts(query) {
		name, kind, _ := strings.Cut(s, " ")
		out = append(out, column{name, kind})
	}
	return out
}

// keys are the columns of each unique key of a table.
func (a attacker) keys(table string) [][]string {
	query := `SELECT (SELECT group_concat(name) FROM pragma_index_info(l.name)) FROM pragma_index_list('` + table + `') AS l WHERE l."unique"`
	if a.isPG {
		query = `SELECT string_agg(c.attname, ',' ORDER BY k.place) FROM pg_index AS i
			CROSS JOIN unnest(i.indkey) WITH ORDINALITY AS k(number, place)
			JOIN pg_attribute AS c ON c.attrelid = i.indrelid AND c.attnum = k.number
			WHERE i.indrelid = '` + table + `'::regclass AND i.indisunique GROUP BY i.indexrelid`
	}
	var out [][]string
	for _, s := range a.texts(query) {
		out = append(out, strings.Split(s, ","))
	}
	return out
}

// rows returns every row of a table as text, sorted.
func (a attacker) rows(table string) []string {
	var cells []string
	for _, c := range a.columns(table) {
		cell := "COALESCE(CAST(" + c.name + " AS TEXT), 'NULL')"
		if c.kind == "blob" {
			cell = "hex(" + c.name + ")"
		}
		cells = append(cells, cell)
	}
	got := a.texts("SELECT " + strings.Join(cells, " || '|' || ") + " FROM " + table)
	slices.Sort(got)
	return got
}

// texts returns the one text column of a query.
func (a attacker) texts(query string) []string {
	a.t.Helper()
	rows, err := a.raw.Query(query)
	if err != nil {
		a.t.Fatalf("%s: %v", query, err)
	}
	defer rows.Close()
	var out []string
	for rows.Next() {
		var s string
		if err := rows.Scan(&s); err != nil {
			a.t.Fatal(err)
		}
		out = append(out, s)
	}
	if err := rows.Err(); err != nil {
		a.t.Fatal(err)
	}
	return out
}
