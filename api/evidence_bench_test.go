package api_test

import (
	"crypto/rand"
	"io"
	"testing"
	"time"

	"soloright/api"
	"soloright/api/paper"
	"soloright/api/store"
	"soloright/api/testenv"
	"soloright/content/library"
	"soloright/quiz/itemmodel"
	"soloright/scoring/clearance"
	"soloright/scoring/ledger"
)

// BenchmarkEvidence measures the evidence of somebody with twenty tries, every
// entry of it proved in a ledger of some 50 000, and its print.
//
//	go test ./api -run '^$' -bench Evidence
func BenchmarkEvidence(b *testing.B) {
	for name, config := range map[string]func() store.Config{
		"SQLite":     func() store.Config { return store.Config{Folder: b.TempDir(), Careless: true} },
		"PostgreSQL": func() store.Config { return store.Config{URL: testenv.PostgreSQL(b), Careless: true} },
	} {
		b.Run(name, func(b *testing.B) {
			app, c, person := manyTries(b, config())
			q := api.EvidenceQuery{Person: person, Procedure: "energy-isolation"}
			var e api.Evidence
			b.Run("gather", func(b *testing.B) {
				for b.Loop() {
					var err error
					if e, err = app.Evidence(b.Context(), c, q); err != nil {
						b.Fatal(err)
					}
				}
				b.ReportMetric(float64(len(e.Entries)), "entries")
			})
			b.Run("print", func(b *testing.B) {
				for b.Loop() {
					if err := paper.Evidence(io.Discard, e, paper.A4, time.UTC); err != nil {
						b.Fatal(err)
					}
				}
			})
		})
	}
}

// manyTries is a site on which a technician handed twenty qualifying sittings in.
func manyTries(b *testing.B, c store.Config) (*api.App, api.Caller, string) {
	b.Helper()
	st, err := store.Open(b.Context(), c)
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { _ = st.Close() })
	app := api.New(api.Config{Store: st, Models: itemmodel.All(), Clock: time.Now, Entropy: rand.Reader, Signer: signer(b, 1)})
	try := func(err error) {
		b.Helper()
		if err != nil {
			b.Fatal(err)
		}
	}
	try(app.BeginLedger(b.Context()))
	src, err := library.Source("energy-isolation")
	try(err)
	_, err = app.ImportProcedure(b.Context(), api.Operator(), api.Import{Name: "x", Source: src, Blueprint: library.BlueprintSource("energy-isolation")})
	try(err)
	policy := clearance.DefaultPolicy()
	policy.Tries, policy.WaitDays = 20, 0
	_, err = app.SetPolicy(b.Context(), api.Operator(), api.SetPolicy{Policy: policy})
	try(err)
	p, err := app.AddAccount(b.Context(), api.Operator(), api.AddAccount{SignIn: "robin", Name: "Robin", Role: api.Technician, Password: password})
	try(err)
	in, err := app.SignIn(b.Context(), api.SignIn{SignIn: "robin", Password: password})
	try(err)
	who := api.Bearer(in.Token)
	for range 20 {
		s, err := app.OpenSitting(b.Context(), who, api.OpenSitting{Procedure: "energy-isolation", Mode: api.Qualifying})
		try(err)
		_, err = app.HandIn(b.Context(), who, s.ID)
		try(err)
		_, err = app.Result(b.Context(), who, s.ID)
		try(err)
		try(st.InTx(b.Context(), func(tx api.Tx) error { return api.AppendEntries(b.Context(), tx, signer(b, 1), strangers(2500)...) }))
	}
	return app, who, p.ID
}

// strangers are entries about nothing here.
func strangers(n int) []ledger.Entry {
	out := make([]ledger.Entry, n)
	for i := range out {
		out[i] = ledger.Entry{Kind: ledger.ActRecorded, ID: "stranger", At: time.Now().Truncate(time.Microsecond), Attributes: map[string]string{"by": "program"}}
	}
	return out
}
