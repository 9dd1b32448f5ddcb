package clearance_test

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"soloright/content"
	"soloright/scoring/clearance"
)

// sameLack compares what somebody lacks with what the standing lists, where that
// lists it, and the delta sittings that may be opened with the oracle's.
func sameLack(t *testing.T, seed uint64, reg *clearance.Register, o *oracle, night time.Time, p, q string) {
	t.Helper()
	list := o.up(night)
	s := reg.Standing(p, q, night, time.Time{})
	l, some := reg.Lacks(p, q, night)
	switch s.State {
	case clearance.Held, clearance.NotCleared, clearance.Lapsed, clearance.Cleared, clearance.StateWithdrawn:
		got := where{Changed: l.Changed, Removed: l.Removed, Observe: l.Observe}
		want := where{Changed: s.Changed, Removed: s.Removed, Observe: s.Observe}
		if diff := cmp.Diff(want, got, cmpopts.EquateEmpty()); diff != "" {
			t.Errorf("seed %d, %s on %s at %s: -standing +lack\n%s", seed, p, q, night, diff)
		}
	case clearance.StateLeft, clearance.ProcedureNotActive:
		if some {
			t.Errorf("seed %d, %s on %s at %s: %s, and lacks %+v", seed, p, q, night, s.State, l)
		}
	}
	if all, _ := o.adoptions(list, q); some {
		if l.To != all[len(all)-1].Revision || s.Revision != "" && s.State == clearance.Held && l.From != s.Revision || !o.stands(list, l.Sitting) {
			t.Errorf("seed %d, %s on %s at %s: from %s to %s by %s; standing %+v", seed, p, q, night, l.From, l.To, l.Sitting, s)
		}
	}
	may, left := o.sitsDelta(list, p, q, night)
	if got := reg.MaySitDelta(p, q, night); got.May != may || got.Left != left && may {
		t.Errorf("seed %d, %s sits a delta on %s at %s: oracle %v %d, fold %+v", seed, p, q, night, may, left, got)
	}
}

// sitsDelta: may the person sit a delta sitting, and how many tries are left.
func (o *oracle) sitsDelta(list []clearance.Event, person, procedure string, t time.Time) (bool, int) {
	p := o.policy(list, procedure)
	all, _ := o.adoptions(list, procedure)
	failed, wait := 0, false
	clear := func() { failed, wait = 0, false }
	for i, e := range list {
		switch a := e.Act.(type) {
		case clearance.TrainingGiven:
			if a.Technician == person && a.Procedure == procedure {
				clear()
			}
		case clearance.Withdrawn:
			if a.Person == person && a.Procedure == procedure {
				clear()
			}
		case clearance.DeltaMarked:
			first, _, _, _, _ := o.sat(list, a.Sitting)
			then, _ := o.adoptions(list[:i], procedure)
			passed, dead := o.fate(list, a.Sitting)
			if a.Person != person || a.Procedure != procedure || first != i || dead || place(then, a.To) != len(all)-1 {
				continue
			}
			if passed {
				clear()
				continue
			}
			failed++
			wait = wait || o.day(t).Before(o.day(a.HandedIn).AddDate(0, 0, p.WaitDays))
		}
	}
	left := o.standing(list, person, procedure, t).State == clearance.StateLeft
	return failed < p.Tries && !wait && !left && o.active(list, procedure), max(0, p.Tries-failed)
}

// A changed fact that no question asks is read instead of shown; read on an older
// revision, or as a removed one, it counts nothing.
func TestAChangedFactThatNoQuestionAsks(t *testing.T) {
	s := fresh(t).cleared(1, "A")
	s.on("2026-01-10 08:00").adopt("B", "A", "f1", "f2")
	read := func(revision string, f content.FactID) clearance.Act {
		return clearance.ChangedRead{Person: "tech", Procedure: "pump", Revision: revision, Facts: []content.FactID{f}, Digest: digest}
	}
	s.do(read("A", "f1"), clearance.RemovedRead{Person: "tech", Procedure: "pump", Revision: "B", Facts: []content.FactID{"f1"}, Digest: digest})
	lacks := func(from string, want ...content.FactID) {
		t.Helper()
		got, _ := s.reg.Lacks("tech", "pump", s.now)
		if diff := cmp.Diff(want, got.Changed, cmpopts.EquateEmpty()); diff != "" || got.From != from {
			t.Errorf("from %s, want %s; -want +got:\n%s", got.From, from, diff)
		}
	}
	lacks("A", "f1", "f2")
	s.do(clearance.Suspended{Person: "tech", Procedure: "pump", Reason: "careless"})
	lacks("A", "f1", "f2") // a suspended person may catch up
	s.do(clearance.Reinstated{Person: "tech", Procedure: "pump", Reason: "better"}, read("B", "f1"))
	lacks("A", "f2")
	s.deltaSitting("d1", "A", "B", clearance.Passed)
	s.says("2026-01-10", "cleared until 2027-01-05 on revision B")
	lacks("")
	s.adopt("C", "B", "f1").do(read("C", "f1"))
	s.says("2026-01-10", "cleared until 2027-01-05 on revision C")
	s.adopt("D", "C", "f1")
	lacks("C", "f1")
	s.do(read("D", "f1"), clearance.Withdrawn{Person: "tech", Procedure: "pump", Reason: "loose caps"})
	lacks("")
}

