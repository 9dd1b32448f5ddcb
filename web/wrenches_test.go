package web

import (
	"net/http"
	"strings"
	"testing"

	"soloright/api"
)

// A wrench lists rebuilds by the titles of their procedures, and says to somebody
// who sees none but the own that there may be others.
func TestWrenchSaysWhoseRebuilds(t *testing.T) {
	p := newBench(t)
	see := func(token string) string {
		return textOf(parse(t, p.send(http.MethodGet, "/wrenches/TW-1", token, nil).Body.Bytes()))
	}
	all, own := see(p.token[api.SafetyOfficer]), see(p.token[api.Technician])
	if !strings.Contains(all, " Rebuilds since its last good calibration") || !strings.Contains(all, "Assembly of a gasketed flanged joint, ") {
		t.Errorf("a safety officer sees %s", all)
	}
	if !strings.Contains(own, "Your rebuilds since its last good calibration") || strings.Contains(own, "gasketed") {
		t.Errorf("a technician sees %s", own)
	}
}
