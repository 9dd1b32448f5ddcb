package api_test

import (
	"context"
	"database/sql"
	"fmt"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"soloright/api"
	"soloright/api/store"
	"soloright/api/testenv"
	"soloright/content"
	"soloright/scoring/clearance"
)

// BenchmarkRegister measures the register of a site on a past day, today and a
// coming day, against a bare SELECT of the same columns of as many rows, scanned
// in the same run from the same database: of-bare is the ratio to hold, at most 2.
// The site has 10 000 people on 20 procedures and two million acts; -short scales
// it down. Beside it: how long a fresh instance takes to fold the whole record
// once, what the register costs after another act, and one person's standing,
// which has to stay under 5 ms.
//
//	go test ./api -run '^$' -bench Register -benchtime 3x -timeout 30m
func BenchmarkRegister(b *testing.B) {
	b.Run("SQLite", func(b *testing.B) { registerOf(b, b.TempDir(), "") })
	b.Run("PostgreSQL", func(b *testing.B) { registerOf(b, "", testenv.PostgreSQL(b)) })
}

// crowd is a large site.
type crowd struct {
	people, procedures int
	db                 *sql.DB
	app                *api.App
	numbered           bool // placeholders are $1, $2 …
	begun              time.Time
}

func registerOf(b *testing.B, folder, url string) {
	c := crowd{people: 10_000, procedures: 20, numbered: url != "", begun: time.Date(2024, 1, 1, 6, 0, 0, 0, time.UTC)}
	if testing.Short() {
		c.people, c.procedures = 300, 5
	}
	st, err := store.Open(b.Context(), store.Config{Folder: folder, URL: url, Careless: true})
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { _ = st.Close() })
	driver, name := "sqlite", "file:"+filepath.Join(folder, "soloright.db")
	if url != "" {
		driver, name = "postgres", url
	}
	if c.db, err = sql.Open(driver, name); err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { _ = c.db.Close() })
	c.fill(b)
	now := func() time.Time { return c.begun.AddDate(3, 0, 0) }
	c.app = api.New(api.Config{Store: st, Clock: now, Entropy: zeros{}})
	started := time.Now()
	c.standing(b, 0)
	fold := time.Since(started)
	part := c.register(b, "2025-06-30")
	c.keepBare(b, part)
	b.Run("standing", func(b *testing.B) {
		const questions = 200
		var worst time.Duration
		for b.Loop() {
			for i := range questions {
				begun := time.Now()
				c.standing(b, i*37)
				worst = max(worst, time.Since(begun))
			}
		}
		b.ReportMetric(0, "ns/op")
		b.ReportMetric(b.Elapsed().Seconds()*1e3/float64(b.N*questions), "ms")
		b.ReportMetric(worst.Seconds()*1e3, "worst-ms")
	})
	b.Run("page", func(b *testing.B) {
		for b.Loop() {
			part, err := c.app.RegisterPart(b.Context(), api.Operator(), api.RegisterAsk{From: c.people, Limit: 50})
			if err != nil || len(part.Lines) != 50 {
				b.Fatal(len(part.Lines), err)
			}
		}
	})
	for _, day := range []string{"2025-06-30", "2026-12-31", "2027-09-01"} {
		b.Run("register/"+day, func(b *testing.B) { c.compare(b, day, fold) })
	}
}

// compare reads the register and the bare rows in turns.
func (c crowd) compare(b *testing.B, day string, fold time.Duration) {
	var ours, bare time.Duration
	rows := 0
	for b.Loop() {
		begun := time.Now()
		rows = len(c.register(b, day).Lines)
		ours += time.Since(begun)
		begun = time.Now()
		if n := c.scanBare(b); n != rows {
			b.Fatalf("%d bare rows against %d lines", n, rows)
		}
		bare += time.Since(begun)
	}
	b.ReportMetric(0, "ns/op")
	b.ReportMetric(ours.Seconds()/bare.Seconds(), "of-bare")
	b.ReportMetric(ours.Seconds()*1e3/float64(b.N), "register-ms")
	b.ReportMetric(bare.Seconds()*1e3/float64(b.N), "bare-ms")
	b.ReportMetric(float64(rows), "rows")
	b.ReportMetric(fold.Seconds(), "first-fold-s")
}

func (c crowd) register(b *testing.B, day string) api.RegisterPart {
	b.Helper()
	on, err := content.ParseDate(day)
	if err != nil {
		b.Fatal(err)
	}
	part, err := c.app.RegisterPart(b.Context(), api.Operator(), api.RegisterAsk{On: on})
	if err != nil {
		b.Fatal(err)
	}
	return part
}

