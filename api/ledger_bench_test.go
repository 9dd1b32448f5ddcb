package api_test

import (
	"fmt"
	"testing"
	"time"

	"soloright/api"
	"soloright/api/store"
	"soloright/api/testenv"
	"soloright/scoring/ledger"
)

// BenchmarkCheckAtStart measures the check at the start of a server, on a ledger
// of as many entries as a start still reads all of, and what it costs above that:
// the head and the last entries alone.
//
//	go test ./api -run '^$' -bench CheckAtStart
func BenchmarkCheckAtStart(b *testing.B) {
	for name, config := range map[string]func() store.Config{
		"SQLite":     func() store.Config { return store.Config{Folder: b.TempDir(), Careless: true} },
		"PostgreSQL": func() store.Config { return store.Config{URL: testenv.PostgreSQL(b), Careless: true} },
	} {
		b.Run(name, func(b *testing.B) {
			const size = 200_000
			app := longLedger(b, config(), size)
			for _, c := range []struct {
				name string
				most int64
			}{{"every entry", size + 1}, {"the last", 0}} {
				b.Run(c.name, func(b *testing.B) {
					for b.Loop() {
						if err := app.CheckLedger(b.Context(), c.most, nil); err != nil {
							b.Fatal(err)
						}
					}
				})
			}
		})
	}
}

// longLedger makes a ledger of so many entries behind the first.
func longLedger(b *testing.B, c store.Config, size int) *api.App {
	b.Helper()
	st, err := store.Open(b.Context(), c)
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { _ = st.Close() })
	app := api.New(api.Config{Store: st, Clock: time.Now, Entropy: zeros{}, Signer: signer(b, 1)})
	if err := app.BeginLedger(b.Context()); err != nil {
		b.Fatal(err)
	}
	const batch = 5000
	for n := 0; n < size; n += batch {
		var entries []ledger.Entry
		for i := range batch {
			id := fmt.Sprint("sitting-", n+i)
			entries = append(entries, ledger.Entry{Kind: ledger.SignatureGiven, ID: id, At: time.UnixMicro(int64(n + i)), Attributes: map[string]string{
				"by": "person", "form": ledger.KeyDigest(id), "answers": ledger.KeyDigest(id + "a"), "row": ledger.KeyDigest(id + "r")}})
		}
		err := st.InTx(b.Context(), func(tx api.Tx) error { return api.AppendEntries(b.Context(), tx, signer(b, 1), entries...) })
		if err != nil {
			b.Fatal(err)
		}
	}
	return app
}
