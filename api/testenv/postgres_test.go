package testenv

import (
	"bufio"
	"database/sql"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
)

// open returns a pool on dsn that is closed before the database goes.
func open(t *testing.T, dsn string) *sql.DB {
	t.Helper()
	db, err := sql.Open("postgres", dsn)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { db.Close() })
	return db
}

// value returns the one value of a query.
func value(t *testing.T, db *sql.DB, query string, args ...any) string {
	t.Helper()
	var v string
	if err := db.QueryRow(query, args...).Scan(&v); err != nil {
		t.Fatalf("%s: %v", query, err)
	}
	return v
}

func must(t *testing.T, db *sql.DB, statement string) {
	t.Helper()
	if _, err := db.Exec(statement); err != nil {
		t.Fatalf("%s: %v", statement, err)
	}
}

func TestPostgreSQLSettings(t *testing.T) {
	db := open(t, PostgreSQL(t))
	for setting, want := range map[string]string{
		"fsync":              "on",
		"synchronous_commit": "on",
		"full_page_writes":   "on",
		"server_encoding":    "UTF8",
		"listen_addresses":   "",
	} {
		if got := value(t, db, "SELECT current_setting($1)", setting); got != want {
			t.Errorf("%s is %q, want %q", setting, got, want)
		}
	}
}

// Each call gives a database of its own, also to tests that run at once.
func TestPostgreSQLIsFresh(t *testing.T) {
	for i := range 3 {
		t.Run(fmt.Sprint(i), func(t *testing.T) {
			t.Parallel()
			db := open(t, PostgreSQL(t))
			must(t, db, "CREATE TABLE mine (n BIGINT)")
			if got := value(t, db, "SELECT count(*) FROM pg_tables WHERE schemaname = 'public'"); got != "1" {
				t.Errorf("%s tables in the database, want the one just made", got)
			}
		})
	}
}

// A database goes when its test ends, even while somebody is connected.
func TestPostgreSQLDropsItsDatabase(t *testing.T) {
	names := func() []string {
		db := open(t, PostgreSQL(t))
		return strings.Split(value(t, db, "SELECT string_agg(datname, ' ') FROM pg_database"), " ")
	}
	var name string
	t.Run("user", func(t *testing.T) {
		dsn := PostgreSQL(t)
		db, err := sql.Open("postgres", dsn)
		if err != nil {
			t.Fatal(err)
		}
		name = value(t, db, "SELECT current_database()")
		if !slices.Contains(names(), name) {
			t.Errorf("no database %s while its test runs", name)
		}
		// db stays open on purpose.
	})
	if slices.Contains(names(), name) {
		t.Errorf("database %s outlives its test", name)
	}
}

func TestPostgresStopAndStart(t *testing.T) {
	p := StartPostgreSQL(t)
	db := open(t, p.DSN())
	must(t, db, "CREATE TABLE kept (n BIGINT)")
	must(t, db, "INSERT INTO kept (n) VALUES (1)")

	p.Stop()
	if err := db.Ping(); err == nil {
		t.Error("the server answers after Stop")
	}
	p.Start()
	p.Start() // harmless
	must(t, db, "INSERT INTO kept (n) VALUES (2)")

	p.Crash()
	if err := db.Ping(); err == nil {
		t.Error("the server answers after Crash")
	}
	p.Start()
	if got := value(t, db, "SELECT count(*) FROM kept"); got != "2" {
		t.Errorf("%s rows after a stop and a crash, want 2", got)
	}
}

// A server of a test's own leaves nothing behind.
func TestPostgresCleansUp(t *testing.T) {
	var folder string
	t.Run("user", func(t *testing.T) { folder = folderOf(t, StartPostgreSQL(t).DSN()) })
	if folder == "" {
		return // the subtest was skipped
	}
	if _, err := os.Stat(folder); !os.IsNotExist(err) {
		t.Errorf("%s outlives its test (%v)", folder, err)
	}
}

// The shared server goes with a process that is killed outright.
func TestPostgreSQLDiesWithItsProcess(t *testing.T) {
	const told = "TESTENV_TELL_AND_WAIT"
	dsn := PostgreSQL(t)
	if os.Getenv(told) != "" {
		fmt.Println("DSN", dsn)
		select {}
	}
	self := exec.Command(os.Args[0], "-test.run=^"+t.Name()+"$")
	self.Env = append(os.Environ(), told+"=1")
	said, err := self.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := self.Start(); err != nil {
		t.Fatal(err)
	}
	theirs := hearDSN(bufio.NewScanner(said))
	if err := self.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	_ = self.Wait() // it was killed; nothing to learn
	if theirs == "" {
		t.Fatal("the other process named no database")
	}
	folder := folderOf(t, theirs)
	for deadline := time.Now().Add(20 * time.Second); ; time.Sleep(50 * time.Millisecond) {
		if _, err := os.Stat(folder); os.IsNotExist(err) {
			break
		}
		if time.Now().After(deadline) {
			t.Fatalf("%s is still there", folder)
		}
	}
	if pids := processesNaming(t, folder); len(pids) != 0 {
		t.Errorf("processes %v of the killed test still run", pids)
	}
}

// hearDSN returns the address after "DSN ", "" if the lines end without one.
func hearDSN(lines *bufio.Scanner) string {
	for lines.Scan() {
		if dsn, found := strings.CutPrefix(lines.Text(), "DSN "); found {
			return dsn
		}
	}
	return ""
}

// folderOf returns the folder of the server behind dsn.
func folderOf(t *testing.T, dsn string) string {
	t.Helper()
	u, err := url.Parse(dsn)
	if err != nil {
		t.Fatal(err)
	}
	return u.Query().Get("host")
}

// processesNaming returns the ids of the processes with text on their command line.
func processesNaming(t *testing.T, text string) []string {
	t.Helper()
	lines, err := filepath.Glob("/proc/[0-9]*/cmdline")
	if err != nil {
		t.Fatal(err)
	}
	var pids []string
	for _, path := range lines {
		// A process that went meanwhile reads as an error, and is no find.
		if line, err := os.ReadFile(path); err == nil && strings.Contains(string(line), text) {
			pids = append(pids, filepath.Base(filepath.Dir(path)))
		}
	}
	return pids
}
