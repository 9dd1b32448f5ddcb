package api_test

import (
	"database/sql"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"soloright/api"
	"soloright/api/testenv"
	"soloright/scoring/ledger"
)

// everything is more entries than any test's ledger has.
const everything = 1 << 40

// check returns what a check of the record finds.
func (s *site) check(older []byte) []string {
	s.t.Helper()
	var found []string
	rep, err := s.CheckRecord(s.t.Context(), older, func(string, int64, int64) {}, func(d api.Disagreement) {
		found = append(found, d.What)
	})
	if err != nil {
		s.t.Fatal(err)
	}
	if rep.Disagree != len(found) || rep.Entries == 0 || rep.Records == 0 {
		s.t.Errorf("the report is %+v; told were %d", rep, len(found))
	}
	return found
}

// sound fails the test unless everything agrees, at the start of a server too.
func (s *site) sound() {
	s.t.Helper()
	if found := s.check(nil); len(found) > 0 {
		s.t.Errorf("a sound record: %q", found)
	}
	for _, most := range []int64{0, everything} {
		if err := s.CheckLedger(s.t.Context(), most, nil); err != nil {
			s.t.Errorf("a sound ledger is refused: %v", err)
		}
	}
}

// raw opens the site's database as somebody with the file in hand, or with a
// shell on the server, does: nothing refuses anything any more.
func (s *site) raw() *sql.DB {
	s.t.Helper()
	driver, name := "sqlite", "file:"+filepath.Join(s.folder, "soloright.db")
	if s.url != "" {
		driver, name = "postgres", s.url+"&session_replication_role=replica"
	}
	db, err := sql.Open(driver, name)
	if err != nil {
		s.t.Fatal(err)
	}
	s.t.Cleanup(func() { _ = db.Close() })
	query := "SELECT 'DROP TRIGGER ' || name FROM sqlite_schema WHERE type = 'trigger'"
	if s.url != "" {
		query = "SELECT 'ALTER TABLE ' || relid::regclass || ' DISABLE TRIGGER ALL' FROM pg_stat_user_tables"
	}
	rows, err := db.Query(query)
	if err != nil {
		s.t.Fatal(err)
	}
	var all []string
	for rows.Next() {
		var q string
		if err := rows.Scan(&q); err != nil {
			s.t.Fatal(err)
		}
		all = append(all, q)
	}
	for _, q := range all {
		if _, err := db.Exec(q); err != nil {
			s.t.Fatal(err)
		}
	}
	return db
}

// A hand alters a database.
type hand struct {
	t   *testing.T
	db  *sql.DB
	url string
}

// do runs statements; each must change at least one row.
func (h hand) do(queries ...string) {
	h.t.Helper()
	for _, q := range queries {
		res, err := h.db.Exec(q)
		if err != nil {
			h.t.Fatalf("%s: %v", q, err)
		}
		if n, err := res.RowsAffected(); !strings.HasPrefix(q, "CREATE") && !strings.HasPrefix(q, "DROP") && (err != nil || n == 0) {
			h.t.Fatalf("%s: %d rows, %v", q, n, err)
		}
	}
}

// byte changes one byte in the middle of a value.
func (h hand) byte(table, column, where string) {
	h.t.Helper()
	var b []byte
	if err := h.db.QueryRow("SELECT " + column + " FROM " + table + " WHERE " + where).Scan(&b); err != nil {
		h.t.Fatalf("%s.%s: %v", table, column, err)
	}
	b[len(b)/2] ^= 1
	if _, err := h.db.Exec("UPDATE "+table+" SET "+column+" = $1 WHERE "+where, b); err != nil {
		h.t.Fatal(err)
	}
}

