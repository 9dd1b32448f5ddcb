package web

import (
	"net/http"
	"strings"
	"testing"

	"soloright/api"
)

// The planner gives the published lengths, and says what is not a number.
func TestThePlanner(t *testing.T) {
	s := newSite(t)
	trainer := s.token[api.Trainer]
	w := s.send(http.MethodGet, "/planner?weak=70&pass=5&strong=90&fail=10&tries=3&procedure=aodd-air-side", trainer, nil)
	if body := w.Body.String(); w.Code != http.StatusOK || !strings.Contains(body, "47 sheets, of which 40 must be right") || !strings.Contains(body, "not yet: 0 of the 2") {
		t.Errorf("three tries: %d\n%s", w.Code, body)
	}
	for query, want := range map[string]string{"weak=x": "who is to fail, from 1 to 98", "tries=0": "whole numbers", "weak=90&strong=90": "must be below", "weak=89&strong=90&pass=1&fail=1&tries=20": "No test of at most"} {
		w := s.send(http.MethodGet, "/planner?"+query, trainer, nil)
		if w.Code != http.StatusUnprocessableEntity || !strings.Contains(w.Body.String(), want) {
			t.Errorf("%s: %d, want a message with %q", query, w.Code, want)
		}
	}
	if w := s.send(http.MethodGet, "/planner", s.token[api.Technician], nil); w.Code != http.StatusForbidden {
		t.Errorf("a technician: %d", w.Code)
	}
}

// What the planner works out is never shown as high
// as the limit that they stay under.
func TestPlannerShowsSharesUnderTheirLimit(t *testing.T) {
	for _, c := range []struct {
		share float64
		limit int
		want  string
	}{{0.04396716675493026, 5, "4.4 %"}, {0.09951642396555027, 10, "9.95 %"}, {0.04999, 5, "4.999 %"}, {0.0002, 5, "under 0.1 %"}, {0.0999999999, 10, "just under 10 %"}, {0.12, 10, "12 %"}} {
		if got := (PlannerPage{}).Under(c.share, c.limit); got != c.want {
			t.Errorf("%v under %d: %s, want %s", c.share, c.limit, got, c.want)
		}
	}
}
