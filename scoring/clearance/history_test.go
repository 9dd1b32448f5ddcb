package clearance_test

import (
	"fmt"
	"math/rand/v2"
	"time"

	"soloright/content"
	"soloright/scoring/clearance"
)

// historian makes up records: mostly what people would do next, now and then
// something out of turn.
type historian struct {
	*rand.Rand
	now       time.Time
	events    []clearance.Event
	people    []string
	procs     []string
	sittings  []string
	rebuilds  []clearance.RebuildFinished
	revision  map[string]int // in force, by procedure
	appoints  int
	left      []string
	trainings []clearance.TrainingGiven
	deltas    []string
	barred    []clearance.Reinstated
	usual     map[string][]string // assessors, by procedure
}

const facts = 6

// history returns a record of n events over some three hundred days.
func history(seed uint64, n int) []clearance.Event {
	h := &historian{
		Rand: rand.New(rand.NewPCG(seed, 17)), now: at("2026-01-01 06:00"),
		people: []string{"p0", "p1", "p2", "p3", "p4"}, procs: []string{"q0", "q1", "q2"}, revision: map[string]int{}, usual: map[string][]string{},
	}
	for i, p := range h.people {
		h.tell(clearance.AccountAdded{Person: p, Role: []string{"technician", "safety officer"}[i/3]})
	}
	for _, q := range h.procs {
		h.adopt(q)
		h.usual[q] = []string{h.person(), h.person()}
		for _, p := range h.usual[q] {
			h.tell(clearance.AssessorAppointed{Appointment: fmt.Sprint("a", h.appoints), Assessor: p, Procedure: q, From: content.DateOf(h.now)})
			h.appoints++
		}
	}
	for len(h.events) < n {
		h.next()
	}
	return h.events
}

func (h *historian) person() string    { return h.people[h.IntN(len(h.people))] }
func (h *historian) procedure() string { return h.procs[h.IntN(len(h.procs))] }
func (h *historian) often() bool       { return h.IntN(6) > 0 }

// tell records an act some hours on; now and then by a clock that is behind.
func (h *historian) tell(a clearance.Act) {
	h.now = h.now.Add(time.Duration(h.IntN(14*60)) * time.Minute)
	at := h.now
	if h.IntN(20) == 0 {
		at = at.Add(-time.Duration(h.IntN(90)) * time.Minute)
	}
	e := clearance.Event{Seq: int64(len(h.events) + 1), At: at, Act: a}
	if e.Check() != nil {
		e.At = h.now
	}
	h.events = append(h.events, e)
}

func (h *historian) name(q string) string { return fmt.Sprint(q, "-", h.revision[q]) }

// old returns the revision in force, seldom another.
func (h *historian) old(q string) string {
	if h.often() || h.revision[q] == 0 {
		return h.name(q)
	}
	return fmt.Sprint(q, "-", h.IntN(h.revision[q]+2))
}

func (h *historian) next() {
	p, q := h.person(), h.procedure()
	switch k := h.IntN(100); {
	case k < 26:
		h.sit(p, q)
		h.rebuild(p, q)
	case k < 34:
		h.sit(p, q)
	case k < 50:
		h.rebuild(p, q)
	case k < 64:
		h.delta(p, q)
	case k < 72:
		h.signAgain()
	case k < 75:
		h.adopt(q)
	case k < 84:
		h.assess(p, q)
	default:
		h.office(p, q)
	}
	if n := len(h.rebuilds); n > 0 && h.IntN(7) == 0 {
		h.tell(clearance.RebuildVoided{Rebuild: h.rebuilds[n-1-h.IntN(min(n, 8))].Rebuild, Reason: "the wrench was out"})
	}
	if len(h.left) > 0 && h.IntN(8) == 0 {
		h.tell(clearance.PersonBack{Person: h.left[0]})
		h.left = h.left[1:]
	}
	if len(h.barred) > 0 && h.IntN(8) == 0 {
		h.tell(h.barred[0])
		h.barred = h.barred[1:]
	}
}