// rehash works out every stored hash and the head anew, as somebody can who has
// this program's code and not its key.
func (h hand) rehash() {
	h.t.Helper()
	rows, err := h.db.Query("SELECT text FROM ledger_entries ORDER BY n")
	if err != nil {
		h.t.Fatal(err)
	}
	var texts [][]byte
	for rows.Next() {
		var text []byte
		if err := rows.Scan(&text); err != nil {
			h.t.Fatal(err)
		}
		texts = append(texts, text)
	}
	head := ledger.Head{}
	for n, text := range texts {
		var stored []ledger.Hash
		if head, stored, err = ledger.Append(head, text); err != nil {
			h.t.Fatal(err)
		}
		if _, err := h.db.Exec("UPDATE ledger_entries SET hashes = $1 WHERE n = $2", ledger.Head{Peaks: stored}.Pack(), n); err != nil {
			h.t.Fatal(err)
		}
	}
	if _, err := h.db.Exec("UPDATE ledger_head SET root = $1, peaks = $2", head.Root[:], head.Pack()); err != nil {
		h.t.Fatal(err)
	}
}

// undone runs f and puts the tables back as they were before.
func (h hand) undone(tables []string, f func()) {
	h.t.Helper()
	for _, table := range tables {
		h.do("CREATE TABLE kept_" + table + " AS SELECT * FROM " + table)
	}
	f()
	for _, table := range tables {
		if _, err := h.db.Exec("DELETE FROM " + table); err != nil {
			h.t.Fatal(err)
		}
		h.do("INSERT INTO "+table+" SELECT * FROM kept_"+table, "DROP TABLE kept_"+table)
	}
}

func TestWhatWasAlteredIsNamed(t *testing.T) {
	t.Run("SQLite", func(t *testing.T) { altered(t, newSite(t)) })
	t.Run("PostgreSQL", func(t *testing.T) { altered(t, newSiteAt(t, "", testenv.PostgreSQL(t))) })
}

// An alteration, and what names it. {S} and {V} are two sittings, the second void,
// {P} is a technician, {O} the safety officer.
type alteration struct {
	name   string
	tables string // that it touches
	do     func(h hand, in func(string) string)
	want   []string // parts of what a check says, each of them
	also   []string // parts of what it may say besides; anything else is too much
	start  bool     // the start refuses it as well, with the first of them
	cheap  bool     // and where not every entry is read
}

func altered(t *testing.T, s *site) {
	last := s.history()
	c := s.role(api.Technician)
	sit := s.open(c, api.Qualifying)
	s.answer(c, sit.ID, s.right)
	s.hand(c, sit.ID)
	if err := s.VoidSitting(t.Context(), s.role(api.SafetyOfficer), api.VoidCommand{Sitting: sit.ID, Reason: "a neighbour helped out"}); err != nil {
		t.Fatal(err)
	}
	s.sound()
	h := hand{t, s.raw(), s.url}
	at := func(kind ledger.Kind, id string) (n int) {
		for i, e := range s.entries() {
			if e.Kind == kind && e.ID == id {
				n = i
			}
		}
		return n
	}
	in := strings.NewReplacer("{S}", last.ID, "{V}", sit.ID, "{P}", s.people[api.Technician].ID, "{O}", s.people[api.SafetyOfficer].ID,
		"{size}", fmt.Sprint(len(s.entries())), "{h}", fmt.Sprint(at(ledger.SittingHandedIn, last.ID)), "{m}", fmt.Sprint(at(ledger.SittingMarked, last.ID)),
		"{v}", fmt.Sprint(at(ledger.SittingVoided, sit.ID)), "{p}", fmt.Sprint(at(ledger.AccountAdded, s.people[api.Technician].ID))).Replace
	for _, a := range alterations {
		t.Run(a.name, func(t *testing.T) {
			h.t, s.t = t, t
			h.undone(strings.Fields(a.tables), func() {
				a.do(h, in)
				s.found(a, in)
			})
		})
	}
	h.t, s.t = t, t
	s.sound()
}

// found checks that a check names the alteration, and nothing else.
func (s *site) found(a alteration, in func(string) string) {
	s.t.Helper()
	said := map[string]bool{}
	for _, what := range s.check(nil) {
		known := slices.ContainsFunc(a.also, func(also string) bool { return strings.Contains(what, in(also)) })
		for _, want := range a.want {
			if strings.Contains(what, in(want)) {
				said[want], known = true, true
			}
		}
		if !known {
			s.t.Errorf("it also says %q", what)
		}
	}
	for _, want := range a.want {
		if !said[want] {
			s.t.Errorf("nobody says %q", in(want))
		}
	}
	for most, refuses := range map[int64]bool{0: a.cheap, everything: a.start} {
		err := s.CheckLedger(s.t.Context(), most, nil)
		if (err != nil) != refuses || refuses && most > 0 && !strings.Contains(err.Error(), in(a.want[0])) {
			s.t.Errorf("a start that reads at most %d entries: %v, refusal wanted: %t", most, err, refuses)
		}
	}
}