func (c crowd) standing(b *testing.B, i int) {
	b.Helper()
	q := api.StandingQuery{Person: personOf(i % c.people), Procedure: procedureOf(i % c.procedures)}
	if s, err := c.app.Standing(b.Context(), api.Operator(), q); err != nil || s.Reason == "" {
		b.Fatal(s, err)
	}
}

func personOf(i int) string    { return fmt.Sprintf("person-%05d", i) }
func procedureOf(i int) string { return fmt.Sprintf("procedure-%02d", i) }

const bareColumns = "person, name, crew, procedure, title, state, cleared, revision, until, due, lapsing, reason, changed"

// keepBare writes the lines of a register into a table of their own.
func (c crowd) keepBare(b *testing.B, part api.RegisterPart) {
	b.Helper()
	_, err := c.db.Exec("CREATE TABLE bare_register (person TEXT, name TEXT, crew TEXT, procedure TEXT, title TEXT, state TEXT, cleared BOOLEAN, revision TEXT, until TEXT, due TEXT, lapsing BOOLEAN, reason TEXT, changed BIGINT)")
	if err != nil {
		b.Fatal(err)
	}
	in := c.inserter(b, "bare_register", strings.Split(bareColumns, ", "))
	for _, l := range part.Lines {
		in.row(l.Person, l.Name, l.Crew, l.Procedure, l.Title, string(l.State), l.Cleared, l.Revision, l.Until.String(), l.Due.String(), l.Lapsing, l.Reason, l.ChangedAt.UnixMicro())
	}
	in.end()
}

// scanBare selects and scans the bare rows.
func (c crowd) scanBare(b *testing.B) (n int) {
	b.Helper()
	rows, err := c.db.QueryContext(context.Background(), "SELECT "+bareColumns+" FROM bare_register")
	if err != nil {
		b.Fatal(err)
	}
	defer rows.Close()
	type line struct {
		person, name, crew, procedure, title, state, revision, until, due, reason string
		cleared, lapsing                                                          bool
		changed                                                                   int64
	}
	var all []line
	for rows.Next() {
		var l line
		if err := rows.Scan(&l.person, &l.name, &l.crew, &l.procedure, &l.title, &l.state, &l.cleared, &l.revision, &l.until, &l.due, &l.lapsing, &l.reason, &l.changed); err != nil {
			b.Fatal(err)
		}
		all = append(all, l)
	}
	if err := rows.Err(); err != nil {
		b.Fatal(err)
	}
	return len(all)
}

// fill writes people and acts past the use cases: ten acts for each person on each
// procedure over three years, as a site puts them on the record.
func (c crowd) fill(b *testing.B) {
	b.Helper()
	people := c.inserter(b, "people", []string{"id", "sign_in", "name", "role", "password", "crew", "added"})
	people.row("assessor", "assessor", "The Assessor", "trainer", "", "days", c.begun.UnixMicro())
	for i := range c.people {
		people.row(personOf(i), personOf(i), fmt.Sprintf("Rowan Fairweather %05d", i), "technician", "", "nights", c.begun.UnixMicro())
	}
	people.end()
	acts := &actWriter{crowd: c, to: c.inserter(b, "acts", []string{"seq", "at", "kind", "person", "procedure", "subject", "data"})}
	acts.fill()
	acts.to.end()
	if _, err := c.db.Exec("ANALYZE"); err != nil {
		b.Fatal(err)
	}
}

// actWriter writes acts in the order of time.
type actWriter struct {
	crowd
	to  *inserter
	seq int64
}

const actsOfAPair = 10

func (w *actWriter) at() time.Time {
	total := int64(w.people * w.procedures * actsOfAPair)
	return w.begun.Add(time.Duration(w.seq * int64(3*365*24*time.Hour) / total)).Truncate(time.Microsecond)
}

func (w *actWriter) put(person, procedure, subject string, act clearance.Act) {
	w.seq++
	kind, data, err := clearance.Encode(act)
	if err != nil {
		w.to.b.Fatal(err)
	}
	w.to.row(w.seq, w.at().UnixMicro(), string(kind), person, procedure, subject, data)
}

func (w *actWriter) adopt(revision string, changed int) {
	for q := range w.procedures {
		w.put("", procedureOf(q), revision, clearance.RevisionAdopted{Procedure: procedureOf(q), Revision: revision, Changed: []content.FactID{"f1", "f2"}[:changed*(q%3)]})
	}
}

