package paper

import (
	"bytes"
	"encoding/csv"
	"testing"

	"soloright/scoring/itemhealth"
	"soloright/scoring/itemstat"
)

// A figure that is not given is an empty cell, a negative one stays a number, and a
// procedure without a report has no line.
func TestItemsCSV(t *testing.T) {
	rep := &itemhealth.Report{Items: []itemhealth.Health{{Family: itemhealth.Family{Lead: "facing/cup", Model: "pick-the-facing"}, Revisions: []string{"A", "B"}, People: 34, Answers: 50,
		Difficulty: itemstat.Figure{Value: 0.5, N: 34, Lo: 0.36, Hi: 0.64, Conf: 0.9}, ItemTotal: itemstat.Figure{Value: -0.25, N: 34, Lo: -0.5, Hi: 0.04, Conf: 0.9},
		Discrimination: itemstat.Figure{N: 34, NotYet: itemstat.Constant},
		Flags:          []itemhealth.Flag{{Kind: itemhealth.BetterMiss, Sentence: "A wrong key?"}, {Kind: itemhealth.Slow, Firm: true, Sentence: "Slow."}}}}}
	var b bytes.Buffer
	if err := ItemsCSV(&b, []string{"pump", "none"}, map[string]*itemhealth.Report{"pump": rep}); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil || len(rows) != 2 {
		t.Fatal(rows, err)
	}
	at := map[string]string{}
	for i, name := range rows[0] {
		at[name] = rows[1][i]
	}
	for name, want := range map[string]string{"procedure": "pump", "fact": "facing/cup", "revisions": "A B", "stated_now": "no", "difficulty_lo": "0.3600", "item_total": "-0.2500",
		"discrimination": "", "rasch": "0.0000", "flags": "better people miss it more (may be luck); far slower than its like (firm)", "sentences": "A wrong key? Slow."} {
		if at[name] != want {
			t.Errorf("%s: %q, want %q", name, at[name], want)
		}
	}
}