var alterations = []alteration{
	{name: "a byte of a form", tables: "forms", want: []string{"The sitting {S} was altered: its form is not what entry {h} attests", "the digest of its form that is stored beside it"},
		also: []string{"the list of its items is not that of its form"}, // where the byte lies in what the list repeats
		do:   func(h hand, in func(string) string) { h.byte("forms", "form", in("sitting = '{S}'")) }},
	{name: "a form with its digest", tables: "forms sittings sitting_items", want: []string{"its form is not what entry {h} attests"},
		do: func(h hand, in func(string) string) {
			h.do(in(`UPDATE forms SET form = (SELECT form FROM forms WHERE sitting = '{V}') WHERE sitting = '{S}'`), in(`UPDATE sittings SET digest = (SELECT digest FROM sittings WHERE id = '{V}') WHERE id = '{S}'`),
				in(`DELETE FROM sitting_items WHERE sitting = '{S}'`), in(`INSERT INTO sitting_items SELECT '{S}', sheet, item, model, lead, topic, facts FROM sitting_items WHERE sitting = '{V}'`))
		}},
	{name: "a byte of the answers", tables: "hand_ins", want: []string{"its answers is not what entry {h} attests", "the digest of its answers"},
		do: func(h hand, in func(string) string) { h.byte("hand_ins", "answers", in("sitting = '{S}'")) }},
	{name: "when it was handed in", tables: "hand_ins", want: []string{"The sitting {S} was altered: its row is not what entry {h} attests"},
		do: func(h hand, in func(string) string) {
			h.do(in("UPDATE hand_ins SET handed = handed - 1 WHERE sitting = '{S}'"))
		}},
	{name: "whose sitting it is", tables: "sittings", want: []string{"The sitting {S} was altered: whose it is is not what entry {h} attests", "its row"},
		do: func(h hand, in func(string) string) {
			h.do(in("UPDATE sittings SET person = '{O}' WHERE id = '{S}'"))
		}},
	{name: "what a sheet asks", tables: "sitting_items", want: []string{"the list of its items is not that of its form"},
		do: func(h hand, in func(string) string) {
			h.do(in("UPDATE sitting_items SET lead = 'other' WHERE sitting = '{S}' AND sheet = 2"))
		}},
	{name: "a byte of an outcome", tables: "marks", want: []string{"The marking 1 of the sitting {S} was altered: its outcome is not what entry {m} attests", "the facts marked are not those"},
		do: func(h hand, in func(string) string) {
			h.do(in(`UPDATE marks SET outcome = (SELECT outcome FROM marks WHERE sitting = '{V}') WHERE sitting = '{S}'`))
		}},
	{name: "a verdict", tables: "marks", want: []string{"its verdict is not what entry {m} attests", "its row"},
		do: func(h hand, in func(string) string) {
			h.do(in("UPDATE marks SET verdict = 'passed' WHERE sitting = '{S}'"))
		}},
	{name: "a fact marked", tables: "fact_marks", want: []string{"the facts marked are not those of its outcome"},
		do: func(h hand, in func(string) string) {
			h.do(in("UPDATE fact_marks SET state = 'right' WHERE sitting = '{S}' AND state <> 'right'"))
		}},
	{name: "a marking put after it", tables: "marks", want: []string{"The marking 2 of the sitting {S} is in the database and no entry"},
		do: func(h hand, in func(string) string) {
			h.do(in("INSERT INTO marks (sitting, n, rules, marked, verdict, percent, reason, outcome) SELECT sitting, 2, rules, marked, 'passed', 100, '', outcome FROM marks WHERE sitting = '{S}'"))
		}},
	{name: "a marking taken out", tables: "marks fact_marks", want: []string{"Entry {m} attests the marking 1 of the sitting {S}, and that is not in the database"},
		do: func(h hand, in func(string) string) {
			h.do(in("DELETE FROM fact_marks WHERE sitting = '{S}'"), in("DELETE FROM marks WHERE sitting = '{S}'"))
		}},
	{name: "a hand-in taken out", tables: "hand_ins", want: []string{"Entry {h} attests the hand-in of the sitting {S}, and that is not in the database"},
		do: func(h hand, in func(string) string) { h.do(in("DELETE FROM hand_ins WHERE sitting = '{S}'")) }},
	{name: "the reason of a void", tables: "voids", want: []string{"The striking out of the sitting {V} was altered: its reason is not what entry {v} attests", "its row"},
		do: func(h hand, in func(string) string) { h.do("UPDATE voids SET reason = reason || '.'") }},
	{name: "a void taken out", tables: "voids", want: []string{"Entry {v} attests the striking out of the sitting {V}, and that is not"},
		do: func(h hand, in func(string) string) { h.do("DELETE FROM voids") }},
	{name: "a void put in", tables: "voids", want: []string{"The striking out of the sitting {S} is in the database and no entry"},
		do: func(h hand, in func(string) string) {
			h.do(in("INSERT INTO voids (sitting, voided, voided_by, reason) SELECT '{S}', voided, voided_by, reason FROM voids"))
		}},
	{name: "a byte of a procedure", tables: "revisions", want: []string{"of aodd-air-side was altered: its text is not what entry", "the digest in its row"},
		do: func(h hand, in func(string) string) {
			h.byte("revisions", "source", "procedure = 'aodd-air-side'")
		}},
	{name: "a role", tables: "people", want: []string{"The account {P} was altered: its role is not what its entries say, the last of which is {p}"},
		do: func(h hand, in func(string) string) {
			h.do(in("UPDATE people SET role = 'safety officer' WHERE id = '{P}'"))
		}},
	{name: "a password", tables: "people", want: []string{"The account {P} was altered: its password"},
		do: func(h hand, in func(string) string) {
			h.do(in("UPDATE people SET password = (SELECT password FROM people WHERE id = '{O}') WHERE id = '{P}'"))
		}},
	{name: "an account put in", tables: "people", want: []string{"The account x is in the database and no entry"},
		do: func(h hand, in func(string) string) {
			h.do(in("INSERT INTO people (id, sign_in, name, role, password, crew, added) SELECT 'x', 'x', name, role, password, crew, added FROM people WHERE id = '{P}'"))
		}},

	{name: "a byte of an entry", tables: "ledger_entries", start: true, cheap: true, want: []string{"Entry 2 was altered: its text is not the one that was recorded"},
		also: []string{"is in the database and no entry", "is not what entry 2 attests", "is not in the database", "Entry 2 is filed as"},
		do:   func(h hand, in func(string) string) { h.byte("ledger_entries", "text", "n = 2") }},
	{name: "a byte of a stored hash", tables: "ledger_entries", start: true, cheap: true, want: []string{"The hash that the export states for entry 4 was altered"},
		do: func(h hand, in func(string) string) { h.byte("ledger_entries", "hashes", "n = 4") }},
	{name: "an entry taken out", tables: "ledger_entries", start: true, cheap: true, want: []string{"Entry {p} is missing", "The account {P} is in the database and no entry"},
		do: func(h hand, in func(string) string) { h.do(in("DELETE FROM ledger_entries WHERE n = {p}")) }},
	{name: "two entries swapped", tables: "ledger_entries", start: true, cheap: true, want: []string{"Entries 1 and 3 have changed places", "is filed as"},
		do: func(h hand, in func(string) string) {
			h.do("CREATE TABLE other AS SELECT n, text FROM ledger_entries WHERE n IN (1, 3)",
				"UPDATE ledger_entries SET text = (SELECT text FROM other WHERE other.n = 4 - ledger_entries.n) WHERE n IN (1, 3)", "DROP TABLE other")
		}},
	{name: "an entry filed elsewhere", tables: "ledger_entries", start: true, cheap: true, want: []string{"Entry 1 is filed as revision.imported of other"},
		do: func(h hand, in func(string) string) {
			h.do("UPDATE ledger_entries SET subject = 'other' WHERE n = 1")
		}},
	{name: "an entry put after the head", tables: "ledger_entries", start: true, cheap: true, want: []string{"Entry {size} was put in", "attests already"},
		also: []string{"at least one was altered together with its hash"}, // of the block that it falls into, if any
		do: func(h hand, in func(string) string) {
			h.do(in("INSERT INTO ledger_entries (n, kind, subject, at, text, hashes) SELECT {size}, kind, subject, at, text, hashes FROM ledger_entries WHERE n = 1"))
		}},
	{name: "an entry with every hash up to the head", tables: "ledger_entries ledger_head", start: true, cheap: true,
		want: []string{"These are not the entries that the checkpoint was signed for"}, also: []string{"is not what entry 2 attests"},
		do: func(h hand, in func(string) string) {
			h.do("UPDATE ledger_head SET root = root")
			h.byte("ledger_entries", "text", "n = 2")
			h.rehash()
		}},
	{name: "the size in the head", tables: "ledger_head", start: true, cheap: true, want: []string{"The head of the ledger "},
		do: func(h hand, in func(string) string) { h.do("UPDATE ledger_head SET size = size - 1") }},
	{name: "the root in the head", tables: "ledger_head", start: true, cheap: true, want: []string{"The head of the ledger was altered: its size, its root and its peaks do not belong together"},
		do: func(h hand, in func(string) string) { h.byte("ledger_head", "root", "one = 1") }},
	{name: "the checkpoint in the head", tables: "ledger_head", start: true, cheap: true, want: []string{"This is not a signed checkpoint"},
		do: func(h hand, in func(string) string) { h.do("UPDATE ledger_head SET checkpoint = root") }},
	{name: "the public key", tables: "ledger_keys", start: true, cheap: true, want: []string{"is not as the key", "The key site.example/ledger", "Entry 0 attests the key"},
		do: func(h hand, in func(string) string) {
			h.do("UPDATE ledger_keys SET verifier = '" + signer(h.t, 9).Verifier() + "'")
		}},
}

