package store_test

import (
	"database/sql"
	"fmt"
	"regexp"
	"strings"
	"testing"

	"soloright/api/store"
	"soloright/api/testenv"
)

// scans are the statements that read a whole table, or the whole of an index,
// because that is what they are for.
var scans = map[string]bool{
	"list people":                 true,
	"list the keys of the ledger": true,
	"list current revisions":      true, // by procedure, along the key
	"list open sittings":          true, // as many as people are sitting right now
	"list sittings":               true, // newest first, along its index, up to the limit
	"list unmarked sittings":      true, // oldest first, along its index, up to the limit
	"list checks of the record":   true, // newest first, along its index, up to the limit

	"list every withdrawal": true, // a check of the record reads all of it

	"list panels": true, // newest first, along its index: a cut is found a few times a year

	"list rebuilds":                  true, // newest first, along its index, up to the limit
	"list open rebuilds":             true, // as many as are being observed right now
	"list open rebuilds of a person": true,
	"list wrenches":                  true, // a workshop's
	"list calibrations":              true,
}

// Every other statement finds its rows by an index, however many there are.
func TestSQLiteStatementsUseIndexes(t *testing.T) {
	folder := t.TempDir()
	s := open(t, store.Config{Folder: folder})
	db := raw(t, "sqlite", "file:"+folder+"/soloright.db")
	for _, st := range s.Texts() {
		plan := explain(t, db, "EXPLAIN QUERY PLAN "+st.SQL, strings.Count(st.SQL, "?"))
		if found := strings.Contains(plan, "SCAN "); found && !scans[st.Does] {
			t.Errorf("%s reads a whole table:\n%s", st.Does, plan)
		}
		if index := ways[st.Does]; !strings.Contains(plan, index) {
			t.Errorf("%s does not go by %s:\n%s", st.Does, index, plan)
		}
		if strings.Contains(plan, "TEMP B-TREE FOR ORDER BY") && !sorts[st.Does] {
			t.Errorf("%s sorts what it could read in order:\n%s", st.Does, plan)
		}
	}
}

// ways are the indexes of statements that could go by a worse one.
var ways = map[string]string{
	"list entries of the ledger":        "(n>?)",
	"list responses":                    "(place>?)",
	"list sittings that hold an item":   "sitting_items_of_family (lead=? AND model=?)",
	"list sittings without responses":   "(sitting>?)",
	"list entries of a record":          "ledger_entries_of_subject (subject=?)",
	"list sittings by id":               "(id>?)",
	"list items met":                    "sittings_of_person_on (person=? AND procedure=? AND opened<?)",
	"list facts missed":                 "sittings_of_person_on (person=? AND procedure=? AND opened<?)",
	"list a person's sittings":          "sittings_of_person (person=?)",
	"list a procedure's sittings":       "sittings_of_procedure (procedure=?)",
	"list sittings":                     "sittings_by_time",
	"list panels":                       "panels_by_time",
	"list checks of the record":         "record_checks_by_time",
	"list overdue sittings":             "open_sittings_by_deadline (deadline<?)",
	"list acts":                         "(seq>?)",
	"list acts of a person":             "acts_of_person (person=?)",
	"list acts on a procedure":          "acts_of_procedure (procedure=?)",
	"list acts about a subject":         "acts_of_subject (subject=?)",
	"list unsettled sittings":           "unsettled_by_time (handed<?)",
	"list sittings that confirm one":    "(confirms=?)",
	"list a person's open sittings":     "(person=?)",
	"read person by sign-in":            "(sign_in=?)",
	"drop expired sessions":             "(person=?)",
	"list current revisions":            "(procedure=?",
	"list sittings handed in":           "(sitting>?)",
	"note that a hand-in waits no more": "(sitting=?)",

	"list rebuilds":                      "rebuilds_by_time",
	"list rebuilds of a person":          "rebuilds_of_technician (technician=?)",
	"list rebuilds with a wrench":        "rebuild_wrenches_by_wrench (wrench=?)",
	"list refused passwords of a person": "refused_passwords_of_person (person=? AND refused>?)",
}

// sorts are the statements that sort a few rows of one person or of now.
var sorts = map[string]bool{"list facts missed": true, "list open sittings": true, "list a person's open sittings": true,
	"list open rebuilds": true, "list open rebuilds of a person": true, "list signatures": true, "list rebuilds of a person": true, "list rebuilds with a wrench": true}

// The same on PostgreSQL, told to avoid scans where it can: on tables this small
// it would not look at an index by itself.
func TestPostgreSQLStatementsUseIndexes(t *testing.T) {
	dsn := testenv.PostgreSQL(t)
	s := open(t, store.Config{URL: dsn})
	db := raw(t, "postgres", dsn+"&enable_seqscan=off&enable_indexonlyscan=off&plan_cache_mode=force_generic_plan")
	placeholder := regexp.MustCompile(`\$\d+`)
	for i, st := range s.Texts() {
		name := fmt.Sprint("st", i)
		if _, err := db.Exec("PREPARE " + name + " AS " + st.SQL); err != nil {
			t.Fatalf("%s: %v", st.Does, err)
		}
		db.SetMaxOpenConns(1)
		nulls := strings.TrimSuffix(strings.Repeat("NULL, ", len(placeholder.FindAllString(st.SQL, -1))), ", ")
		if nulls != "" {
			nulls = "(" + nulls + ")"
		}
		plan := explain(t, db, "EXPLAIN EXECUTE "+name+nulls, 0)
		if strings.Contains(plan, "Seq Scan on ") && !scans[st.Does] {
			t.Errorf("%s reads a whole table:\n%s", st.Does, plan)
		}
	}
}

// explain returns a plan, with NULL for each of n placeholders.
func explain(t testing.TB, db *sql.DB, query string, n int) string {
	t.Helper()
	rows, err := db.Query(query, make([]any, n)...)
	if err != nil {
		t.Fatalf("%s: %v", query, err)
	}
	defer rows.Close()
	columns, err := rows.Columns()
	if err != nil {
		t.Fatal(err)
	}
	var plan strings.Builder
	for rows.Next() {
		cells := make([]any, len(columns))
		var text string
		for i := range cells {
			cells[i] = new(any)
		}
		cells[len(cells)-1] = &text
		if err := rows.Scan(cells...); err != nil {
			t.Fatal(err)
		}
		plan.WriteString(text + "\n")
	}
	if err := rows.Err(); err != nil {
		t.Fatal(err)
	}
	return plan.String()
}
