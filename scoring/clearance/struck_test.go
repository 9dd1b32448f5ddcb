package clearance_test

import (
	"slices"
	"testing"
	"time"

	"soloright/content"
	"soloright/scoring/clearance"
)

func (s *story) struck(id string) *story {
	return s.do(clearance.RebuildVoided{Rebuild: id, Reason: "the wrench was found out"})
}

func officer(p *clearance.Policy) { p.Officer = true }

// A rebuild that is struck out ends the clearance it gave, from its own entry on.
// (This program's own rule; no source.)
func TestAStruckRebuildEndsItsClearance(t *testing.T) {
	s := tell(t).on("2026-01-05 09:00").cleared(1, "A")
	s.on("2026-02-01 09:00").struck("r1").struck("r1")
	s.says("2026-01-31", "cleared until 2027-01-05 on revision A")
	s.says("2026-02-01", "not cleared: one observed rebuild outstanding")
	before := s.reg.Standing("tech", "pump", end("2026-01-31"), end("2026-02-10"))
	if !before.Cleared {
		t.Error("a void reached back")
	}
	if b, _ := s.reg.Rebuild("r1", s.now); !b.Voided || b.Ready || !b.Observed {
		t.Errorf("the rebuild: %+v", b)
	}
	if b, _ := s.reg.Rebuild("r1", end("2026-01-31")); b.Voided || !b.Ready {
		t.Errorf("the rebuild the day before: %+v", b)
	}
	if got := s.reg.Trail("tech", "pump", s.now, time.Time{}); got.Sitting != "s1" || len(got.Rebuilds) > 0 {
		t.Errorf("the trail: %+v", got)
	}
	s.on("2026-02-03 09:00").rebuild("r2", "A").signedBoth("r2")
	s.says("2026-02-03", "cleared until 2027-02-03 on revision A")
}

// With another one signed, what remains is judged anew.
func TestWhatRemainsIsJudgedAnew(t *testing.T) {
	s := tell(t).on("2026-01-05 09:00").cleared(1, "A")
	s.on("2026-01-20 09:00").rebuild("r2", "A").signedBoth("r2")
	s.on("2026-02-01 09:00").struck("r2").says("2026-02-01", "cleared until 2027-01-05 on revision A") // it had no part
	s.on("2026-02-02 09:00").rebuild("r3", "A").signedBoth("r3")
	s.on("2026-02-03 09:00").struck("r1").says("2026-02-03", "cleared until 2027-02-02 on revision A")
}

// One that had no part takes nothing, even where the policy asks for more by now.
func TestOneWithoutPartTakesNothing(t *testing.T) {
	s := tell(t).on("2026-01-05 09:00").cleared(1, "A")
	s.on("2026-01-20 09:00").rebuild("r2", "A").signedBoth("r2")
	s.policy(func(p *clearance.Policy) { p.Rebuilds = 2 })
	s.on("2026-02-01 09:00").struck("r2").says("2026-02-01", "cleared until 2027-01-05 on revision A")
}

// The approval goes with the rebuild that it rested on.
func TestTheApprovalGoesToo(t *testing.T) {
	s := tell(t).policy(officer).on("2026-01-05 09:00").cleared(1, "A").do(sign("r1", "officer", clearance.Approved))
	s.says("2026-01-05", "cleared until 2027-01-05 on revision A")
	if b, _ := s.reg.Rebuild("r1", s.now); !b.Approved {
		t.Errorf("approved: %+v", b)
	}
	s.on("2026-02-01 09:00").struck("r1").rebuild("r2", "A").signedBoth("r2")
	s.says("2026-02-01", "not cleared: safety officer’s signature outstanding")
	s.on("2026-02-02 09:00").do(sign("r1", "officer", clearance.Approved)).says("2026-02-02", "not cleared: safety officer’s signature outstanding")
	s.on("2026-02-03 09:00").do(sign("r2", "officer", clearance.Approved)).says("2026-02-03", "cleared until 2027-02-03 on revision A")
}