// Who puts back the end of the record as it once was, with the head that was
// signed then, leaves nothing by which the database could tell. A checkpoint that
// was kept elsewhere does.
func TestOnlyAKeptCheckpointTellsThatTheEndWasCutOff(t *testing.T) {
	t.Run("SQLite", func(t *testing.T) { cutOff(t, newSite(t)) })
	t.Run("PostgreSQL", func(t *testing.T) { cutOff(t, newSiteAt(t, "", testenv.PostgreSQL(t))) })
}

func cutOff(t *testing.T, s *site) {
	h := hand{t, s.raw(), s.url}
	h.do("CREATE TABLE old_head AS SELECT * FROM ledger_head")
	before := must(t, func() (ledger.Checkpoint, error) { return s.Checkpoint(t.Context(), api.Operator()) })
	crew := "nights"
	if _, err := s.ChangeAccount(t.Context(), api.Operator(), api.ChangeAccount{Person: s.people[api.Trainer].ID, Crew: &crew}); err != nil {
		t.Fatal(err)
	}
	after := must(t, func() (ledger.Checkpoint, error) { return s.Checkpoint(t.Context(), api.Operator()) })
	if found := s.check(before.Text); len(found) > 0 {
		t.Errorf("it continues the checkpoint before, and a check says %q", found)
	}
	if found := s.check(after.Text); len(found) > 0 {
		t.Errorf("it continues the checkpoint after, and a check says %q", found)
	}
	h.do(fmt.Sprintf("DELETE FROM ledger_entries WHERE n >= %d", before.Size), "DELETE FROM ledger_head", "INSERT INTO ledger_head SELECT * FROM old_head")
	s.sound()
	want := fmt.Sprintf("The end of the record was cut off: the older checkpoint was signed for %d entries, and now there are %d.", after.Size, before.Size)
	if found := s.check(after.Text); len(found) != 1 || found[0] != want {
		t.Errorf("with the kept checkpoint a check says %q, want %q", found, want)
	}
	// And who goes on from there does not continue it either.
	s.add("another", api.Technician)
	if found := s.check(after.Text); len(found) != 1 || !strings.Contains(found[0], "does not continue the older checkpoint") {
		t.Errorf("after another act a check says %q", found)
	}
}
