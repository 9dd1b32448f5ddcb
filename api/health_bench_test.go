package api_test

import (
	"crypto/rand"
	"encoding/json"
	"fmt"
	"log/slog"
	mrand "math/rand/v2"
	"testing"
	"time"

	"soloright/api"
	"soloright/api/store"
	"soloright/content"
	"soloright/content/library"
	"soloright/quiz/itemmodel"
	"soloright/scoring"
)

// The items of a site of 500 people, two years and 24 sittings of 30 sheets each,
// over 500 families: the history read from the database, judged, and the flags settled.
//
//	go test ./api -run '^$' -bench AnalyseItems -benchtime 2x
func BenchmarkAnalyseItems(b *testing.B) {
	people, sittings := 500, 24
	if testing.Short() {
		people, sittings = 50, 6
	}
	st, err := store.Open(b.Context(), store.Config{Folder: b.TempDir(), Careless: true})
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { _ = st.Close() })
	now := time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC)
	app := api.New(api.Config{Store: st, Models: itemmodel.All(), Clock: func() time.Time { return now }, Entropy: rand.Reader, Log: slog.New(slog.DiscardHandler)})
	if _, err := app.ImportProcedure(b.Context(), api.Operator(), api.Import{Name: "mechanical-seal", Source: sourceOf(b), Blueprint: library.BlueprintSource("mechanical-seal")}); err != nil {
		b.Fatal(err)
	}
	procs, err := app.Procedures(b.Context(), api.Operator())
	if err != nil {
		b.Fatal(err)
	}
	rnd := mrand.New(mrand.NewPCG(1, 2))
	for p := range people {
		if err := st.InTx(b.Context(), func(tx api.Tx) error { return personsYears(b, tx, rnd, procs[0], p, sittings, now) }); err != nil {
			b.Fatal(err)
		}
	}
	for b.Loop() {
		reports, asOf, err := app.AnalyseHistory(b.Context(), func(api.HealthProgress) {})
		if err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(float64(asOf.Answers), "answers")
		b.ReportMetric(float64(len(reports["mechanical-seal"].Items)), "families")
	}
}

func sourceOf(b *testing.B) []byte {
	src, err := library.Source("mechanical-seal")
	if err != nil {
		b.Fatal(err)
	}
	return src
}

// personsYears writes the sittings of one person as they are stored, past the use
// cases: their forms are of no account here.
func personsYears(b *testing.B, tx api.Tx, rnd *mrand.Rand, proc *content.Procedure, p, sittings int, now time.Time) error {
	id := fmt.Sprintf("person-%03d", p)
	if err := tx.AddPerson(b.Context(), api.Person{ID: id, SignIn: id, Name: id, Role: api.Technician, Crew: fmt.Sprint("crew ", p%4), Added: now}); err != nil {
		return err
	}
	if _, err := tx.LockLedger(b.Context()); err != nil {
		return err
	}
	facts, models := content.Facts(proc), []string{"alpha", "beta", "gamma"}
	outcome, err := json.Marshal(scoring.Outcome{})
	if err != nil {
		return err
	}
	holds := 0.6 + 0.35*rnd.Float64()
	for s := range sittings {
		at := now.AddDate(0, 0, -730+30*s)
		one := api.Sitting{ID: fmt.Sprintf("%s-%02d", id, s), Person: id, Procedure: proc.ID, Revision: proc.Revision, Mode: api.Qualifying, Opened: at, Deadline: at.Add(time.Hour), Items: 30, Digest: []byte{1}}
		said := api.SittingResponses{Sitting: one.ID, N: 1}
		for n := range 30 {
			said.Sheets = append(said.Sheets, madeUp(rnd, n+1, facts[rnd.IntN(len(facts))].ID, models[rnd.IntN(len(models))], holds))
		}
		for _, do := range []func() error{
			func() error { return tx.AddSitting(b.Context(), one, []byte("{}"), nil) },
			func() error {
				return tx.AddHandIn(b.Context(), api.HandIn{Sitting: one.ID, At: at.Add(20 * time.Minute), Answers: []byte("[]"), Digest: []byte{1}})
			},
			func() error {
				return tx.AddMarks(b.Context(), api.Marking{Sitting: one.ID, N: 1, Rules: 1, At: at.Add(21 * time.Minute), Outcome: outcome, Verdict: "failed"}, nil)
			},
			func() error { return tx.PutResponses(b.Context(), said) },
		} {
			if err := do(); err != nil {
				return err
			}
		}
	}
	return nil
}

// madeUp is one sheet with four options.
func madeUp(rnd *mrand.Rand, n int, fact content.FactID, model string, holds float64) api.Response {
	right, wrong := rnd.Float64() < holds, rnd.IntN(3)
	r := api.Response{Sheet: n, Item: fmt.Sprintf("%s-%s-%d", fact, model, rnd.IntN(8)), Model: model, Version: 1, Lead: fact, Topic: content.TopicOrder, Chance: 0.25, Mean: 0.25,
		Millis: int64(20_000 + rnd.IntN(40_000)), Facts: []api.FactResponse{{Fact: fact, State: scoring.Wrong}}}
	if right {
		r.Mark, r.Facts[0].State = 1, scoring.Right
	}
	r.Options = []api.OfferedOption{{Text: "what is right", Fact: fact, Right: true, Chosen: right}}
	for i, text := range []string{"a wrong one", "another wrong one", "a third wrong one"} {
		r.Options = append(r.Options, api.OfferedOption{Text: text, Fact: fact, Chosen: !right && wrong == i})
	}
	return r
}
