package clearance_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"soloright/content"
	"soloright/scoring/clearance"
)

// zone has a summer time and lies east, so that no day is a day in UTC.
var zone = func() *time.Location {
	z, err := time.LoadLocation("Europe/Helsinki")
	if err != nil {
		return time.FixedZone("east", 2*3600)
	}
	return z
}()

// story is a record told in a test: each line happens a minute after the one
// before, or at the time given by on.
type story struct {
	t      *testing.T
	now    time.Time
	events []clearance.Event
	reg    *clearance.Register
	count  int
}

func tell(t *testing.T) *story {
	s := &story{t: t, reg: clearance.New(zone)}
	s.on("2026-01-05 08:00")
	for _, p := range []struct{ id, role string }{{"tech", "technician"}, {"assessor", "trainer"}, {"other", "trainer"}, {"officer", "safety officer"}} {
		s.do(clearance.AccountAdded{Person: p.id, Role: p.role})
	}
	s.do(clearance.RevisionAdopted{Procedure: "pump", Revision: "A"})
	s.appoint("assessor", "")
	return s
}

// at reads "2026-01-05 08:00" in the zone.
func at(text string) time.Time {
	t, err := time.ParseInLocation("2006-01-02 15:04", text, zone)
	if err != nil {
		panic(err)
	}
	return t
}

// end is the end of a day.
func end(text string) time.Time { return at(text+" 00:00").AddDate(0, 0, 1).Add(-time.Microsecond) }

func (s *story) on(text string) *story { s.now = at(text); return s }

func (s *story) do(acts ...clearance.Act) *story { return s.by("officer", acts...) }

func (s *story) by(who string, acts ...clearance.Act) *story {
	s.t.Helper()
	for _, a := range acts {
		s.now = s.now.Add(time.Minute)
		e := clearance.Event{Seq: int64(len(s.events) + 1), At: s.now, By: who, Act: a}
		if err := e.Check(); err != nil {
			s.t.Fatalf("%s: %v", a.Kind(), err)
		}
		if err := s.reg.Add(e); err != nil {
			s.t.Fatalf("%s: %v", a.Kind(), err)
		}
		s.events = append(s.events, e)
	}
	return s
}

func (s *story) appoint(who, revision string) {
	s.count++
	s.do(clearance.AssessorAppointed{Appointment: fmt.Sprint("a", s.count), Assessor: who, Procedure: "pump", Revision: revision, From: content.DateOf(s.now)})
}

// sit: tech hands in a qualifying sitting and it is marked a minute later.
func (s *story) sit(id, revision string, v clearance.Verdict) *story {
	return s.do(clearance.SittingMarked{Sitting: id, Person: "tech", Procedure: "pump", Revision: revision, HandedIn: s.now, Verdict: v})
}

func (s *story) deltaSitting(id, from, to string, v clearance.Verdict) *story {
	return s.do(clearance.DeltaMarked{Sitting: id, Person: "tech", Procedure: "pump", From: from, To: to, HandedIn: s.now, Verdict: v})
}

// sheet is a good rebuild of an hour that ends now.
func (s *story) sheet(id, revision string) clearance.RebuildFinished {
	return clearance.RebuildFinished{Rebuild: id, Technician: "tech", Assessor: "assessor", Procedure: "pump", Revision: revision, Started: s.now, Ended: s.now.Add(time.Minute),
		Holds: []clearance.HoldRecord{{Step: "seal-in", Outcome: clearance.Unaided}, {Step: "cap-on", Outcome: clearance.Unaided}}, InTolerance: true, InCalibration: true, Digest: digestOf(id)}
}

func digestOf(id string) string { return fmt.Sprintf("%064x", id)[:64] }

func (s *story) rebuild(id, revision string) *story { return s.do(s.sheet(id, revision)) }

func sign(id, who string, m clearance.Meaning) clearance.Signed {
	return clearance.Signed{Covers: clearance.Covered{Kind: clearance.CoversRebuild, ID: id, Digest: digestOf(id)}, Signer: who, Role: "as printed", Meaning: m, Technician: "tech", Proof: "password"}
}

func (s *story) signedBoth(id string) *story {
	return s.do(sign(id, "tech", clearance.Performed), sign(id, "assessor", clearance.Observed))
}

// cleared walks the whole road on the day of now.
func (s *story) cleared(n int, revision string) *story {
	id := fmt.Sprint(n)
	return s.sit("s"+id, revision, clearance.Passed).rebuild("r"+id, revision).signedBoth("r" + id)
}

func (s *story) policy(change func(*clearance.Policy)) *story {
	p := clearance.DefaultPolicy()
	change(&p)
	return s.do(clearance.PolicySet{Procedure: "pump", Policy: p})
}

func (s *story) adopt(revision, previous string, changed ...content.FactID) *story {
	return s.do(clearance.RevisionAdopted{Procedure: "pump", Revision: revision, Previous: previous, Changed: changed})
}

// standing is tech's at the end of a day.
func (s *story) standing(day string) clearance.Standing {
	return s.reg.Standing("tech", "pump", end(day), time.Time{})
}

// says fails where the sentence at the end of a day is another.
func (s *story) says(day, want string) *story {
	s.t.Helper()
	got := s.standing(day)
	if got.Reason != want {
		s.t.Errorf("on %s:\n got %q\nwant %q", day, got.Reason, want)
	}
	if free := strings.HasPrefix(want, "cleared") || strings.Contains(want, "; cleared"); got.Cleared != free {
		s.t.Errorf("on %s: %q, and cleared is %v", day, want, got.Cleared)
	}
	return s
}
