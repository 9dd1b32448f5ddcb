package clearance_test

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"soloright/content"
	"soloright/scoring/clearance"
)

func TestTrail(t *testing.T) {
	s := fresh(t)
	want := func(when time.Time, w clearance.Trail) {
		t.Helper()
		if diff := cmp.Diff(w, s.reg.Trail("tech", "pump", when, time.Time{})); diff != "" {
			t.Errorf("at %s: -want +got\n%s", when, diff)
		}
	}
	want(s.now, clearance.Trail{})
	s.sit("s0", "A", clearance.Failed).on("2026-01-07 10:00").sit("s1", "A", clearance.Passed)
	want(s.now, clearance.Trail{Sitting: "s1"})
	bad := s.sheet("r0", "A")
	bad.InTolerance = false
	s.do(bad).rebuild("r1", "A").signedBoth("r0").signedBoth("r1")
	begun := s.now
	want(s.now, clearance.Trail{Sitting: "s1", Rebuilds: []string{"r1"}, From: begun})
	s.on("2026-02-01 10:00").do(clearance.RevisionAdopted{Procedure: "pump", Revision: "B", Previous: "A",
		Changed: []content.FactID{"f1"}, Observe: []clearance.ObserveAgain{{Fact: "f1", Hold: "cap-on"}}})
	again := s.sheet("r2", "B")
	again.Partial, again.Holds = true, again.Holds[1:]
	s.do(again).signedBoth("r2")
	want(s.now, clearance.Trail{Sitting: "s1", Rebuilds: []string{"r1"}, From: begun})
	s.deltaSitting("d0", "A", "B", clearance.Failed).deltaSitting("d1", "A", "B", clearance.Passed)
	want(s.now, clearance.Trail{Sitting: "s1", Deltas: []string{"d1"}, Rebuilds: []string{"r1"}, Again: []string{"r2"}, From: begun})
	want(begun, clearance.Trail{Sitting: "s1", Rebuilds: []string{"r1"}, From: begun})
	s.on("2026-02-03 10:00").do(clearance.SittingVoided{Sitting: "s1", Reason: "helped"})
	want(s.now, clearance.Trail{})
	if got := s.reg.Trail("nobody", "pump", s.now, time.Time{}); got.Sitting != "" {
		t.Errorf("nobody rests on %+v", got)
	}
}
