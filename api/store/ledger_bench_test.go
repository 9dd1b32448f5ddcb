package store_test

import (
	"database/sql"
	"fmt"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"soloright/api"
	"soloright/api/store"
	"soloright/api/store/storetest"
	"soloright/api/testenv"
	"soloright/scoring/ledger"
)

// BenchmarkAppend measures 16 writers that each, in one transaction, put a
// person on the record and append the signed entry for it, against 16 writers
// that each, in one transaction, insert the same person, count up one shared row
// and insert the same entry by bare prepared statements, which is as fast as
// anything can be that numbers entries without a gap; and against the insert of
// the person alone. In turns, in the same run; of-counted is the ratio to hold:
// at least 0.5.
//
//	go test ./api/store -run '^$' -bench Append
func BenchmarkAppend(b *testing.B) {
	dsn := testenv.PostgreSQL(b)
	s := open(b, store.Config{URL: dsn})
	storetest.Settings(b, s)
	bare := newBare(b, dsn)
	b.ResetTimer()
	const writers, turn = 16, 500 * time.Millisecond
	rates := inTurns(b, writers, turn, func(p api.Person) error {
		return s.InTx(ctx, func(tx api.Tx) error {
			if err := tx.AddPerson(ctx, p); err != nil {
				return err
			}
			return api.AppendEntries(ctx, tx, storetest.Signer(), benchEntry(p))
		})
	}, bare.counted, bare.lone)
	lone := inTurns(b, 1, turn, bare.lone)
	storetest.SoundLedger(b, s)
	b.ReportMetric(0, "ns/op") // a turn has the length it is given
	b.ReportMetric(rates[0], "appends/s")
	b.ReportMetric(rates[0]/rates[1], "of-counted")
	b.ReportMetric(rates[0]/rates[2], "of-lone-inserts")
	b.ReportMetric(lone[0], "one-writer's-inserts/s")
}

// persons numbers the persons of the benchmark.
var persons atomic.Int64

func benchEntry(p api.Person) ledger.Entry {
	return ledger.Entry{Kind: ledger.AccountAdded, ID: p.ID, At: p.Added,
		Attributes: map[string]string{"by": "operator", "password": ledger.KeyDigest(p.ID), "role": "technician"}}
}

// inTurns lets the writers work in each of the ways, in turns, and returns how
// often a second they were done.
func inTurns(b *testing.B, writers int, turn time.Duration, ways ...func(api.Person) error) []float64 {
	b.Helper()
	done, spent := make([]atomic.Int64, len(ways)), make([]time.Duration, len(ways))
	for range b.N {
		for i, way := range ways {
			begun := time.Now()
			var all sync.WaitGroup
			for range writers {
				all.Go(func() {
					for time.Since(begun) < turn {
						id := fmt.Sprint("person-", persons.Add(1))
						p := api.Person{ID: id, SignIn: id, Name: id, Role: api.Technician, Added: time.Now().UTC().Truncate(time.Microsecond)}
						if err := way(p); err != nil {
							b.Error(err)
							return
						}
						done[i].Add(1)
					}
				})
			}
			all.Wait()
			spent[i] += time.Since(begun)
		}
	}
	rates := make([]float64, len(ways))
	for i := range ways {
		rates[i] = float64(done[i].Load()) / spent[i].Seconds()
	}
	return rates
}

// bare is the same work without the store: prepared statements on connections
// of their own, as many as the store has.
type bare struct {
	db                   *sql.DB
	person, count, entry *sql.Stmt
}

func newBare(b *testing.B, dsn string) bare {
	b.Helper()
	db := raw(b, "postgres", dsn)
	db.SetMaxOpenConns(24)
	db.SetMaxIdleConns(24)
	prepare := func(query string) *sql.Stmt {
		st, err := db.Prepare(query)
		if err != nil {
			b.Fatal(err)
		}
		return st
	}
	for _, q := range []string{"CREATE TABLE counted (one INTEGER PRIMARY KEY, n BIGINT NOT NULL) WITH (fillfactor = 10)", "INSERT INTO counted VALUES (1, 0)",
		"CREATE TABLE counted_entries (n BIGINT NOT NULL PRIMARY KEY, kind TEXT NOT NULL, subject TEXT NOT NULL, at BIGINT NOT NULL, text BYTEA NOT NULL)",
		"CREATE INDEX counted_entries_of_subject ON counted_entries (subject, n)"} {
		if _, err := db.Exec(q); err != nil {
			b.Fatal(err)
		}
	}
	return bare{db, prepare("INSERT INTO people (id, sign_in, name, role, password, crew, added) VALUES ($1, $1, $1, 'technician', '', '', $2)"),
		prepare("UPDATE counted SET n = n + 1 WHERE one = 1 RETURNING n"),
		prepare("INSERT INTO counted_entries (n, kind, subject, at, text) VALUES ($1, $2, $3, $4, $5)")}
}

func (x bare) counted(p api.Person) error {
	e := benchEntry(p)
	text, err := e.MarshalText()
	if err != nil {
		return err
	}
	tx, err := x.db.Begin()
	if err != nil {
		return err
	}
	defer func() { _ = tx.Rollback() }() // nothing after a commit
	if _, err := tx.Stmt(x.person).Exec(p.ID, p.Added.UnixMicro()); err != nil {
		return err
	}
	var n int64
	if err := tx.Stmt(x.count).QueryRow().Scan(&n); err != nil {
		return err
	}
	if _, err := tx.Stmt(x.entry).Exec(n, string(e.Kind), e.ID, p.Added.UnixMicro(), text); err != nil {
		return err
	}
	return tx.Commit()
}

func (x bare) lone(p api.Person) error {
	_, err := x.person.Exec(p.ID, p.Added.UnixMicro())
	return err
}
