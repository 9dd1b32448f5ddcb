package library_test

import (
	"strings"
	"testing"

	"soloright/content"
	"soloright/content/torque"
	"soloright/quiz"
	"soloright/quiz/itemmodel"
	"soloright/scoring"
)

// onTheScale reports ends of the limit that the gauge cannot show: no whole number of
// its divisions.
func onTheScale(t *testing.T, what string, l *content.Limit, division *torque.Quantity) {
	t.Helper()
	if l == nil {
		return
	}
	for _, end := range []*torque.Quantity{l.Min, l.Max} {
		if end == nil {
			continue
		}
		v, err := end.In(division.Unit())
		if err != nil {
			t.Errorf("%s: %v", what, err)
		} else if v.Quo(v, division.Value()); !v.IsInt() {
			t.Errorf("%s: %s is no whole number of %s", what, end.Text(), division.Text())
		}
	}
}

func TestGaugesOfThePlantsCanReadTheLimits(t *testing.T) {
	for id := range plants {
		p := read(t, id)
		for _, s := range p.Settings {
			onTheScale(t, id+", "+s.ID, &s.Limit, &s.Resolution)
			near := content.Limit{Min: &s.Near}
			onTheScale(t, id+", "+s.ID+", near", &near, &s.Resolution)
		}
		for _, n := range p.Inspections {
			onTheScale(t, id+", "+n.ID, n.Limit, n.Resolution)
		}
		for _, x := range p.Tests {
			for _, c := range x.Accept {
				onTheScale(t, id+", "+x.ID+"/"+c.ID, c.Limit, c.Resolution)
			}
		}
	}
}

// 29 CFR 1910.147(e) in order of time: inspect the work area (e)(1), people clear
// (e)(2)(i), each device removed by who applied it (e)(3), affected employees told
// before the start (e)(2)(ii).
func TestPlantsReturnToServiceByTheRegulation(t *testing.T) {
	want := []string{"inspect the work area", "stands clear", "by the person who hung it", "tell", "start"}
	for id := range plants {
		acts := read(t, id).Isolation.Restore
		if len(acts) != len(want) {
			t.Errorf("%s: the return to service has %d acts, want %d", id, len(acts), len(want))
			continue
		}
		for i, a := range acts {
			if !strings.Contains(strings.ToLower(a.Text), want[i]) {
				t.Errorf("%s: act %d of the return is %q, want %q there", id, i+1, a.Text, want[i])
			}
		}
	}
}

// measurement.md: who is right on .95 of the items passes at least .90 of the time
// under the whole rule; the time allowed is a fifth more than the items are given.
func TestFormsOfThePlantsCanBePassed(t *testing.T) {
	forms := 100
	if testing.Short() {
		forms = 10
	}
	eachPlant(t, func(t *testing.T, p *content.Procedure) {
		bp := blueprint(t, p.ID)
		bank := quiz.NewBank(quiz.NewSource(p, ""), itemmodel.All())
		table, err := scoring.PassTable(bank, *bp, quiz.Seed{31}, forms)
		if err != nil {
			t.Fatal(err)
		}
		if last := table.Rows[len(table.Rows)-1]; last.Holds != 0.95 || last.Pass < 0.90 || table.Warn {
			t.Errorf("who is right on %.2f passes %.3f of the forms", last.Holds, last.Pass)
		}
		form, err := quiz.Assemble(bank, *bp, quiz.History{}, quiz.Seed{31})
		if err != nil {
			t.Fatal(err)
		}
		seconds := 0
		for _, it := range form.Items {
			seconds += it.Seconds
		}
		if allowed := bp.Minutes * 60; 6*seconds > 5*allowed {
			t.Errorf("the items are given %d s, and %d s are allowed", seconds, allowed)
		}
	})
}