func (w *actWriter) fill() {
	w.adopt("A", 0)
	for q := range w.procedures {
		id := fmt.Sprint("a", q)
		w.put("assessor", procedureOf(q), id, clearance.AssessorAppointed{Appointment: id, Assessor: "assessor", Procedure: procedureOf(q), From: content.DateOf(w.begun)})
	}
	for turn := range actsOfAPair {
		if turn == 4 || turn == 8 {
			w.adopt(string(rune('A'+turn/4)), 1)
		}
		for p := range w.people {
			for q := range w.procedures {
				w.turn(turn, p, q)
			}
		}
	}
}

// turn is one act of a person on a procedure: a sitting, an observed rebuild, the
// two signatures, a delta sitting; and once more.
func (w *actWriter) turn(turn, p, q int) {
	person, procedure, revision := personOf(p), procedureOf(q), string(rune('A'+turn/4))
	id, round, digest := fmt.Sprint(p, ".", q, ".", turn), fmt.Sprint("r", p, ".", q, ".", turn/5), strings.Repeat("ab", 32)
	sign := func(who string, m clearance.Meaning) clearance.Signed {
		return clearance.Signed{Covers: clearance.Covered{Kind: clearance.CoversRebuild, ID: round, Digest: digest}, Signer: who, Role: "as printed", Meaning: m, Technician: person, Proof: "password"}
	}
	switch turn % 5 {
	case 0:
		v := clearance.Passed
		if (p*7+q*3+turn)%4 == 0 {
			v = clearance.Failed
		}
		w.put(person, procedure, id, clearance.SittingMarked{Sitting: id, Person: person, Procedure: procedure, Revision: revision, HandedIn: w.at(), Verdict: v})
	case 1:
		w.put(person, procedure, round, clearance.RebuildFinished{Rebuild: round, Technician: person, Assessor: "assessor", Procedure: procedure, Revision: revision, Started: w.at(), Ended: w.at(),
			Holds: []clearance.HoldRecord{{Step: "h", Outcome: clearance.Unaided}}, InTolerance: true, InCalibration: true, Digest: digest})
	case 2:
		w.put(person, procedure, round, sign(person, clearance.Performed))
	case 3:
		w.put(person, procedure, round, sign("assessor", clearance.Observed))
	case 4:
		w.put(person, procedure, id, clearance.DeltaMarked{Sitting: id, Person: person, Procedure: procedure, From: "A", To: revision, HandedIn: w.at(), Verdict: clearance.Passed})
	}
}

// inserter inserts many rows, some hundreds with each statement, in one transaction.
type inserter struct {
	b       *testing.B
	tx      *sql.Tx
	table   string
	columns []string
	args    []any
	full    *sql.Stmt

	numbered bool // placeholders: PostgreSQL's
}

const rowsAtOnce = 400

func (c crowd) inserter(b *testing.B, table string, columns []string) *inserter {
	b.Helper()
	tx, err := c.db.Begin()
	if err != nil {
		b.Fatal(err)
	}
	in := &inserter{b: b, tx: tx, table: table, columns: columns, numbered: c.numbered}
	if in.full, err = tx.Prepare(in.sql(rowsAtOnce)); err != nil {
		b.Fatal(err)
	}
	return in
}

func (in *inserter) sql(rows int) string {
	var q strings.Builder
	fmt.Fprintf(&q, "INSERT INTO %s (%s) VALUES ", in.table, strings.Join(in.columns, ", "))
	n := 0
	for r := range rows {
		q.WriteString(map[bool]string{true: "(", false: ", ("}[r == 0])
		for c := range in.columns {
			n++
			q.WriteString(map[bool]string{true: "", false: ", "}[c == 0])
			if in.numbered {
				fmt.Fprintf(&q, "$%d", n)
			} else {
				q.WriteString("?")
			}
		}
		q.WriteString(")")
	}
	return q.String()
}

func (in *inserter) row(args ...any) {
	if in.args = append(in.args, args...); len(in.args) < rowsAtOnce*len(in.columns) {
		return
	}
	if _, err := in.full.Exec(in.args...); err != nil {
		in.b.Fatal(err)
	}
	in.args = in.args[:0]
}

func (in *inserter) end() {
	in.b.Helper()
	if len(in.args) > 0 {
		if _, err := in.tx.Exec(in.sql(len(in.args)/len(in.columns)), in.args...); err != nil {
			in.b.Fatal(err)
		}
	}
	if err := in.tx.Commit(); err != nil {
		in.b.Fatal(err)
	}
}