func (h *historian) sit(p, q string) {
	id := fmt.Sprint("s", len(h.sittings))
	h.sittings = append(h.sittings, id)
	v := clearance.Failed
	if h.often() {
		v = clearance.Passed
	}
	a := clearance.SittingMarked{Sitting: id, Person: p, Procedure: q, Revision: h.old(q), HandedIn: h.now.Add(-h.some(5)), Verdict: v}
	h.tell(a)
	if h.IntN(15) == 0 {
		h.tell(a)
	}
}

func (h *historian) some(hours int) time.Duration {
	return time.Duration(h.IntN(hours*60)) * time.Minute
}

func (h *historian) delta(p, q string) {
	id := fmt.Sprint("s", len(h.sittings))
	h.sittings = append(h.sittings, id)
	v := clearance.Failed
	if h.often() {
		v = clearance.Passed
	}
	h.deltas = append(h.deltas, id)
	from := fmt.Sprint(q, "-", max(0, h.revision[q]-1-h.IntN(3)))
	a := clearance.DeltaMarked{Sitting: id, Person: p, Procedure: q, From: from, To: h.old(q), HandedIn: h.now.Add(-h.some(20)), Verdict: v}
	if h.IntN(2) == 0 {
		a.Facts = h.facts(5)
	}
	h.tell(a)
	if h.often() {
		h.tell(clearance.RemovedRead{Person: p, Procedure: q, Revision: h.old(q), Facts: h.facts(4), Digest: digest})
	}
	if h.IntN(3) == 0 {
		h.tell(clearance.ChangedRead{Person: p, Procedure: q, Revision: h.old(q), Facts: h.facts(2), Digest: digest})
	}
}

func (h *historian) facts(most int) []content.FactID {
	var out []content.FactID
	for _, i := range h.Perm(facts)[:h.IntN(most)+1] {
		out = append(out, content.FactID(fmt.Sprint("f", i)))
	}
	return out
}

// rebuild is a whole observation with its signatures, mostly in order.
func (h *historian) rebuild(p, q string) {
	b := clearance.RebuildFinished{Rebuild: fmt.Sprint("r", len(h.rebuilds)), Technician: p, Assessor: h.person(), Procedure: q, Revision: h.old(q),
		Started: h.now.Add(-h.some(6)), InTolerance: h.IntN(12) > 0, InCalibration: h.IntN(12) > 0, Digest: digest, Partial: h.IntN(8) == 0}
	b.Ended = b.Started
	if h.IntN(10) > 0 {
		b.Assessor = h.usual[q][h.IntN(2)]
	}
	for b.Assessor == p {
		b.Assessor = h.person()
	}
	for i := range 2 {
		r := clearance.HoldRecord{Step: fmt.Sprint("h", i), Outcome: clearance.Unaided}
		if h.IntN(20) == 0 {
			r.Outcome = []clearance.Outcome{clearance.Prompted, clearance.Stopped, clearance.NotDone, clearance.NotApplicable}[h.IntN(4)]
			r.Conditional, r.Condition = h.often(), "none fitted"
		}
		b.Holds = append(b.Holds, r)
	}
	if h.IntN(8) == 0 {
		h.trainFirst(b)
	}
	h.rebuilds = append(h.rebuilds, b)
	h.tell(b)
	for _, m := range []clearance.Meaning{clearance.Performed, clearance.Observed, clearance.Approved} {
		if m == clearance.Observed {
			h.between(b)
		}
		if h.IntN(10) > 0 {
			h.sign(b, m)
		}
	}
	if h.IntN(15) == 0 {
		h.tell(b)
	}
}

