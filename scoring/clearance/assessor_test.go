package clearance_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"soloright/scoring/clearance"
)

func (s *story) assesses(who, revision, when, want string) {
	s.t.Helper()
	ok, why := s.reg.MayAssess(who, "tech", "pump", revision, at(when))
	if ok != (want == "") || !strings.Contains(why, want) {
		s.t.Errorf("%s on %s at %s: %v %q, want %q", who, revision, when, ok, why, want)
	}
}

func (s *story) trained(who, day string) *story {
	return s.do(clearance.TrainingGiven{Trainer: who, Technician: "tech", Procedure: "pump", Date: date(day)})
}

func TestMayAssess(t *testing.T) {
	s := fresh(t)
	s.assesses("assessor", "A", "2026-01-05 10:00", "")
	s.assesses("assessor", "A", "2026-01-05 07:00", "no revision of the procedure is in force")
	s.assesses("tech", "A", "2026-01-05 10:00", "himself")
	s.assesses("other", "A", "2026-01-05 10:00", "neither cleared on revision A nor appointed")
	s.assesses("nobody", "A", "2026-01-05 10:00", "not on the record")

	s.on("2026-02-01 10:00").do(clearance.Suspended{Person: "assessor", Procedure: "pump", Reason: "careless"})
	s.assesses("assessor", "A", "2026-02-01 11:00", "suspended since 2026-02-01")
	s.on("2026-02-02 10:00").do(clearance.Reinstated{Person: "assessor", Procedure: "pump", Reason: "well again"})
	s.assesses("assessor", "A", "2026-02-02 11:00", "")
	s.assesses("assessor", "A", "2026-02-01 11:00", "suspended since 2026-02-01")
	s.on("2026-02-03 10:00").do(clearance.PersonLeft{Person: "assessor"})
	s.assesses("assessor", "A", "2026-02-03 11:00", "left on 2026-02-03")
	s.do(clearance.PersonBack{Person: "assessor"})
	s.on("2026-02-04 10:00").do(clearance.AppointmentEnded{Appointment: "a1", Reason: "enough"})
	s.assesses("assessor", "A", "2026-02-04 11:00", "neither cleared")
	s.assesses("assessor", "A", "2026-02-03 20:00", "")

	s.do(clearance.AssessorAppointed{Appointment: "a2", Assessor: "other", Procedure: "pump", Revision: "B", From: date("2026-03-01"), Until: date("2026-03-10")})
	s.adopt("B", "A", "f1")
	s.assesses("other", "B", "2026-02-28 23:59", "neither cleared")
	s.assesses("other", "B", "2026-03-01 00:00", "")
	s.assesses("other", "A", "2026-03-01 00:00", "neither cleared")
	s.assesses("other", "B", "2026-03-10 23:59", "")
	s.assesses("other", "B", "2026-03-11 00:00", "neither cleared")
}

// Whoever is cleared assesses on the revision that the clearance stands on, and
// on no other.
func TestClearedAssesses(t *testing.T) {
	s := fresh(t).cleared(1, "A").on("2026-02-01 10:00").adopt("B", "A", "f1")
	may := func(revision, when string) bool {
		ok, _ := s.reg.MayAssess("tech", "other", "pump", revision, at(when))
		return ok
	}
	if !may("A", "2026-02-10 10:00") || may("B", "2026-02-10 10:00") || may("A", "2026-02-16 10:00") {
		t.Error("in the grace on A only, after it on none")
	}
	s.on("2026-02-17 10:00").deltaSitting("d1", "A", "B", clearance.Passed)
	if !may("B", "2026-02-17 11:00") || may("A", "2026-02-17 11:00") || may("B", "2027-01-06 00:00") {
		t.Error("after the delta sitting on B only, and not when it lapsed")
	}
}

// The window: from the training's day to so many days after it, both included;
// an exception excuses trainings up to its own day.
func TestTrainingWindow(t *testing.T) {
	s := fresh(t).policy(func(p *clearance.Policy) { p.TrainingWindow = 10 })
	s.on("2026-02-03 10:00").trained("assessor", "2026-02-01")
	s.assesses("assessor", "A", "2026-02-03 09:00", "")
	s.assesses("assessor", "A", "2026-02-03 11:00", "trained the technician on 2026-02-01")
	s.assesses("assessor", "A", "2026-02-11 23:59", "trained the technician on 2026-02-01")
	s.assesses("assessor", "A", "2026-02-12 00:00", "")
	if ok, _ := s.reg.MayAssess("assessor", "other", "pump", "A", at("2026-02-03 11:00")); !ok {
		t.Error("training one technician bars from assessing another")
	}
	s.do(clearance.ExceptionGranted{Officer: "other", Assessor: "assessor", Technician: "tech", Procedure: "pump", Reason: "no safety officer grants it"})
	s.assesses("assessor", "A", "2026-02-03 11:00", "trained the technician")
	s.on("2026-02-04 10:00").do(clearance.ExceptionGranted{Officer: "officer", Assessor: "assessor", Technician: "tech", Procedure: "pump", Reason: "nobody else on site"})
	s.assesses("assessor", "A", "2026-02-03 11:00", "trained the technician")
	s.assesses("assessor", "A", "2026-02-04 11:00", "")
	s.on("2026-02-05 10:00").trained("assessor", "2026-02-05")
	s.assesses("assessor", "A", "2026-02-05 11:00", "trained the technician on 2026-02-05")
	s.policy(func(p *clearance.Policy) { p.TrainingWindow = 0 })
	s.assesses("assessor", "A", "2026-02-05 23:00", "")
}

