package api_test

import (
	"bytes"
	"math"
	"math/rand/v2"
	"regexp"
	"testing"

	"soloright/api"
	"soloright/content"
	"soloright/content/library"
	"soloright/quiz"
	"soloright/quiz/itemmodel"
	"soloright/scoring/itemhealth"
	"soloright/scoring/itemstat"
)

// guesses draws a difficulty for each family of the pump's bank.
func guesses(t *testing.T, seed uint64) (*quiz.Bank, map[itemhealth.Family]float64) {
	t.Helper()
	p, err := library.Procedure(pump)
	if err != nil {
		t.Fatal(err)
	}
	bank := quiz.NewBank(quiz.NewSource(p, ""), itemmodel.All())
	rnd, out := rand.New(rand.NewPCG(seed, 1)), map[itemhealth.Family]float64{}
	for _, f := range bank.Families() {
		out[itemhealth.Family{Lead: string(f.Lead), Model: f.Model.Name()}] = rnd.NormFloat64()
	}
	return bank, out
}

// The ability at the cut is where the topics' means, weighed by their minima, come to
// the cut: worked out again from the aim alone.
func TestAimStandsAtTheCut(t *testing.T) {
	bank, b := guesses(t, 1)
	bp, _ := library.Blueprint(pump)
	asks := *bp
	asks.Difficulty, asks.Information = 80, 3
	aim := api.AimOf(bank, asks, b, 12)
	sum, n, weight := map[content.Topic]float64{}, map[content.Topic]float64{}, map[content.Topic]float64{}
	for i, f := range bank.Families() {
		fact, _ := bank.Source().Index.Fact(f.Lead)
		sum[fact.Kind.Topic()] += float64(aim.Marks[i])
		n[fact.Kind.Topic()]++
		p := float64(aim.Marks[i]) / 1000
		if got := float64(aim.Tells[i]) / 1000; math.Abs(got-p*(1-p)) > 0.0015 {
			t.Errorf("family %d tells %v at %v", i, got, p)
		}
	}
	for _, r := range bp.Topics {
		weight[r.Topic] = float64(r.Min)
	}
	total, all := 0.0, 0.0
	for topic, s := range sum {
		w := max(1, weight[topic])
		total += w * s / n[topic]
		all += w
	}
	if got := total / all; math.Abs(got-800) > 1 {
		t.Errorf("somebody at the cut expects %.1f thousandths, want 800", got)
	}
	if aim.Mark != 800 || aim.Information != 3000 || aim.Sample != 12 {
		t.Errorf("aim %+v", aim)
	}
	if api.AimOf(bank, asks, nil, 12) != nil {
		t.Error("an aim out of nothing")
	}
}

// Qualifying forms of a blueprint that asks for it are steered by what is known of
// items, keep what was used, and are set again to the byte whatever is known later.
func TestFormsAreSteered(t *testing.T) {
	s := newSite(t)
	src, err := library.Source(pump)
	if err != nil {
		t.Fatal(err)
	}
	text := regexp.MustCompile(`(?m)^revision: .*$`).ReplaceAll(src, []byte("revision: S"))
	blueprint := bytes.Replace(library.BlueprintSource(pump), []byte("\ncut: 80\n"), []byte("\ncut: 80\ndifficulty: 80\n"), 1)
	if _, err := s.ImportProcedure(t.Context(), api.Operator(), api.Import{Name: "s", Source: text, Blueprint: blueprint, Adopt: true}); err != nil {
		t.Fatal(err)
	}
	forms := map[string]int{}
	sit := func(name string, mode api.Mode) quiz.Form {
		t.Helper()
		c := s.as(s.add(name, api.Technician))
		x := s.open(c, mode)
		s.hand(c, x.ID)
		forms[x.ID]++
		return s.form(x.ID)
	}
	bank, b := guesses(t, 2)
	if f := sit("before", api.Qualifying); f.Aim != nil {
		t.Error("nothing is known, and the form was steered")
	}
	api.WaitHealth(s.App) // it was begun for the forms that follow
	api.KnowItems(s.App, pump, b)
	for _, name := range []string{"one", "two", "three"} {
		f := sit(name, api.Qualifying)
		mark, _, known, ok := f.Toward(bank)
		if !ok || mark < 797 || mark > 803 || known != len(f.Items) || f.Aim.Sample != 321 {
			t.Errorf("%s: %d thousandths by %d items, %t", name, mark, known, ok)
		}
	}
	if f := sit("practice", api.Practice); f.Aim != nil {
		t.Error("practice was steered")
	}
	_, other := guesses(t, 3)
	api.KnowItems(s.App, pump, other)
	sit("four", api.Qualifying)
	api.KnowItems(s.App, pump, nil)
	if rep := s.replay(); len(rep.Differences) > 0 || rep.Reassembled != len(forms) {
		t.Errorf("%d forms set again of %d: %v", rep.Reassembled, len(forms), rep.Differences)
	}
	s.sound()
}

// Forms are compared by a report as the program has it, for who runs it.
func TestFormsAlike(t *testing.T) {
	s := newSite(t)
	_, b := guesses(t, 2)
	rep := &itemhealth.Report{}
	for f, d := range b {
		rep.Items = append(rep.Items, itemhealth.Health{Family: f, Current: true, Rasch: itemstat.Figure{Value: d, N: 40}})
	}
	got, err := s.FormsAlike(t.Context(), pump, rep, 40)
	if err != nil || len(got) != 1 {
		t.Fatalf("%+v, %v", got, err)
	}
	f := got[0]
	if f.Known != f.Families || f.Before[1]-f.Before[0] < 50 || f.After[1]-f.After[0] > 5 || f.After[0] < 797 || f.Forms != 40 {
		t.Errorf("%+v", f)
	}
	if none, err := s.FormsAlike(t.Context(), pump, &itemhealth.Report{}, 40); err != nil || none != nil {
		t.Errorf("out of nothing: %+v, %v", none, err)
	}
}