// trainFirst has the assessor teach the technician just before, with or without
// an exception.
func (h *historian) trainFirst(b clearance.RebuildFinished) {
	h.tell(clearance.TrainingGiven{Trainer: b.Assessor, Technician: b.Technician, Procedure: b.Procedure, Date: content.DateOf(h.now.Add(-h.some(20 * 24)))})
	officer := h.people[3+h.IntN(2)]
	if officer != b.Assessor && officer != b.Technician && h.IntN(2) == 0 {
		h.tell(clearance.ExceptionGranted{Officer: officer, Assessor: b.Assessor, Technician: b.Technician, Procedure: b.Procedure, Reason: "nobody else"})
	}
}

// between the rebuild and the assessor's signature something may happen to the
// right to assess.
func (h *historian) between(b clearance.RebuildFinished) {
	switch h.IntN(16) {
	case 0:
		h.tell(clearance.Suspended{Person: b.Assessor, Procedure: b.Procedure, Reason: "careless"})
		h.barred = append(h.barred, clearance.Reinstated{Person: b.Assessor, Procedure: b.Procedure, Reason: "better"})
	case 1, 2:
		h.appoint(b.Assessor, b.Procedure, b.Revision)
	case 3:
		h.tell(clearance.TrainingGiven{Trainer: b.Assessor, Technician: b.Technician, Procedure: b.Procedure, Date: content.DateOf(h.now)})
	}
}

func (h *historian) sign(b clearance.RebuildFinished, m clearance.Meaning) {
	a := clearance.Signed{Covers: clearance.Covered{Kind: clearance.CoversRebuild, ID: b.Rebuild, Digest: digest}, Signer: b.Technician, Role: "as printed", Meaning: m, Technician: b.Technician, Proof: "password"}
	switch {
	case h.IntN(25) == 0:
		a.Covers.Digest = digestOf("another")
	case h.IntN(25) == 0:
		a.Covers.Kind = "exception"
	}
	for m != clearance.Performed && (a.Signer == b.Technician || m == clearance.Observed && a.Signer != b.Assessor && h.IntN(20) > 0) {
		a.Signer = h.person()
	}
	h.tell(a)
}

func (h *historian) signAgain() {
	if len(h.rebuilds) == 0 {
		return
	}
	newest := min(len(h.rebuilds), 12)
	b := h.rebuilds[len(h.rebuilds)-1-h.IntN(newest)]
	h.sign(b, []clearance.Meaning{clearance.Performed, clearance.Observed, clearance.Observed, clearance.Approved}[h.IntN(4)])
}

func (h *historian) adopt(q string) {
	a := clearance.RevisionAdopted{Procedure: q}
	if _, later := h.revision[q]; later {
		a.Previous = h.name(q)
		h.revision[q]++
		if h.IntN(3) > 0 {
			a.Changed = h.facts(2)
		}
		if h.IntN(4) == 0 {
			a.Removed = h.facts(2)
		}
		if len(a.Changed) > 0 && h.IntN(3) == 0 {
			a.Observe = []clearance.ObserveAgain{{Fact: a.Changed[0], Hold: fmt.Sprint("h", h.IntN(2))}}
		}
	} else {
		h.revision[q] = 0
	}
	a.Revision = h.name(q)
	if q == "q2" && h.IntN(2) == 0 {
		a.Prerequisites = []string{"q0"}
	}
	if q == "q0" && h.IntN(6) == 0 {
		a.Prerequisites = []string{"q1", "q2"}
	}
	h.tell(a)
}

func (h *historian) appoint(p, q, revision string) {
	a := clearance.AssessorAppointed{Appointment: fmt.Sprint("a", h.appoints), Assessor: p, Procedure: q, Revision: revision, From: content.DateOf(h.now.Add(h.some(200) - 100*time.Hour))}
	if h.IntN(2) == 0 {
		a.Until = content.DateOf(a.From.Time().AddDate(0, 0, h.IntN(60)))
	}
	h.appoints++
	h.tell(a)
}

