package clearance_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"soloright/content"
	"soloright/scoring/clearance"
)

// Every sentence that a standing may say, each from the record that leads to it.
func TestSentences(t *testing.T) {
	for name, tell := range map[string]func(s *story){
		"nothing yet": func(s *story) { s.says("2026-01-05", "not cleared: qualifying sitting outstanding") },
		"failed": func(s *story) {
			s.sit("s1", "A", clearance.Failed).says("2026-01-05", "not cleared: qualifying sitting outstanding")
		},
		"passed": func(s *story) {
			s.sit("s1", "A", clearance.Passed).says("2026-01-05", "not cleared: one observed rebuild outstanding")
		},
		"three rebuilds asked for": func(s *story) {
			s.policy(func(p *clearance.Policy) { p.Rebuilds = 3 }).cleared(1, "A").says("2026-01-05", "not cleared: two observed rebuilds outstanding")
		},
		"rebuilt": func(s *story) {
			s.sit("s1", "A", clearance.Passed).rebuild("r1", "A").says("2026-01-05", "not cleared: technician’s signature outstanding")
		},
		"technician signed": func(s *story) {
			s.sit("s1", "A", clearance.Passed).rebuild("r1", "A").do(sign("r1", "tech", clearance.Performed)).says("2026-01-05", "not cleared: assessor’s signature outstanding")
		},
		"officer asked for": func(s *story) {
			s.policy(func(p *clearance.Policy) { p.Officer = true }).cleared(1, "A").says("2026-01-05", "not cleared: safety officer’s signature outstanding").
				do(sign("r1", "officer", clearance.Approved)).says("2026-01-05", "cleared until 2027-01-05 on revision A")
		},
		"cleared to the last day": func(s *story) {
			s.cleared(1, "A").says("2026-01-05", "cleared until 2027-01-05 on revision A").says("2027-01-05", "cleared until 2027-01-05 on revision A").
				says("2027-01-06", "not cleared: lapsed after 2027-01-05, qualifying sitting outstanding").
				says("2026-01-04", "not cleared: no revision of the procedure is in force")
		},
		"a shorter month": func(s *story) {
			s.policy(func(p *clearance.Policy) { p.Months = 1 }).on("2026-01-31 10:00").cleared(1, "A").says("2026-01-31", "cleared until 2026-02-28 on revision A")
		},
		"carried over": func(s *story) {
			s.cleared(1, "A").on("2026-02-01 10:00").adopt("B", "A").says("2026-02-01", "cleared until 2027-01-05 on revision B")
		},
		"three changed facts": func(s *story) {
			s.cleared(1, "A").on("2026-02-01 10:00").adopt("B", "A", "f1", "f2", "f3").
				says("2026-02-15", "held: revision B changed 3 facts, delta sitting due by 2026-02-15; cleared on revision A until 2026-02-15").
				says("2026-02-16", "held: revision B changed 3 facts, delta sitting was due by 2026-02-15").
				on("2026-02-20 10:00").deltaSitting("d1", "A", "B", clearance.Failed).says("2026-02-20", "held: revision B changed 3 facts, delta sitting was due by 2026-02-15").
				on("2026-02-21 10:00").deltaSitting("d2", "A", "B", clearance.Passed).says("2026-02-21", "cleared until 2027-01-05 on revision B").
				says("2026-02-20", "held: revision B changed 3 facts, delta sitting was due by 2026-02-15").
				on("2026-02-22 10:00").do(clearance.SittingVoided{Sitting: "d2", Reason: "helped"}).
				says("2026-02-22", "held: revision B changed 3 facts, delta sitting was due by 2026-02-15").
				says("2026-02-21", "cleared until 2027-01-05 on revision B")
		},
		"the clearance ends within the grace": func(s *story) {
			s.cleared(1, "A").on("2027-01-01 10:00").adopt("B", "A", "f1").
				says("2027-01-01", "held: revision B changed 1 fact, delta sitting due by 2027-01-15; cleared on revision A until 2027-01-05")
		},
		"removed facts are read": func(s *story) {
			s.cleared(1, "A").on("2026-02-01 10:00").do(clearance.RevisionAdopted{Procedure: "pump", Revision: "B", Previous: "A", Removed: []content.FactID{"f1", "f2"}}).
				says("2026-02-01", "held: revision B removed 2 facts, signature for what was read due by 2026-02-15; cleared on revision A until 2026-02-15").
				do(clearance.RemovedRead{Person: "tech", Procedure: "pump", Revision: "B", Facts: []content.FactID{"f1"}, Digest: digest}).
				says("2026-02-01", "held: revision B removed 1 fact, signature for what was read due by 2026-02-15; cleared on revision A until 2026-02-15").
				do(clearance.RemovedRead{Person: "tech", Procedure: "pump", Revision: "B", Facts: []content.FactID{"f2"}, Digest: digest}).
				says("2026-02-01", "cleared until 2027-01-05 on revision B")
		},
		"a hold point is observed again": func(s *story) {
			s.cleared(1, "A").on("2026-02-01 10:00").do(clearance.RevisionAdopted{Procedure: "pump", Revision: "B", Previous: "A",
				Changed: []content.FactID{"f1"}, Removed: []content.FactID{"f2"}, Observe: []clearance.ObserveAgain{{Fact: "f1", Hold: "cap-on"}}}).
				says("2026-02-01", "held: revision B changed 1 fact and removed 1, delta sitting due by 2026-02-15; cleared on revision A until 2026-02-15").
				deltaSitting("d1", "A", "B", clearance.Passed).
				do(clearance.RemovedRead{Person: "tech", Procedure: "pump", Revision: "B", Facts: []content.FactID{"f2"}, Digest: digest}).
				says("2026-02-01", "held: revision B has 1 hold point to be observed again, observation due by 2026-02-15; cleared on revision A until 2026-02-15")
			again := s.sheet("r2", "B")
			again.Partial, again.Holds = true, again.Holds[1:]
			s.do(again).says("2026-02-01", "held: revision B has 1 hold point to be observed again, observation due by 2026-02-15; cleared on revision A until 2026-02-15").
				signedBoth("r2").says("2026-02-01", "cleared until 2027-01-05 on revision B")
		},
		"changed on the road": func(s *story) {
			s.sit("s1", "A", clearance.Passed).adopt("B", "A", "f1").says("2026-01-05", "not cleared: delta sitting on 1 changed fact outstanding").
				deltaSitting("d1", "A", "B", clearance.Passed).says("2026-01-05", "not cleared: one observed rebuild outstanding").
				rebuild("r1", "B").signedBoth("r1").says("2026-01-05", "cleared until 2027-01-05 on revision B")
		},
		"suspended and reinstated": func(s *story) {
			s.cleared(1, "A").on("2026-02-01 10:00").do(clearance.Suspended{Person: "tech", Procedure: "pump", Reason: "worked without a lock"}).
				says("2026-02-01", "suspended since 2026-02-01: worked without a lock").says("2026-01-31", "cleared until 2027-01-05 on revision A").
				on("2026-02-03 10:00").do(clearance.Reinstated{Person: "tech", Procedure: "pump", Reason: "retrained"}).
				says("2026-02-02", "suspended since 2026-02-01: worked without a lock").says("2026-02-03", "cleared until 2027-01-05 on revision A")
		},
		"withdrawn": func(s *story) {
			s.cleared(1, "A").on("2026-02-01 10:00").do(clearance.Withdrawn{Person: "tech", Procedure: "pump", Reason: "forged a reading"}).
				says("2026-02-01", "withdrawn on 2026-02-01: forged a reading").signedBoth("r1").says("2026-02-01", "withdrawn on 2026-02-01: forged a reading").
				sit("s2", "A", clearance.Passed).says("2026-02-01", "not cleared: one observed rebuild outstanding").
				rebuild("r2", "A").signedBoth("r2").says("2026-02-01", "cleared until 2027-02-01 on revision A")
		},
		"left and back": func(s *story) {
			s.cleared(1, "A").on("2026-02-01 10:00").do(clearance.PersonLeft{Person: "tech"}).says("2026-02-02", "not cleared: left on 2026-02-01").
				on("2026-02-03 10:00").do(clearance.PersonBack{Person: "tech"}).says("2026-02-03", "cleared until 2027-01-05 on revision A")
		},
		"procedure withdrawn": func(s *story) {
			s.cleared(1, "A").on("2026-02-01 10:00").do(clearance.ProcedureWithdrawn{Procedure: "pump", Reason: "scrapped"}).
				says("2026-02-01", "not cleared: the procedure was withdrawn on 2026-02-01").
				adopt("B", "A").says("2026-02-01", "cleared until 2027-01-05 on revision B")
		},
		"struck out": func(s *story) {
			s.cleared(1, "A").on("2026-02-01 10:00").do(clearance.SittingVoided{Sitting: "s1", Reason: "helped"}).
				says("2026-01-31", "cleared until 2027-01-05 on revision A").says("2026-02-01", "not cleared: qualifying sitting outstanding")
		},
		"re-marked": func(s *story) {
			s.cleared(1, "A").on("2026-02-01 10:00").do(clearance.SittingRemarked{Sitting: "s1", Verdict: clearance.Failed, Reason: "a key was wrong"}).
				says("2026-01-31", "cleared until 2027-01-05 on revision A").says("2026-02-01", "not cleared: qualifying sitting outstanding").
				on("2026-02-02 10:00").do(clearance.SittingRemarked{Sitting: "s1", Verdict: clearance.Passed, Reason: "the key was right"}).says("2026-02-02", "cleared until 2027-01-05 on revision A")
		},
		"prerequisite": func(s *story) {
			s.do(clearance.RevisionAdopted{Procedure: "lock-out", Revision: "1"}).do(clearance.RevisionAdopted{Procedure: "pump", Revision: "B", Previous: "A", Prerequisites: []string{"lock-out"}}).
				cleared(1, "B").says("2026-01-05", "held: prerequisite lock-out is not cleared")
		},
		"prerequisite on the road": func(s *story) {
			s.do(clearance.RevisionAdopted{Procedure: "pump", Revision: "B", Previous: "A", Prerequisites: []string{"lock-out"}}).
				says("2026-01-05", "not cleared: prerequisite lock-out outstanding")
		},
	} {
		t.Run(name, func(t *testing.T) { tell(fresh(t)) })
	}
}

