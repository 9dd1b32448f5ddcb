package clearance_test

import (
	"slices"
	"testing"
	"time"

	"soloright/content"
	"soloright/scoring/clearance"
)

// Whoever changed on a day is marked with the time; on any other day not.
func TestChangedAt(t *testing.T) {
	s := fresh(t).cleared(1, "A")
	signed := s.now
	s.on("2026-02-01 10:00").do(clearance.Suspended{Person: "tech", Procedure: "pump", Reason: "careless"})
	s.on("2026-02-01 15:00").do(clearance.Reinstated{Person: "tech", Procedure: "pump", Reason: "a mistake"})
	s.on("2026-03-01 10:00").adopt("B", "A", "f1")
	for _, c := range []struct {
		day  string
		want time.Time
	}{
		{"2026-01-05", signed},
		{"2026-01-06", time.Time{}},
		{"2026-02-01", at("2026-02-01 15:01")},
		{"2026-02-02", time.Time{}},
		{"2026-03-01", at("2026-03-01 10:01")},
		{"2026-03-15", time.Time{}},
		{"2026-03-16", at("2026-03-16 00:00")}, // the grace is over
		{"2027-01-06", at("2027-01-06 00:00")}, // lapsed
		{"2027-01-07", time.Time{}},
	} {
		if got := s.standing(c.day).ChangedAt; !got.Equal(c.want) {
			t.Errorf("on %s: %s, want %s", c.day, got, c.want)
		}
		for row := range s.reg.On(date(c.day), time.Time{}) {
			if row.Person == "tech" && !row.ChangedAt.Equal(c.want) {
				t.Errorf("in the register on %s: %s, want %s", c.day, row.ChangedAt, c.want)
			}
		}
	}
	noon := s.reg.Standing("tech", "pump", at("2026-02-01 12:00"), time.Time{})
	if noon.State != clearance.StateSuspended || !noon.ChangedAt.Equal(at("2026-02-01 10:01")) {
		t.Errorf("at noon: %+v", noon)
	}
}

// A lapse is when the day ends in the site's zone, not in UTC.
func TestDayEndsInTheZone(t *testing.T) {
	s := fresh(t).cleared(1, "A")
	last := s.reg.Standing("tech", "pump", at("2027-01-05 23:59"), time.Time{})
	first := s.reg.Standing("tech", "pump", at("2027-01-06 00:00"), time.Time{})
	if !last.Cleared || first.Cleared {
		t.Errorf("a minute before midnight %v, at midnight %v", last.Cleared, first.Cleared)
	}
	if got := s.reg.EndOf(date("2027-01-05").Time()); !got.Equal(end("2027-01-05")) {
		t.Errorf("the end of the day: %s", got)
	}
}

// What was recorded later shows in the past only as known now, and only what
// happened by then; a void never does.
func TestKnownAt(t *testing.T) {
	s := fresh(t)
	s.on("2026-02-01 10:00")
	handedIn := s.now
	s.on("2026-02-03 10:00").do(clearance.SittingMarked{Sitting: "s1", Person: "tech", Procedure: "pump", Revision: "A", HandedIn: handedIn, Verdict: clearance.Passed})
	marked := s.now
	s.on("2026-02-04 10:00").do(clearance.SittingVoided{Sitting: "s1", Reason: "helped"})
	for _, c := range []struct {
		instant, known time.Time
		want           string
	}{
		{end("2026-02-02"), time.Time{}, "not cleared: qualifying sitting outstanding"},
		{end("2026-02-02"), marked, "not cleared: one observed rebuild outstanding"},
		{end("2026-02-02"), s.now, "not cleared: one observed rebuild outstanding"},
		{end("2026-01-31"), s.now, "not cleared: qualifying sitting outstanding"},
		{end("2026-02-03"), time.Time{}, "not cleared: one observed rebuild outstanding"},
		{end("2026-02-03"), s.now, "not cleared: one observed rebuild outstanding"},
		{end("2026-02-04"), time.Time{}, "not cleared: qualifying sitting outstanding"},
		{end("2026-02-04"), marked, "not cleared: one observed rebuild outstanding"},
	} {
		if got := s.reg.Standing("tech", "pump", c.instant, c.known).Reason; got != c.want {
			t.Errorf("at %s as known at %s: %q, want %q", c.instant, c.known, got, c.want)
		}
	}
	later := s.reg.Standing("tech", "pump", end("2026-02-01"), s.now)
	if !later.ChangedAt.Equal(handedIn) {
		t.Errorf("as known now it changed at %s, want the hand-in %s", later.ChangedAt, handedIn)
	}
}