// assess is what concerns assessors.
func (h *historian) assess(p, q string) {
	switch h.IntN(8) {
	case 0, 1:
		h.appoint(p, q, []string{"", h.name(q)}[h.IntN(2)])
	case 2:
		h.tell(clearance.AppointmentEnded{Appointment: fmt.Sprint("a", h.IntN(h.appoints+1)), Reason: "enough"})
	case 3, 4, 5:
		h.train(p, q)
	default:
		h.except(p, q)
	}
}

// train has mostly a usual assessor teach.
func (h *historian) train(p, q string) {
	a := clearance.TrainingGiven{Trainer: h.usual[q][h.IntN(2)], Technician: p, Procedure: q, Date: content.DateOf(h.now.Add(h.some(100) - 95*time.Hour))}
	if !h.often() {
		a.Trainer = h.person()
	}
	if a.Trainer != p {
		h.trainings = append(h.trainings, a)
		h.tell(a)
	}
}

// except grants an exception, mostly for one of the last trainings.
func (h *historian) except(p, q string) {
	a := clearance.ExceptionGranted{Officer: h.people[3+h.IntN(2)], Assessor: h.person(), Technician: p, Procedure: q, Reason: "nobody else"}
	if n := len(h.trainings); n > 0 && h.often() {
		t := h.trainings[n-1-h.IntN(min(n, 4))]
		a.Assessor, a.Technician, a.Procedure = t.Trainer, t.Technician, t.Procedure
	}
	if !h.often() {
		a.Officer = h.person()
	}
	if a.Officer != a.Assessor && a.Officer != a.Technician && a.Assessor != a.Technician {
		h.tell(a)
	}
}

// office is what officers and administrators do.
func (h *historian) office(p, q string) {
	switch h.IntN(14) {
	case 0:
		h.tell(clearance.Withdrawn{Person: p, Procedure: q, Reason: "forged"})
	case 1, 2:
		h.tell(clearance.Suspended{Person: p, Procedure: q, Reason: "careless"})
		h.barred = append(h.barred, clearance.Reinstated{Person: p, Procedure: q, Reason: "better"})
	case 3:
		h.tell(clearance.Reinstated{Person: p, Procedure: q, Reason: "better"})
	case 4:
		h.tell(clearance.PersonLeft{Person: p})
		h.left = append(h.left, p)
	case 5:
		h.tell(clearance.PersonBack{Person: p})
	case 6:
		h.tell(clearance.RoleSet{Person: p, Role: []string{"trainer", "safety officer"}[h.IntN(2)]})
	case 7:
		h.tell(clearance.ProcedureWithdrawn{Procedure: q, Reason: "scrapped"})
		h.adopt(q)
	case 8, 9:
		h.tell(clearance.PolicySet{Procedure: []string{"", q}[h.IntN(2)], Policy: h.policy()})
	default:
		h.strike()
	}
}

func (h *historian) strike() {
	if len(h.sittings) == 0 {
		return
	}
	id := h.sittings[len(h.sittings)-1-h.IntN(min(len(h.sittings), 20))]
	if n := len(h.deltas); n > 0 && h.IntN(3) == 0 {
		id = h.deltas[n-1-h.IntN(min(n, 5))]
	}
	switch h.IntN(3) {
	case 0:
		h.tell(clearance.SittingVoided{Sitting: id, Reason: "helped"})
	case 1:
		h.tell(clearance.SittingRemarked{Sitting: id, Verdict: clearance.Failed, Reason: "a wrong key"})
	case 2:
		h.tell(clearance.SittingRemarked{Sitting: id, Verdict: clearance.Passed, Reason: "a wrong key"})
	}
}

func (h *historian) policy() clearance.Policy {
	return clearance.Policy{Cut: 80, Tries: 1 + h.IntN(4), WaitDays: h.IntN(4), Rebuilds: 1 + h.IntN(5)/3, Officer: h.IntN(4) == 0, Months: 1 + h.IntN(4),
		NoticeDays: h.IntN(30), GraceDays: h.IntN(25), TrainingWindow: h.IntN(40), Wanted: 80 * h.IntN(2), TimesAYear: h.IntN(3)}
}