func fresh(t *testing.T) *story { return tell(t) }

// What does not lead to a clearance, however much it looks like it.
func TestNoClearance(t *testing.T) {
	outstanding := "not cleared: one observed rebuild outstanding"
	bad := func(change func(*clearance.RebuildFinished)) func(*story) string {
		return func(s *story) string {
			s.on("2026-01-07 10:00").sit("s1", "A", clearance.Passed)
			b := s.sheet("r1", "A")
			change(&b)
			s.do(b).do(sign("r1", "tech", clearance.Performed), sign("r1", b.Assessor, clearance.Observed))
			return outstanding
		}
	}
	for name, f := range map[string]func(*story) string{
		"prompted":              bad(func(b *clearance.RebuildFinished) { b.Holds[0].Outcome = clearance.Prompted }),
		"stopped":               bad(func(b *clearance.RebuildFinished) { b.Holds[1].Outcome = clearance.Stopped }),
		"not done":              bad(func(b *clearance.RebuildFinished) { b.Holds[1].Outcome = clearance.NotDone }),
		"not applicable":        bad(func(b *clearance.RebuildFinished) { b.Holds[1].Outcome = clearance.NotApplicable }),
		"out of tolerance":      bad(func(b *clearance.RebuildFinished) { b.InTolerance = false }),
		"out of calibration":    bad(func(b *clearance.RebuildFinished) { b.InCalibration = false }),
		"no hold point":         bad(func(b *clearance.RebuildFinished) { b.Holds = nil }),
		"before the sitting":    bad(func(b *clearance.RebuildFinished) { b.Started = b.Started.Add(-time.Hour) }),
		"on no known revision":  bad(func(b *clearance.RebuildFinished) { b.Revision = "Z" }),
		"only part":             bad(func(b *clearance.RebuildFinished) { b.Partial = true }),
		"assessor not entitled": bad(func(b *clearance.RebuildFinished) { b.Assessor = "other" }),
		"assessor signs first": func(s *story) string {
			s.sit("s1", "A", clearance.Passed).rebuild("r1", "A").do(sign("r1", "assessor", clearance.Observed), sign("r1", "tech", clearance.Performed))
			return "not cleared: assessor’s signature outstanding"
		},
		"another sheet was signed": func(s *story) string {
			changed := sign("r1", "tech", clearance.Performed)
			changed.Covers.Digest = digest
			s.sit("s1", "A", clearance.Passed).rebuild("r1", "A").do(changed, sign("r1", "assessor", clearance.Observed))
			return "not cleared: technician’s signature outstanding"
		},
		"another assessor signs": func(s *story) string {
			s.appoint("other", "")
			s.sit("s1", "A", clearance.Passed).rebuild("r1", "A").do(sign("r1", "tech", clearance.Performed), sign("r1", "other", clearance.Observed))
			return "not cleared: assessor’s signature outstanding"
		},
		"approved by somebody else": func(s *story) string {
			s.policy(func(p *clearance.Policy) { p.Officer = true }).cleared(1, "A").do(sign("r1", "other", clearance.Approved))
			return "not cleared: safety officer’s signature outstanding"
		},
		"approved by the assessor": func(s *story) string {
			s.policy(func(p *clearance.Policy) { p.Officer = true }).do(clearance.RoleSet{Person: "assessor", Role: clearance.RoleSafetyOfficer}).
				cleared(1, "A").do(sign("r1", "assessor", clearance.Approved))
			return "not cleared: safety officer’s signature outstanding"
		},
		"approved too early": func(s *story) string {
			s.policy(func(p *clearance.Policy) { p.Officer, p.Rebuilds = true, 2 }).cleared(1, "A").do(sign("r1", "officer", clearance.Approved)).
				rebuild("r2", "A").signedBoth("r2")
			return "not cleared: safety officer’s signature outstanding"
		},
		"one sitting, one clearance": func(s *story) string {
			s.cleared(1, "A").on("2027-02-01 10:00").rebuild("r2", "A").signedBoth("r2")
			return "not cleared: lapsed after 2027-01-05, qualifying sitting outstanding"
		},
	} {
		t.Run(name, func(t *testing.T) {
			s := fresh(t)
			want := f(s)
			s.says(s.now.Format(time.DateOnly), want)
		})
	}
}