// The policy in force decides: at the last signature how long, on the day asked
// about how much grace and notice.
func TestPolicyInForce(t *testing.T) {
	s := fresh(t).policy(func(p *clearance.Policy) { p.Months = 6 }).cleared(1, "A")
	s.on("2026-02-01 10:00").policy(func(p *clearance.Policy) { p.Months, p.Rebuilds = 24, 2 })
	s.says("2026-02-01", "cleared until 2026-07-05 on revision A")
	s.on("2026-03-01 10:00").adopt("B", "A", "f1")
	s.says("2026-03-15", "held: revision B changed 1 fact, delta sitting due by 2026-03-15; cleared on revision A until 2026-03-15")
	s.on("2026-03-02 10:00").policy(func(p *clearance.Policy) { p.GraceDays = 3 })
	s.says("2026-03-01", "held: revision B changed 1 fact, delta sitting due by 2026-03-15; cleared on revision A until 2026-03-15")
	s.says("2026-03-05", "held: revision B changed 1 fact, delta sitting was due by 2026-03-04")
	if got := s.reg.PolicyAt("pump", at("2026-02-15 10:00")); got.Months != 24 || got.GraceDays != 14 {
		t.Errorf("in force in February: %+v", got)
	}
}

// A policy that asks for less clears whoever has it all by now, counted from the
// last signature.
func TestPolicyRelaxed(t *testing.T) {
	s := fresh(t).policy(func(p *clearance.Policy) { p.Rebuilds = 2 }).cleared(1, "A")
	s.on("2026-02-01 10:00").policy(func(p *clearance.Policy) {})
	s.says("2026-01-31", "not cleared: one observed rebuild outstanding").says("2026-02-01", "cleared until 2027-01-05 on revision A")
}

// The site's default holds where a procedure has no policy of its own, before and
// after the procedure is first heard of.
func TestSitePolicy(t *testing.T) {
	s := fresh(t)
	set := func(procedure string, months int) {
		p := clearance.DefaultPolicy()
		p.Months = months
		s.do(clearance.PolicySet{Procedure: procedure, Policy: p})
	}
	months := func(procedure string) int { return s.reg.PolicyAt(procedure, s.now).Months }
	if months("pump") != 12 || months("") != 12 || months("new") != 12 {
		t.Error("the default is not in force")
	}
	set("", 3)
	s.do(clearance.RevisionAdopted{Procedure: "new", Revision: "A"})
	if months("pump") != 3 || months("") != 3 || months("new") != 3 {
		t.Error("the site's policy is not in force")
	}
	set("pump", 5)
	set("", 7)
	if months("pump") != 5 || months("") != 7 || months("new") != 7 {
		t.Error("the procedure's own policy does not stand before the site's")
	}
}

func TestRegisterOn(t *testing.T) {
	s := fresh(t).cleared(1, "A")
	ids := func(list []clearance.Standing) (out []string) {
		for _, x := range list {
			out = append(out, x.Person)
		}
		return out
	}
	day := func(d string) []clearance.Standing { return slices.Collect(s.reg.On(date(d), time.Time{})) }
	if got := ids(day("2026-01-04")); len(got) != 0 {
		t.Errorf("before anything: %q", got)
	}
	if got := ids(day("2026-01-05")); !slices.Equal(got, []string{"tech"}) {
		t.Errorf("on the day: %q", got)
	}
	if got := ids(s.reg.Only(date("2026-01-05"), time.Time{})); !slices.Equal(got, []string{"tech"}) {
		t.Errorf("the only one: %q", got)
	}
	s.on("2026-01-06 10:00").do(
		clearance.SittingMarked{Sitting: "x", Person: "another", Procedure: "pump", Revision: "A", HandedIn: s.now, Verdict: clearance.Passed})
	b := s.sheet("rx", "A")
	b.Technician = "another"
	mine, theirs := sign("rx", "another", clearance.Performed), sign("rx", "assessor", clearance.Observed)
	mine.Technician, theirs.Technician = "another", "another"
	s.do(b, mine, theirs)
	if got := ids(day("2026-01-06")); !slices.Equal(got, []string{"another", "tech"}) {
		t.Errorf("a day later: %q", got)
	}
	if got := ids(slices.Collect(s.reg.OnProcedure("pump", date("2026-01-06"), time.Time{}))); !slices.Equal(got, []string{"another", "tech"}) {
		t.Errorf("by procedure: %q", got)
	}
	if got := s.reg.Only(date("2026-01-06"), time.Time{}); len(got) != 0 {
		t.Errorf("two are cleared: %q", ids(got))
	}
	if got := ids(s.reg.Only(date("2027-01-06"), time.Time{})); !slices.Equal(got, []string{"another"}) {
		t.Errorf("after the first lapsed: %q", got)
	}
	if got := ids(s.reg.Lapsing(date("2026-12-31"), 6, time.Time{})); !slices.Equal(got, []string{"tech"}) {
		t.Errorf("six days before 2027-01-06: %q", got)
	}
	if got := ids(s.reg.Lapsing(date("2026-12-31"), 7, time.Time{})); !slices.Equal(got, []string{"tech", "another"}) {
		t.Errorf("seven days before 2027-01-07: %q", got)
	}
	if got := ids(s.reg.Lapsing(date("2026-12-31"), 5, time.Time{})); len(got) != 0 {
		t.Errorf("five days: %q", got)
	}
}