func TestMaySitDelta(t *testing.T) {
	s := fresh(t).policy(func(p *clearance.Policy) { p.Tries, p.WaitDays = 2, 3 }).cleared(1, "A")
	s.on("2026-01-10 08:00").adopt("B", "A", "f1")
	sits := func(when, want string, left int) {
		t.Helper()
		got := s.reg.MaySitDelta("tech", "pump", at(when))
		if got.May != (want == "") || got.Reason != want || got.Left != left {
			t.Errorf("at %s: %+v, want %q, %d left", when, got, want, left)
		}
	}
	sits("2026-01-10 09:00", "", 2)
	s.on("2026-01-10 23:30").deltaSitting("d1", "A", "B", clearance.Failed)
	sits("2026-01-12 23:59", "the next try may begin on 2026-01-13", 1)
	if got := s.reg.MaySit("tech", "pump", at("2026-01-11 08:00")); !got.May || got.Left != 2 {
		t.Errorf("a failed delta sitting is no failed qualifying one: %+v", got)
	}
	s.on("2026-01-13 10:00").deltaSitting("d2", "A", "B", clearance.Failed)
	sits("2026-02-13 10:00", "two tries failed; training is due before the next one", 0)
	s.on("2026-01-14 10:00").do(clearance.SittingVoided{Sitting: "d2", Reason: "fire alarm"})
	sits("2026-01-14 11:00", "", 1)
	s.do(clearance.SittingRemarked{Sitting: "d1", Verdict: clearance.Passed, Reason: "the key was wrong"})
	sits("2026-01-14 11:00", "", 2)
	s.says("2026-01-14", "cleared until 2027-01-05 on revision B")
	s.adopt("C", "B", "f1").deltaSitting("d3", "B", "C", clearance.Failed).deltaSitting("d4", "B", "C", clearance.Failed)
	sits("2026-01-20 10:00", "two tries failed; training is due before the next one", 0)
	s.on("2026-01-20 10:00").trained("other", "2026-01-20")
	sits("2026-01-20 11:00", "", 2)
	s.deltaSitting("d5", "B", "C", clearance.Failed).adopt("D", "C", "f2")
	sits("2026-01-20 11:00", "", 2) // tries on another revision
	s.do(clearance.PersonLeft{Person: "tech"})
	sits("2026-01-20 12:00", "no revision of the procedure is in force, or the person left", 0)
	if got := s.reg.MaySitDelta("nobody", "pump", s.now); got.May || got.Reason == "" {
		t.Errorf("%+v", got)
	}
}

// A delta sitting that names what it asked shows that and no more; struck out, what
// it showed is lacking again, whatever came after.
func TestADeltaSittingOnSomeFacts(t *testing.T) {
	s := fresh(t).cleared(1, "A")
	s.on("2026-01-10 08:00").adopt("B", "A", "f1", "f2", "f3")
	part := func(id, to string, facts ...content.FactID) {
		s.do(clearance.DeltaMarked{Sitting: id, Person: "tech", Procedure: "pump", From: "A", To: to, HandedIn: s.now, Verdict: clearance.Passed, Facts: facts})
	}
	lacks := func(want ...content.FactID) {
		t.Helper()
		got, _ := s.reg.Lacks("tech", "pump", s.now)
		if diff := cmp.Diff(want, got.Changed, cmpopts.EquateEmpty()); diff != "" {
			t.Errorf("-want +got:\n%s", diff)
		}
	}
	part("d1", "B", "f1", "f2")
	lacks("f3")
	part("d2", "B", "f3")
	s.says("2026-01-10", "cleared until 2027-01-05 on revision B")
	s.do(clearance.SittingVoided{Sitting: "d1", Reason: "fire alarm"})
	lacks("f1", "f2")
	s.adopt("C", "B", "f1", "f3")
	lacks("f1", "f2", "f3")
	part("d3", "C", "f1", "f3")
	lacks("f2")
	part("d4", "C", "f2")
	s.says("2026-01-10", "cleared until 2027-01-05 on revision C")
	if got := s.reg.Trail("tech", "pump", s.now, time.Time{}); len(got.Deltas) != 3 {
		t.Errorf("it rests on %v", got.Deltas)
	}
}