func TestCounts(t *testing.T) {
	good := clearance.HoldRecord{Step: "a", Outcome: clearance.Unaided}
	for _, c := range []struct {
		hold clearance.HoldRecord
		want string
	}{
		{good, ""},
		{clearance.HoldRecord{Step: "b", Outcome: clearance.NotApplicable, Conditional: true, Condition: "no relief valve"}, ""},
		{clearance.HoldRecord{Step: "b", Outcome: clearance.NotApplicable, Conditional: true}, "without the condition found"},
		{clearance.HoldRecord{Step: "b", Outcome: clearance.NotApplicable, Condition: "no relief valve"}, "has no condition"},
		{clearance.HoldRecord{Step: "b", Outcome: clearance.NotApplicable, Conditional: true, Critical: true, Condition: "x"}, "is critical"},
		{clearance.HoldRecord{Step: "b", Outcome: clearance.Prompted}, "hold point b was prompted"},
		{clearance.HoldRecord{Step: "b", Outcome: clearance.Stopped}, "hold point b was stopped by the assessor"},
		{clearance.HoldRecord{Step: "b", Outcome: clearance.NotDone}, "hold point b was not done"},
		{clearance.HoldRecord{Step: "b", Outcome: "forgotten"}, "hold point b was not done"},
	} {
		b := clearance.RebuildFinished{Holds: []clearance.HoldRecord{good, c.hold}, InTolerance: true, InCalibration: true}
		ok, why := b.Counts()
		if ok != (c.want == "") || !strings.Contains(why, c.want) {
			t.Errorf("%+v: %v %q, want %q", c.hold, ok, why, c.want)
		}
	}
}

// A reading that is not written and one beyond its limits are one field of the act:
// the reason names both, so that it is true of either.
func TestCountsNamesReadings(t *testing.T) {
	good := []clearance.HoldRecord{{Step: "a", Outcome: clearance.Unaided}}
	for want, b := range map[string]clearance.RebuildFinished{
		"a reading is missing or out of tolerance": {Holds: good, InCalibration: true},
		"a wrench was out of calibration":          {Holds: good, InTolerance: true},
	} {
		if ok, why := b.Counts(); ok || why != want {
			t.Errorf("got %v %q, want %q", ok, why, want)
		}
	}
}

// What is missing stands in the order of the road.
func TestNext(t *testing.T) {
	s := fresh(t).policy(func(p *clearance.Policy) { p.Rebuilds, p.Officer = 3, true }).cleared(1, "A").rebuild("r2", "A")
	got := s.standing("2026-01-05").Next
	want := []string{"one observed rebuild outstanding", "technician’s signature outstanding", "assessor’s signature outstanding", "safety officer’s signature outstanding"}
	if !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}
