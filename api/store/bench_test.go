package store_test

import (
	"fmt"
	"testing"
	"time"

	"soloright/api/store"
	"soloright/api/store/storetest"
	"soloright/api/testenv"
)

// BenchmarkSaveAnswer compares keeping an answer through InTx with the same
// prepared statements in the same transaction bare, and with the upsert alone,
// by 64 candidates at once and by one, on the same connections in the same run.
//
//	go test ./api/store -run '^$' -bench SaveAnswer
func BenchmarkSaveAnswer(b *testing.B) {
	for name, config := range map[string]func() store.Config{
		"SQLite":     func() store.Config { return store.Config{Folder: b.TempDir()} },
		"PostgreSQL": func() store.Config { return store.Config{URL: testenv.PostgreSQL(b)} },
	} {
		for _, n := range []int{64, 1} {
			b.Run(fmt.Sprintf("%s/%d", name, n), func(b *testing.B) { saveAnswer(b, config(), n) })
		}
	}
}

func saveAnswer(b *testing.B, c store.Config, n int) {
	s := open(b, c)
	storetest.Settings(b, s)
	candidates, bare := storetest.NewCandidates(b, s, n), s.Yardstick()
	b.ResetTimer()
	m := storetest.Compare(b, candidates, b.N, 100*time.Millisecond,
		func(c storetest.Candidate, rev int64) error { return c.Save(s, rev) },
		func(c storetest.Candidate, rev int64) error {
			return bare.SaveAnswer(ctx, c.Session, c.Sitting, c.Answer(rev))
		},
		func(c storetest.Candidate, rev int64) error { return bare.Upsert(ctx, c.Sitting, c.Answer(rev)) },
	)
	inTx, statements, upsert := m[0], m[1], m[2]
	b.ReportMetric(0, "ns/op") // a turn has the length it is given
	b.ReportMetric(inTx.Rate, "saves/s")
	b.ReportMetric(inTx.Of(statements), "of-bare")
	b.ReportMetric(inTx.Of(upsert), "of-upsert")
	b.ReportMetric(float64(inTx.P50.Microseconds())/1000, "p50-ms")
	b.ReportMetric(float64(inTx.P99.Microseconds())/1000, "p99-ms")
	b.ReportMetric(float64(statements.P99.Microseconds())/1000, "bare-p99-ms")
}
