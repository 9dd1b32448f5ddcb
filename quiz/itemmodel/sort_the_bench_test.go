package itemmodel

import (
	"testing"

	"soloright/content"
	"soloright/quiz"
	"soloright/scoring"
)

// Refitting a critical part that must be renewed is a critical miss; renewing one
// that could be refitted only loses its row.
func TestSortTheBenchDanger(t *testing.T) {
	for _, it := range written(t, sortTheBench, "disposition/cup", 50) {
		refit, renew := keyAnswer(it, random(1)), keyAnswer(it, random(1))
		lost := int64(0)
		for i, r := range it.Key.Rows {
			if it.Interaction.Rows[i].Text == "cup seal" {
				refit.Rows[r.Row] = "c"
			}
			if r.Bin != "a" {
				renew.Rows[r.Row] = "a"
				lost++
			}
		}
		m, err := scoring.Mark(it, refit)
		if err != nil || len(m.Critical) != 1 || m.Critical[0] != "disposition/cup" {
			t.Fatalf("refitted the cup seal: %+v (%v)", m, err)
		}
		m, err = scoring.Mark(it, renew)
		if err != nil || len(m.Critical) != 0 || lost > 0 && m.Mark.Rat.Cmp(quiz.Frac(1, 1).Rat) == 0 {
			t.Fatalf("renewed %d that could be refitted: %+v (%v)", lost, m, err)
		}
	}
}

func TestSortTheBenchWantsTwoKinds(t *testing.T) {
	p := bench()
	for i := range p.Parts {
		p.Parts[i].Disposition = content.AlwaysRenew
	}
	if n, why := counted(t, p, sortTheBench, "disposition/cup"); n != 0 || why == "" {
		t.Errorf("count %d, %q", n, why)
	}
}
