package store_test

import (
	"context"
	"database/sql"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"soloright/api"
	"soloright/api/store"
)

var ctx = context.Background()

// Every connection of both pools keeps what it commits, not the first alone.
func TestSQLiteSettingsOfEveryConnection(t *testing.T) {
	for name, c := range map[string]struct {
		careless    bool
		synchronous string
	}{"usual": {false, "2"}, "careless": {true, "0"}} {
		t.Run(name, func(t *testing.T) {
			s := open(t, store.Config{Folder: t.TempDir(), Careless: c.careless})
			writers, readers := 0, 0
			err := s.EachConn(ctx, func(conn *sql.Conn, write bool) error {
				want := map[string]string{"journal_mode": "wal", "synchronous": c.synchronous, "foreign_keys": "1", "busy_timeout": "5000", "query_only": "1", "fullfsync": "1"}
				readers++
				if write {
					want["query_only"] = "0"
					readers, writers = readers-1, writers+1
				}
				for pragma, value := range want {
					var got string
					if err := conn.QueryRowContext(ctx, "PRAGMA "+pragma).Scan(&got); err != nil {
						return err
					}
					if got != value {
						t.Errorf("%s is %s on a connection (writing: %t), want %s", pragma, got, write, value)
					}
				}
				return nil
			})
			if err != nil {
				t.Fatal(err)
			}
			if writers != 1 || readers < 4 {
				t.Errorf("%d writers and %d readers, want 1 and at least 4", writers, readers)
			}
		})
	}
}

// A folder is made for its owner alone, whatever its name.
func TestSQLiteFolder(t *testing.T) {
	for _, name := range []string{"plain", "a b", "50%20", "who?x=1&_synchronous=OFF", "sharp#1", "ünï", "semi;colon"} {
		folder := filepath.Join(t.TempDir(), "deep", name)
		s := open(t, store.Config{Folder: folder})
		if got, want := s.String(), "SQLite in "+folder; got != want {
			t.Errorf("it calls itself %q, want %q", got, want)
		}
		info, err := os.Stat(folder)
		if err != nil {
			t.Fatal(err)
		}
		if got := info.Mode().Perm(); got != 0o700 {
			t.Errorf("%s has mode %o, want 700", folder, got)
		}
		if _, err := os.Stat(filepath.Join(folder, "soloright.db")); err != nil {
			t.Error(err)
		}
	}
	if _, err := store.Open(ctx, store.Config{}); err == nil {
		t.Error("opened a database without a URL and without a folder")
	}
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := store.Open(ctx, store.Config{Folder: file}); err == nil {
		t.Error("opened a database in a file that is no folder")
	}
}

// A program that is older than the tables does not touch them.
func TestRefusesNewerTables(t *testing.T) {
	db := freshSQLite(t)
	db.Open(t)
	if _, err := db.Raw(t).Exec("INSERT INTO goose_db_version (version_id, is_applied) VALUES (99999, 1)"); err != nil {
		t.Fatal(err)
	}
	_, err := store.Open(ctx, store.Config{Folder: sqliteFolder(t, db.Raw(t))})
	if err == nil || !strings.Contains(err.Error(), "use the newer program") {
		t.Errorf("got %v, want a refusal that says to use the newer program", err)
	}
}

// sqliteFolder is the folder that a database lies in.
func sqliteFolder(t testing.TB, db *sql.DB) string {
	t.Helper()
	var file string
	if err := db.QueryRow("SELECT file FROM pragma_database_list WHERE name = 'main'").Scan(&file); err != nil {
		t.Fatal(err)
	}
	return filepath.Dir(file)
}

