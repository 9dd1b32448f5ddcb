package api_test

import (
	"context"
	"crypto/rand"
	"encoding/json"
	"fmt"
	"log/slog"
	mrand "math/rand/v2"
	"syscall"
	"testing"
	"time"

	"soloright/api"
	"soloright/api/store"
	"soloright/content"
	"soloright/content/library"
	"soloright/quiz/itemmodel"
	"soloright/scoring"
)

// A site of 500 people who have met 400 facts over two years, 24 sittings of 30
// sheets each: how long the page of lessons takes when nothing is worked out yet
// (the history read from the database, the model fitted), and when it is.
//
//	go test ./api -run '^$' -bench Lessons -benchtime 3x
func BenchmarkLessons(b *testing.B) {
	people, sittings := 500, 24
	if testing.Short() {
		people, sittings = 60, 6
	}
	st, err := store.Open(b.Context(), store.Config{Folder: b.TempDir(), Careless: true})
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { _ = st.Close() })
	now := time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC)
	fresh := func() *api.App {
		return api.New(api.Config{Store: st, Models: itemmodel.All(), Clock: func() time.Time { return now }, Entropy: rand.Reader, Log: slog.New(slog.DiscardHandler)})
	}
	n := longHistory(b, st, fresh(), people, sittings, now)
	ask := api.LessonAsk{From: content.DateOf(now.AddDate(-2, 0, 0))}
	wait := func(app *api.App) api.LessonsView {
		for {
			v, err := app.Lessons(b.Context(), api.Operator(), ask)
			if err != nil {
				b.Fatal(err)
			}
			if v.Working == nil {
				return v
			}
			time.Sleep(5 * time.Millisecond)
		}
	}
	b.Run("cold", func(b *testing.B) {
		was := cpuTime(b)
		for b.Loop() {
			v := wait(fresh())
			b.ReportMetric(float64(v.Answers), "answers")
			b.ReportMetric(float64(v.Total), "facts")
		}
		b.ReportMetric(float64(n), "sheets")
		b.ReportMetric((cpuTime(b)-was).Seconds()/float64(b.N), "cpu-s/op")
	})
	app := fresh()
	wait(app)
	b.Run("warm", func(b *testing.B) {
		was := cpuTime(b)
		for b.Loop() {
			wait(app)
		}
		b.ReportMetric(float64((cpuTime(b)-was).Milliseconds())/float64(b.N), "cpu-ms/op") // what it would take alone on the machine
	})
}

// cpuTime is the processor time that the test has used so far.
func cpuTime(b *testing.B) time.Duration {
	b.Helper()
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		b.Fatal(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// longHistory writes sittings as they are stored, past the use cases: their
// forms are of no account here. It returns how many sheets there are.
func longHistory(b *testing.B, st *store.Store, app *api.App, people, sittings int, now time.Time) (sheets int) {
	for _, id := range []string{"energy-isolation", "mechanical-seal"} {
		src, err := library.Source(id)
		if err != nil {
			b.Fatal(err)
		}
		if _, err := app.ImportProcedure(b.Context(), api.Operator(), api.Import{Name: id, Source: src, Blueprint: library.BlueprintSource(id)}); err != nil {
			b.Fatal(err)
		}
	}
	rnd := mrand.New(mrand.NewPCG(1, 2))
	level := map[content.FactID]float64{}
	facts := map[string][]content.Fact{}
	procs, err := app.Procedures(b.Context(), api.Operator())
	if err != nil {
		b.Fatal(err)
	}
	for _, p := range procs {
		all := content.Facts(p)
		rnd.Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] })
		facts[p.ID] = all[:min(200, len(all))]
		for _, f := range facts[p.ID] {
			level[f.ID] = 0.5 + 0.5*rnd.Float64()
		}
	}
	build := map[string]string{}
	for _, p := range procs {
		if len(p.Builds) > 0 {
			build[p.ID] = p.Builds[0].ID
		}
	}
	models := []string{"set-the-wrench", "pick-the-facing", "what-goes-in-next", "inspect-and-decide", "pick-the-tools", "say-the-facing"}
	for p := range people {
		err := st.InTx(b.Context(), func(tx api.Tx) error {
			id := fmt.Sprintf("person-%03d", p)
			if err := tx.AddPerson(b.Context(), api.Person{ID: id, SignIn: id, Name: fmt.Sprintf("Somebody %03d", p), Role: api.Technician, Crew: fmt.Sprint("crew ", p%5), Added: now}); err != nil {
				return err
			}
			if _, err := tx.LockLedger(b.Context()); err != nil {
				return err
			}
			good := rnd.NormFloat64() * 0.1
			for s := range sittings {
				proc := procs[s%len(procs)]
				of := facts[proc.ID]
				one := api.Sitting{ID: fmt.Sprintf("s-%03d-%02d", p, s), Person: id, Procedure: proc.ID, Revision: proc.Revision, Build: build[proc.ID], Mode: api.Practice, Opened: now.AddDate(0, 0, -730+30*s+p%30), Items: 30, Digest: []byte{1}}
				one.Deadline = one.Opened.Add(time.Hour)
				said := api.SittingResponses{Sitting: one.ID, N: 1}
				for n := range 30 {
					r := api.Response{Sheet: n + 1, Item: fmt.Sprintf("item-%d", rnd.IntN(9999)), Model: models[rnd.IntN(len(models))], Version: 1, Topic: content.TopicOrder, Chance: []float64{0.25, 0.2, 0.5, 0.05}[rnd.IntN(4)], Millis: 30_000,
						Options: []api.OfferedOption{{Text: "one of the options as it is offered", Right: true, Chosen: true}, {Text: "another option that is wrong"}, {Text: "a third that nobody takes"}}}
					for range 1 + rnd.IntN(3) {
						f := of[rnd.IntN(len(of))]
						state := scoring.Wrong
						if h := level[f.ID] + good; rnd.Float64() < h+(1-h)*r.Chance {
							state = scoring.Right
						}
						r.Facts = append(r.Facts, api.FactResponse{Fact: f.ID, State: state})
					}
					r.Lead = r.Facts[0].Fact
					said.Sheets = append(said.Sheets, r)
					sheets++
				}
				if err := writeSaid(b.Context(), tx, one, said); err != nil {
					return err
				}
			}
			return nil
		})
		if err != nil {
			b.Fatal(err)
		}
	}
	return sheets
}

// writeSaid writes a sitting, handed in and marked, with what it says.
func writeSaid(ctx context.Context, tx api.Tx, s api.Sitting, said api.SittingResponses) error {
	if err := tx.AddSitting(ctx, s, []byte("{}"), nil); err != nil {
		return err
	}
	if err := tx.AddHandIn(ctx, api.HandIn{Sitting: s.ID, At: s.Opened.Add(20 * time.Minute), Answers: []byte("[]"), Digest: []byte{1}}); err != nil {
		return err
	}
	out, err := json.Marshal(scoring.Outcome{})
	if err != nil {
		return err
	}
	if err := tx.AddMarks(ctx, api.Marking{Sitting: s.ID, N: 1, Rules: 1, At: s.Opened.Add(21 * time.Minute), Outcome: out, Verdict: "failed"}, nil); err != nil {
		return err
	}
	return tx.PutResponses(ctx, said)
}
