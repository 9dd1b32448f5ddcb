package store_test

import (
	"context"
	"database/sql"
	"fmt"
	"net/url"
	"path/filepath"
	"sync/atomic"
	"testing"

	"soloright/api"
	"soloright/api/store"
	"soloright/api/store/storetest"
	"soloright/api/testenv"
)

func TestSQLite(t *testing.T) { storetest.Run(t, freshSQLite) }

func TestPostgreSQL(t *testing.T) {
	dsn := testenv.PostgreSQL(t)
	storetest.Run(t, func(t testing.TB) storetest.Database { return freshSchema(t, dsn) })
}

func freshSQLite(t testing.TB) storetest.Database {
	folder := filepath.Join(t.TempDir(), "new")
	at := url.URL{Scheme: "file", Path: filepath.Join(folder, "soloright.db")}
	return storetest.Database{
		Open: func(t testing.TB) api.Store { return open(t, store.Config{Folder: folder}) },
		Raw:  func(t testing.TB) *sql.DB { return raw(t, "sqlite", at.String()) },
	}
}

// freshSchema gives an empty schema of one database: a database of its own for
// each case would cost more than the case.
func freshSchema(t testing.TB, dsn string) storetest.Database {
	at, err := url.Parse(dsn)
	if err != nil {
		t.Fatal(err)
	}
	name := fmt.Sprint("case", schemas.Add(1))
	if _, err := raw(t, "postgres", dsn).Exec("CREATE SCHEMA " + name); err != nil {
		t.Fatal(err)
	}
	q := at.Query()
	q.Set("search_path", name)
	at.RawQuery = q.Encode()
	return storetest.Database{
		Open:       func(t testing.TB) api.Store { return open(t, store.Config{URL: at.String()}) },
		Raw:        func(t testing.TB) *sql.DB { return raw(t, "postgres", at.String()) },
		PostgreSQL: true,
	}
}

// schemas counts the schemas handed out, for their names.
var schemas atomic.Int64

// open opens a store until the test ends.
func open(t testing.TB, c store.Config) *store.Store {
	t.Helper()
	s, err := store.Open(context.Background(), c)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
	return s
}

// raw opens the database without the store.
func raw(t testing.TB, driver, name string) *sql.DB {
	t.Helper()
	db, err := sql.Open(driver, name)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := db.Close(); err != nil {
			t.Error(err)
		}
	})
	return db
}