func TestLapsing(t *testing.T) {
	s := fresh(t).cleared(1, "A")
	if s.standing("2026-12-05").Lapsing || !s.standing("2026-12-06").Lapsing || s.standing("2027-01-06").Lapsing {
		t.Error("thirty days of notice before 2027-01-05 begin on 2026-12-06")
	}
}

// The second telling of one act changes nothing.
func TestIdempotent(t *testing.T) {
	s := fresh(t).cleared(1, "A")
	want := s.standing("2026-06-01")
	s.on("2026-05-01 10:00").signedBoth("r1")
	for _, e := range s.events[:len(s.events):len(s.events)] {
		switch e.Act.(type) {
		case clearance.SittingMarked, clearance.RebuildFinished, clearance.Signed, clearance.AssessorAppointed:
			s.do(e.Act)
		}
	}
	if got := s.standing("2026-06-01"); got.Reason != want.Reason {
		t.Errorf("got %q, want %q", got.Reason, want.Reason)
	}
}

// An entry whose clock lies before the one in front acts from that one's instant.
func TestClockBehind(t *testing.T) {
	r := clearance.New(zone)
	add := func(seq int64, when string, a clearance.Act) {
		if err := r.Add(clearance.Event{Seq: seq, At: at(when), Act: a}); err != nil {
			t.Fatal(err)
		}
	}
	add(1, "2026-01-05 10:00", clearance.RevisionAdopted{Procedure: "pump", Revision: "A"})
	add(2, "2026-01-05 09:00", clearance.Suspended{Person: "tech", Procedure: "pump", Reason: "x"})
	if got := r.Standing("tech", "pump", at("2026-01-05 09:30"), time.Time{}).State; got == clearance.StateSuspended {
		t.Error("it acts before the entry in front of it")
	}
	if got := r.Standing("tech", "pump", at("2026-01-05 10:00"), time.Time{}).State; got != clearance.StateSuspended {
		t.Errorf("it does not act from then on: %s", got)
	}
	if err := r.Add(clearance.Event{Seq: 2, At: noon, Act: clearance.PersonBack{Person: "tech"}}); err == nil {
		t.Error("an entry of the past was taken")
	}
	if err := r.Add(clearance.Event{Seq: 3, At: noon}); err == nil || r.Len() != 2 {
		t.Errorf("an entry without an act was taken, or counted: %d", r.Len())
	}
}

// A circle of prerequisites clears nobody, and is found.
func TestPrerequisiteCircle(t *testing.T) {
	s := fresh(t)
	s.do(clearance.RevisionAdopted{Procedure: "b", Revision: "1", Prerequisites: []string{"pump"}},
		clearance.RevisionAdopted{Procedure: "pump", Revision: "B", Previous: "A", Prerequisites: []string{"b"}})
	s.says("2026-01-05", "not cleared: prerequisite b outstanding")
}

// Delta sittings over several revisions, with facts that a later one removes or
// states again.
func TestDeltaOverRevisions(t *testing.T) {
	s := fresh(t).cleared(1, "A")
	s.adopt("B", "A", "f1", "f2")
	s.do(clearance.RevisionAdopted{Procedure: "pump", Revision: "C", Previous: "B", Changed: []content.FactID{"f2", "f3"}, Removed: []content.FactID{"f1"}})
	got := s.standing("2026-01-05")
	if !slices.Equal(got.Changed, []content.FactID{"f2", "f3"}) || !slices.Equal(got.Removed, []content.FactID{"f1"}) {
		t.Errorf("to show %q, to read %q", got.Changed, got.Removed)
	}
	s.deltaSitting("d0", "B", "C", clearance.Passed)
	if got := s.standing("2026-01-05"); !slices.Equal(got.Changed, []content.FactID{"f2", "f3"}) {
		t.Errorf("one from a revision not reached shows %q", got.Changed)
	}
	s.deltaSitting("d1", "A", "C", clearance.Passed)
	s.says("2026-01-05", "held: revision C removed 1 fact, signature for what was read due by 2026-01-19; cleared on revision A until 2026-01-19")
	s.do(clearance.RevisionAdopted{Procedure: "pump", Revision: "D", Previous: "C", Changed: []content.FactID{"f1"}})
	s.says("2026-01-05", "held: revision D changed 1 fact, delta sitting due by 2026-01-19; cleared on revision A until 2026-01-19")
	s.deltaSitting("d2", "C", "D", clearance.Passed).says("2026-01-05", "cleared until 2027-01-05 on revision D")
}