// A signature under one that is struck out counts nothing.
func TestNobodySignsWhatIsStruckOut(t *testing.T) {
	s := tell(t).on("2026-01-05 09:00").sit("s1", "A", clearance.Passed).rebuild("r1", "A").do(sign("r1", "tech", clearance.Performed)).struck("r1")
	s.do(sign("r1", "assessor", clearance.Observed)).says("2026-01-05", "not cleared: one observed rebuild outstanding")
}

// An older sitting whose clearance is judged anew does not come before a newer one.
func TestTheNewerSittingStaysInFront(t *testing.T) {
	s := tell(t).on("2026-01-05 09:00").cleared(1, "A").rebuild("spare", "A").signedBoth("spare")
	s.on("2026-06-05 09:00").cleared(2, "A").says("2026-06-05", "cleared until 2027-06-05 on revision A")
	s.on("2026-06-06 09:00").struck("r1").says("2026-06-06", "cleared until 2027-06-05 on revision A")
}

// What was seen in it is to be seen again.
func TestWhatWasSeenIsToBeSeenAgain(t *testing.T) {
	s := tell(t).on("2026-01-05 09:00").cleared(1, "A").on("2026-02-01 09:00")
	s.do(clearance.RevisionAdopted{Procedure: "pump", Revision: "B", Previous: "A", Changed: []content.FactID{"f1"}, Observe: []clearance.ObserveAgain{{Fact: "f1", Hold: "cap-on"}}})
	s.deltaSitting("d1", "A", "B", clearance.Passed)
	again := s.sheet("again", "B")
	again.Partial, again.Holds = true, again.Holds[1:]
	s.do(again).signedBoth("again").says("2026-02-01", "cleared until 2027-01-05 on revision B")
	s.on("2026-02-02 09:00").struck("again")
	if got := s.standing("2026-02-02"); got.State != clearance.Held || len(got.Observe) != 1 || got.Revision != "A" {
		t.Errorf("after it was struck out: %+v", got)
	}
}

// Ground is the sitting that a rebuild would build on.
func TestGround(t *testing.T) {
	s := tell(t).on("2026-01-05 09:00").sit("s1", "A", clearance.Passed)
	handed := at("2026-01-05 09:00")
	for _, c := range []struct {
		started time.Time
		want    string
	}{{handed, "s1"}, {handed.Add(-time.Microsecond), ""}} {
		if g, ok := s.reg.Ground("tech", "pump", "A", c.started, s.now); g.Sitting != c.want || ok != (c.want != "") || ok && (!g.HandedIn.Equal(handed) || g.Cleared) {
			t.Errorf("begun at %s: %+v %t", c.started, g, ok)
		}
	}
	if _, ok := s.reg.Ground("tech", "pump", "B", s.now, s.now); ok {
		t.Error("a rebuild on a revision that was not adopted")
	}
	s.rebuild("r1", "A").signedBoth("r1")
	if g, _ := s.reg.Ground("tech", "pump", "A", s.now, s.now); !g.Cleared {
		t.Errorf("with a clearance: %+v", g)
	}
}

// MaySign says beforehand what the signature is judged by.
func TestMaySign(t *testing.T) {
	s := tell(t).on("2026-01-05 09:00").sit("s1", "A", clearance.Passed).rebuild("r1", "A")
	if ok, why := s.reg.MaySign("r1", s.now.Add(time.Hour)); !ok {
		t.Error(why)
	}
	s.do(clearance.Suspended{Person: "assessor", Procedure: "pump", Reason: "careless"})
	if ok, why := s.reg.MaySign("r1", s.now); ok || why == "" {
		t.Errorf("suspended: %t %q", ok, why)
	}
	if ok, _ := s.reg.MaySign("r9", s.now); ok {
		t.Error("no such rebuild")
	}
	if !slices.Contains(s.standing("2026-01-05").Next, "assessor’s signature outstanding") {
		t.Errorf("next: %q", s.standing("2026-01-05").Next)
	}
}