// Several instances that read and then write never meet in the middle: each
// takes the write lock first, so no callback has to run again.
func TestSQLiteWritersQueue(t *testing.T) {
	folder := t.TempDir()
	const instances, each = 4, 25
	var runs atomic.Int64
	var done sync.WaitGroup
	for i := range instances {
		s := open(t, store.Config{Folder: folder})
		done.Go(func() {
			for n := range each {
				err := s.InTx(ctx, func(tx api.Tx) error {
					runs.Add(1)
					people, err := tx.People(ctx)
					if err != nil {
						return err
					}
					id := fmt.Sprint(i, "-", n)
					return tx.AddPerson(ctx, api.Person{ID: id, SignIn: id, Name: fmt.Sprintf("%06d", len(people)), Added: time.Unix(0, 0)})
				})
				if err != nil {
					t.Error(err)
				}
			}
		})
	}
	done.Wait()
	if got := runs.Load(); got != instances*each {
		t.Errorf("%d runs of %d transactions", got, instances*each)
	}
	people := readPeople(t, open(t, store.Config{Folder: folder}))
	for i, p := range people {
		if p.Name != fmt.Sprintf("%06d", i) {
			t.Fatalf("person %d had seen %s people: a transaction was lost", i, p.Name)
		}
	}
}

func readPeople(t testing.TB, s api.Store) (people []api.Person) {
	t.Helper()
	err := s.Read(ctx, func(r api.Reader) (err error) {
		people, err = r.People(ctx)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return people
}

// A disk that is full or goes away is Unavailable; when there is room again, or
// it is back, the same handle works.
func TestSQLiteLostDisk(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "disk")
	s := open(t, store.Config{Folder: folder})
	add := func(id string) error {
		return s.InTx(ctx, func(tx api.Tx) error {
			return tx.AddPerson(ctx, api.Person{ID: id, SignIn: id, Name: strings.Repeat("x", 100_000), Added: time.Unix(0, 0)})
		})
	}
	pages := func(most int) {
		t.Helper()
		err := s.EachConn(ctx, func(c *sql.Conn, write bool) error {
			_, err := c.ExecContext(ctx, fmt.Sprint("PRAGMA max_page_count = ", most))
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	pages(1) // SQLite takes that as: no more than there are
	if err := add("full"); api.KindOf(err) != api.Unavailable {
		t.Errorf("on a full disk: got %v, want Unavailable", err)
	}
	pages(1 << 30)
	if err := add("room"); err != nil {
		t.Errorf("with room again: %v", err)
	}

	s.DropIdle()
	if err := os.Rename(folder, folder+".gone"); err != nil {
		t.Fatal(err)
	}
	if err := add("gone"); api.KindOf(err) != api.Unavailable {
		t.Errorf("without its folder: got %v, want Unavailable", err)
	}
	if err := s.Read(ctx, func(r api.Reader) error { _, err := r.People(ctx); return err }); api.KindOf(err) != api.Unavailable {
		t.Errorf("reading without its folder: got %v, want Unavailable", err)
	}
	if err := os.Rename(folder+".gone", folder); err != nil {
		t.Fatal(err)
	}
	if err := add("back"); err != nil {
		t.Errorf("with its folder again: %v", err)
	}
	if people := readPeople(t, s); len(people) != 2 {
		t.Errorf("%d people, want the two acknowledged", len(people))
	}
}

// What was written carelessly is all there for a careful handle.
func TestSQLiteCareless(t *testing.T) {
	folder := t.TempDir()
	s, err := store.Open(ctx, store.Config{Folder: folder, Careless: true})
	if err != nil {
		t.Fatal(err)
	}
	for i := range 100 {
		id := fmt.Sprint(i)
		if err := s.InTx(ctx, func(tx api.Tx) error {
			return tx.AddPerson(ctx, api.Person{ID: id, SignIn: id, Added: time.Unix(0, 0)})
		}); err != nil {
			t.Fatal(err)
		}
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if people := readPeople(t, open(t, store.Config{Folder: folder})); len(people) != 100 {
		t.Errorf("%d people, want 100", len(people))
	}
}

// Of several that open an empty folder at once one makes the tables, each time.
func TestSQLiteOpensAtOnce(t *testing.T) {
	for range 8 {
		folder := t.TempDir()
		var done sync.WaitGroup
		for range 6 {
			done.Go(func() {
				s, err := store.Open(ctx, store.Config{Folder: folder})
				if err != nil {
					t.Error(err)
					return
				}
				if err := s.Close(); err != nil {
					t.Error(err)
				}
			})
		}
		done.Wait()
	}
}
