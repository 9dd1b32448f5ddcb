package web

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"soloright/api"
	"soloright/content"
	"soloright/scoring"
)

// resultText renders the result page of a sitting that was to confirm.
func resultText(t *testing.T, confirm *api.Sitting) string {
	t.Helper()
	f := &Face{app: api.New(api.Config{Clock: time.Now, Zone: time.UTC})}
	pages, err := parsePages(f)
	if err != nil {
		t.Fatal(err)
	}
	missed := scoring.Miss{Fact: "target/cap", Text: "cap: 12 N·m", Step: "cap-on"}
	res := api.Result{Sitting: api.Sitting{Mode: api.Qualifying}, Procedure: &content.Procedure{ID: "p", Title: "P"}, Final: scoring.Failed, Confirm: confirm,
		Outcome: scoring.Outcome{Verdict: scoring.ToConfirm, Critical: []scoring.Miss{missed}, Again: []scoring.Miss{missed, {Fact: "order/a", Text: "a before b"}}}}
	var b bytes.Buffer
	if err := pages["result"].ExecuteTemplate(&b, "result", ResultPage{Page: Page{Face: f, Person: &api.Person{Role: api.Technician}}, Result: res, Own: true}); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// Who failed at or above the cut is told by what, and which facts were critical.
func TestAResultSaysWhyItFailed(t *testing.T) {
	for why, confirm := range map[string]*api.Sitting{
		"not begun in time": nil, "not all was right": {State: api.StateMarked}, "step was struck out": {State: api.StateVoid}} {
		text := resultText(t, confirm)
		if !strings.Contains(text, why) {
			t.Errorf("the page does not say %q", why)
		}
		_, again, _ := strings.Cut(text, `id="again"`)
		again, _, _ = strings.Cut(again, "</ul>")
		if first, second, _ := strings.Cut(again, "</li>"); !strings.Contains(first, "flagnote") || strings.Contains(second, "flagnote") {
			t.Errorf("the critical fact alone should be flagged: %s", again)
		}
	}
}
