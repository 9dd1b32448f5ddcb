package main

import (
	"bytes"
	"context"
	crand "crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"slices"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"soloright/api"
	"soloright/api/store"
	"soloright/api/testenv"
	"soloright/quiz"
	"soloright/quiz/itemmodel"
)

// candidates is how many save at once.
const candidates = 64

// BenchmarkSaveAnswer measures saving an answer through HTTP with all
// middleware, by 64 candidates at once, against the same prepared statements in
// the same transaction run bare by 64 goroutines on the same connections, and
// against a lone upsert, in turns in the same run. What counts is statements/http,
// the share of the bare rate that the face reaches: at least 0.5.
func BenchmarkSaveAnswer(b *testing.B) {
	b.Run("sqlite", func(b *testing.B) { benchSaves(b, store.Config{Folder: b.TempDir()}) })
	b.Run("postgresql", func(b *testing.B) { benchSaves(b, store.Config{URL: testenv.PostgreSQL(b)}) })
}

func benchSaves(b *testing.B, c store.Config) {
	refuseTmpfs(b, c.Folder)
	st, err := store.Open(b.Context(), c)
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { _ = st.Close() })
	settings, err := st.Settings(b.Context())
	if err != nil {
		b.Fatal(err)
	}
	b.Logf("%s: %v", st, settings)
	crew := newCandidates(b, st)
	defer crew.server.Close()
	yard := st.Yardstick()
	var rate [3]float64
	var took []time.Duration
	const rounds = 3
	for range rounds {
		for i, save := range []func(ctx context.Context, c *candidate, rev int64) error{
			crew.http,
			func(ctx context.Context, c *candidate, rev int64) error {
				return yard.SaveAnswer(ctx, c.hash, c.sitting, c.kept(rev))
			},
			func(ctx context.Context, c *candidate, rev int64) error {
				return yard.Upsert(ctx, c.sitting, c.kept(rev))
			},
		} {
			n, times := crew.run(b, save)
			rate[i] += n / rounds
			if i == 0 {
				took = append(took, times...)
			}
		}
	}
	slices.Sort(took)
	b.ReportMetric(rate[0], "http/s")
	b.ReportMetric(rate[0]/rate[1], "http:statements")
	b.ReportMetric(rate[0]/rate[2], "http:upsert")
	b.ReportMetric(float64(took[len(took)/2].Microseconds())/1000, "p50-ms")
	b.ReportMetric(float64(took[len(took)*99/100].Microseconds())/1000, "p99-ms")
	b.ReportMetric(0, "ns/op") // the loop is timed by itself
}

// refuseTmpfs: a disk in memory makes every commit free.
func refuseTmpfs(b *testing.B, folder string) {
	const tmpfs = 0x01021994
	var s syscall.Statfs_t
	if folder == "" {
		return
	}
	if err := syscall.Statfs(folder, &s); err == nil && s.Type == tmpfs {
		b.Fatalf("%s lies in memory; set TMPDIR to a disk", folder)
	}
}

// candidate is one technician with a session and an open sitting.
type candidate struct {
	token   string
	hash    []byte
	sitting string
	answer  quiz.Answer
	rev     atomic.Int64
}

func (c *candidate) kept(rev int64) api.KeptAnswer {
	return api.KeptAnswer{Sheet: 1, Revision: rev, Answer: c.answer.Canonical(), Kept: time.Now().UTC().Truncate(time.Microsecond)}
}

type hall struct {
	server *httptest.Server
	client *http.Client
	all    []*candidate
}

func newCandidates(b *testing.B, st *store.Store) *hall {
	b.Helper()
	log := slog.New(slog.DiscardHandler)
	app := api.New(api.Config{Store: st, Models: itemmodel.All(), Clock: time.Now, Entropy: crand.Reader, Log: log})
	if err := importLibrary(b.Context(), app); err != nil {
		b.Fatal(err)
	}
	h, err := handler(app, log, time.Now, "")
	if err != nil {
		b.Fatal(err)
	}
	hl := &hall{server: httptest.NewServer(h), client: &http.Client{Transport: &http.Transport{MaxIdleConnsPerHost: candidates}}}
	for i := range candidates {
		hl.all = append(hl.all, seat(b, st, app, fmt.Sprintf("candidate-%d", i)))
	}
	return hl
}

// seat adds a technician, opens a session and a sitting.
func seat(b *testing.B, st *store.Store, app *api.App, name string) *candidate {
	b.Helper()
	ctx := b.Context()
	p, err := app.AddAccount(ctx, api.Operator(), api.AddAccount{SignIn: name, Name: name, Role: api.Technician})
	if err != nil {
		b.Fatal(err)
	}
	raw := make([]byte, 32)
	_, _ = crand.Read(raw)
	sum := sha256.Sum256(raw)
	c := &candidate{token: base64.RawURLEncoding.EncodeToString(raw), hash: sum[:]}
	now := time.Now().UTC().Truncate(time.Microsecond)
	err = st.InTx(ctx, func(tx api.Tx) error {
		return tx.AddSession(ctx, api.Session{Hash: c.hash, Person: p.ID, Begun: now, Seen: now, Expires: now.Add(api.SessionFor)})
	})
	if err != nil {
		b.Fatal(err)
	}
	s, err := app.OpenSitting(ctx, api.Bearer(c.token), api.OpenSitting{Procedure: "aodd-air-side", Mode: api.Qualifying})
	if err != nil {
		b.Fatal(err)
	}
	c.sitting = s.ID
	var form quiz.Form
	err = st.Read(ctx, func(r api.Reader) error {
		raw, err := r.Form(ctx, s.ID)
		if err != nil {
			return err
		}
		return json.Unmarshal(raw, &form)
	})
	if err != nil {
		b.Fatal(err)
	}
	if c.answer, err = quiz.RightAnswer(form.Items[0]); err != nil {
		b.Fatal(err)
	}
	return c
}

// http saves through the JSON face.
func (h *hall) http(ctx context.Context, c *candidate, rev int64) error {
	body, err := json.Marshal(map[string]any{"revision": rev, "answer": c.answer})
	if err != nil {
		return err
	}
	req, err := http.NewRequestWithContext(ctx, http.MethodPut, h.server.URL+"/api/v1/sittings/"+c.sitting+"/sheets/1/answer", bytes.NewReader(body))
	if err != nil {
		return err
	}
	req.Header.Set("Content-Type", "application/json")
	req.Header.Set("Authorization", "Bearer "+c.token)
	res, err := h.client.Do(req)
	if err != nil {
		return err
	}
	defer res.Body.Close()
	got, err := io.ReadAll(res.Body)
	if res.StatusCode != http.StatusOK {
		return fmt.Errorf("status %d: %s", res.StatusCode, got)
	}
	return err
}

// run lets every candidate save for a while and returns saves a second and how
// long each took.
func (h *hall) run(b *testing.B, save func(context.Context, *candidate, int64) error) (float64, []time.Duration) {
	b.Helper()
	const long = 2 * time.Second
	var wg sync.WaitGroup
	var mu sync.Mutex
	var took []time.Duration
	begun := time.Now()
	for _, c := range h.all {
		wg.Go(func() {
			var mine []time.Duration
			for time.Since(begun) < long {
				at := time.Now()
				if err := save(b.Context(), c, c.rev.Add(1)); err != nil {
					b.Error(err)
					return
				}
				mine = append(mine, time.Since(at))
			}
			mu.Lock()
			defer mu.Unlock()
			took = append(took, mine...)
		})
	}
	wg.Wait()
	return float64(len(took)) / time.Since(begun).Seconds(), took
}