// The rebuild of an assessor who trained within the window counts once a safety
// officer granted an exception and the assessor signed after it; waiting with the
// pen in hand until the window is over does not help.
func TestSigningWithinTheWindow(t *testing.T) {
	s := fresh(t).policy(func(p *clearance.Policy) { p.TrainingWindow = 10 }).trained("assessor", "2026-01-05").sit("s1", "A", clearance.Passed).rebuild("r1", "A").signedBoth("r1")
	s.says("2026-01-05", "not cleared: assessor’s signature outstanding")
	if b, ok := s.reg.Rebuild("r1", s.now); !ok || !b.Counts || !b.Performed || b.Observed || !b.Follows || !strings.Contains(b.Reason, "trained the technician on 2026-01-05") {
		t.Errorf("%+v", b)
	}
	s.on("2026-01-20 10:00").signedBoth("r1").says("2026-01-20", "not cleared: assessor’s signature outstanding")
	s.do(clearance.ExceptionGranted{Officer: "officer", Assessor: "assessor", Technician: "tech", Procedure: "pump", Reason: "nobody else on site"})
	s.signedBoth("r1").says("2026-01-20", "cleared until 2027-01-20 on revision A")
	if b, ok := s.reg.Rebuild("r1", s.now); !ok || !b.Observed || b.Reason != "" {
		t.Errorf("%+v", b)
	}
}

// The assessor must be entitled at the start and at signing: each alone is not
// enough.
func TestEntitledTwice(t *testing.T) {
	s := fresh(t).sit("s1", "A", clearance.Passed).rebuild("r1", "A").do(clearance.AppointmentEnded{Appointment: "a1", Reason: "enough"}).signedBoth("r1")
	s.says("2026-01-05", "not cleared: assessor’s signature outstanding")
	late := fresh(t).sit("s1", "A", clearance.Passed)
	b := late.sheet("r1", "A")
	b.Assessor = "other"
	late.on("2026-01-06 10:00").do(b)
	late.appoint("other", "")
	late.do(sign("r1", "tech", clearance.Performed), sign("r1", "other", clearance.Observed)).says("2026-01-06", "not cleared: one observed rebuild outstanding")
	if got, _ := late.reg.Rebuild("r1", late.now); got.Counts || !strings.Contains(got.Reason, "when it started") {
		t.Errorf("%+v", got)
	}
}

func TestWhoCouldSign(t *testing.T) {
	s := fresh(t).cleared(1, "A")
	s.appoint("other", "A")
	s.trained("assessor", "2026-01-05")
	got := s.reg.WhoCouldSign("tech", "pump", "A", s.now)
	if !slices.Equal(got, []string{"other"}) {
		t.Errorf("for tech: %q", got)
	}
	if got = s.reg.Assessors("pump", "A", s.now); !slices.Equal(got, []string{"assessor", "other", "tech"}) {
		t.Errorf("on A: %q", got)
	}
	if got = s.reg.Assessors("pump", "B", s.now); !slices.Equal(got, []string{"assessor"}) {
		t.Errorf("on B, which no appointment but the open one is for: %q", got)
	}
	if got := s.reg.Trainings("assessor", "tech", "pump", s.now); len(got) != 1 || got[0] != date("2026-01-05") {
		t.Errorf("trainings: %v", got)
	}
	if got := s.reg.Trainings("assessor", "tech", "pump", s.now.Add(-time.Hour)); len(got) != 0 {
		t.Errorf("trainings an hour before: %v", got)
	}
}

func TestMaySit(t *testing.T) {
	s := fresh(t).policy(func(p *clearance.Policy) { p.Tries, p.WaitDays = 2, 3 })
	sits := func(when, want string, left int) {
		t.Helper()
		got := s.reg.MaySit("tech", "pump", at(when))
		if got.May != (want == "") || got.Reason != want || got.Left != left {
			t.Errorf("at %s: %+v, want %q, %d left", when, got, want, left)
		}
	}
	sits("2026-01-05 09:00", "", 2)
	s.on("2026-01-06 23:30").sit("s1", "A", clearance.Failed)
	sits("2026-01-08 23:59", "the next try may begin on 2026-01-09", 1)
	sits("2026-01-09 00:00", "", 1)
	s.on("2026-01-09 10:00").sit("s2", "A", clearance.Failed)
	sits("2026-02-09 10:00", "two tries failed; training is due before the next one", 0)
	s.on("2026-01-10 10:00").do(clearance.SittingVoided{Sitting: "s2", Reason: "fire alarm"})
	sits("2026-01-10 11:00", "", 1)
	s.sit("s3", "A", clearance.Failed)
	sits("2026-01-11 10:00", "two tries failed; training is due before the next one", 0)
	s.on("2026-01-12 10:00").trained("other", "2026-01-12")
	sits("2026-01-12 11:00", "", 2)
	s.sit("s4", "A", clearance.Failed).on("2026-01-16 10:00").sit("s5", "A", clearance.Passed)
	sits("2026-01-16 11:00", "", 2)
	s.do(clearance.PersonLeft{Person: "tech"})
	sits("2026-01-16 12:00", "left on 2026-01-16", 2)
	s.do(clearance.PersonBack{Person: "tech"}, clearance.RevisionAdopted{Procedure: "pump", Revision: "B", Previous: "A", Prerequisites: []string{"lock-out"}})
	sits("2026-01-16 12:00", "prerequisite lock-out is not cleared", 2)
	s.do(clearance.ProcedureWithdrawn{Procedure: "pump", Reason: "scrapped"})
	sits("2026-01-16 12:00", "no revision of the procedure is in force", 2)
}
