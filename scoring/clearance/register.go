package clearance

import (
	"errors"
	"fmt"
	"time"
)

// Register is the fold of a record so far. It grows by [Register.Add], event by
// event; a register that grew is the same as one made at once. Add must not run
// beside anything else; the questions may run side by side.
//
// It keeps about a hundred bytes for each event and answers every question from
// them, so nothing in it can go stale. Whoever keeps an answer may key it by
// [Register.Len].
type Register struct {
	zone     *time.Location
	standard Policy // before the site set one
	n        uint32
	pairs    int
	seq      int64
	last     int64 // microseconds

	people     []*person
	procedures []*procedure
	number     map[string]int32 // of a person
	numberQ    map[string]int32 // of a procedure
	site       []step           // policies of the site
	sitePolicy []*Policy

	sittings     map[string]place
	rebuilds     map[string]place
	appointments map[string]place
	faults       map[string]string // rebuild: why something about it does not count

	dayFrom, dayTo int64 // of the day of the last event
	day            day
}

// place is an element of a list of a pair.
type place struct {
	pair *pair
	i    int32
}

// New returns an empty register of a site. A date means the end of that day in
// the site's zone.
func New(zone *time.Location) *Register {
	return &Register{
		zone: zone, standard: DefaultPolicy(), dayFrom: 1, number: map[string]int32{}, numberQ: map[string]int32{},
		sittings: map[string]place{}, rebuilds: map[string]place{}, appointments: map[string]place{}, faults: map[string]string{},
	}
}

// Len returns how many events the register holds.
func (r *Register) Len() int { return int(r.n) }

// Zone returns the site's zone.
func (r *Register) Zone() *time.Location { return r.zone }

// EndOf returns the instant that a date means: the last microsecond of that day
// in the site's zone. The day is t's, in t's own location.
func (r *Register) EndOf(t time.Time) time.Time {
	y, m, d := t.Date()
	return time.Date(y, m, d+1, 0, 0, 0, 0, r.zone).Add(-time.Microsecond)
}

// Add takes the next event. Its error says why the event cannot follow the ones
// before it; the register is then as it was. An event that is sound but about
// nothing on the record, or told twice, changes no standing.
func (r *Register) Add(e Event) error {
	if e.Act == nil {
		return errors.New("add an event: it has no act")
	}
	if e.Seq <= r.seq {
		return fmt.Errorf("add event %d: the record is at %d already", e.Seq, r.seq)
	}
	if r.n == 1<<32-1 {
		return errors.New("add an event: the register is full")
	}
	r.seq = e.Seq
	r.last = max(r.last, e.At.UnixMicro())
	if r.dayTo < r.last || r.last < r.dayFrom {
		r.day = dayOf(r.last, r.zone)
		r.dayFrom, r.dayTo = r.day.begins(r.zone), r.day.ends(r.zone)
	}
	r.fold(e.Act)
	r.n++
	return nil
}

// fold sorts an act into its list.
func (r *Register) fold(a Act) {
	switch a := a.(type) {
	case AccountAdded:
		r.role(a.Person, a.Role)
	case RoleSet:
		r.role(a.Person, a.Role)
	case PersonLeft:
		p := r.person(a.Person)
		p.steps = append(p.steps, r.step(stepLeft, 0))
	case PersonBack:
		p := r.person(a.Person)
		p.steps = append(p.steps, r.step(stepBack, 0))
	case RevisionAdopted:
		r.adopted(a)
	case ProcedureWithdrawn:
		q := r.procedure(a.Procedure)
		q.steps = append(q.steps, r.step(stepProcedureWithdrawn, 0))
	case PolicySet:
		r.policySet(a)
	case Suspended:
		r.notice(stepSuspended, a.Person, a.Procedure, a.Reason)
	case Reinstated:
		r.notice(stepReinstated, a.Person, a.Procedure, a.Reason)
	case Withdrawn:
		r.notice(stepWithdrawn, a.Person, a.Procedure, a.Reason)
	case TrainingGiven:
		r.trained(a)
	case ExceptionGranted:
		r.excepted(a)
	case AssessorAppointed:
		r.appointed(a)
	case AppointmentEnded:
		if at, ok := r.appointments[a.Appointment]; ok && at.pair.more.appointments[at.i].ended == 0 {
			at.pair.more.appointments[at.i].ended = r.last
		}
	default:
		r.foldRoad(a)
	}
}

func (r *Register) foldRoad(a Act) {
	switch a := a.(type) {
	case SittingMarked:
		p := r.pair(a.Person, a.Procedure)
		r.sat(p, a.Sitting, a.Verdict, try{handedIn: a.HandedIn.UnixMicro(), to: r.procedures[p.procedure].revision(a.Revision)})
	case DeltaMarked:
		p := r.pair(a.Person, a.Procedure)
		q := r.procedures[p.procedure]
		r.sat(p, a.Sitting, a.Verdict, try{handedIn: a.HandedIn.UnixMicro(), from: q.revision(a.From), to: q.revision(a.To), delta: true, facts: a.Facts})
	case SittingRemarked:
		if at, ok := r.sittings[a.Sitting]; ok {
			r.own(at.pair, stepVerdict, at.i, a.Verdict == Passed)
		}
	case SittingVoided:
		if at, ok := r.sittings[a.Sitting]; ok {
			r.own(at.pair, stepVoid, at.i, true)
		}
	case RemovedRead:
		r.read(a.Person, a.Procedure, a.Revision, read{facts: a.Facts})
	case ChangedRead:
		r.read(a.Person, a.Procedure, a.Revision, read{facts: a.Facts, changed: true})
	case RebuildFinished:
		r.rebuilt(a)
	case RebuildVoided:
		r.struck(a)
	case Signed:
		r.signed(a)
	}
}

func (r *Register) read(person, procedure, revision string, x read) {
	p := r.pair(person, procedure)
	m := p.extra()
	x.revision = r.procedures[p.procedure].revision(revision)
	m.reads = append(m.reads, x)
	r.own(p, stepRead, int32(len(m.reads)-1), true)
}

// step returns a step of the event that is being added.
func (r *Register) step(k stepKind, ref int) step {
	return step{at: r.last, n: r.n, day: r.day, ref: int32(ref), kind: k}
}

func (r *Register) own(p *pair, k stepKind, ref int32, ok bool) {
	s := r.step(k, int(ref))
	s.ok = ok
	p.steps = append(p.steps, s)
}

// sat keeps a sitting; one told twice counts once.
func (r *Register) sat(p *pair, id string, v Verdict, t try) {
	if _, twice := r.sittings[id]; twice {
		return
	}
	r.sittings[id] = place{p, int32(len(p.tries))}
	t.id = id
	p.tries = append(p.tries, t)
	k := stepSitting
	if t.delta {
		k = stepDelta
	}
	r.own(p, k, int32(len(p.tries)-1), v == Passed)
}

func (r *Register) role(id, role string) {
	p := r.person(id)
	p.roles = append(p.roles, roleFrom{r.last, role})
}

func (r *Register) notice(k stepKind, person, procedure, reason string) {
	p := r.pair(person, procedure)
	r.own(p, k, p.reason(reason), true)
}

func (r *Register) adopted(a RevisionAdopted) {
	q := r.procedure(a.Procedure)
	next := adoption{revision: a.Revision, changed: a.Changed, removed: a.Removed, observe: a.Observe, day: r.day, touches: a.touches()}
	for _, id := range a.Prerequisites {
		r.procedure(id)
		next.prerequisites = append(next.prerequisites, r.numberQ[id])
	}
	for _, o := range a.Observe {
		if q.observe == nil {
			q.observe = map[string]bool{}
		}
		q.observe[o.Hold] = true
	}
	q.adoptions = append(q.adoptions, next)
	q.steps = append(q.steps, r.step(stepAdopted, len(q.adoptions)-1))
}

// policySet gives the policy to a procedure, or to all without one of their own
// and to those still to come.
func (r *Register) policySet(a PolicySet) {
	if a.Procedure != "" {
		q := r.procedure(a.Procedure)
		q.own = true
		q.set(r.step(stepPolicy, 0), &a.Policy)
		return
	}
	r.site = append(r.site, r.step(stepPolicy, len(r.site)))
	r.sitePolicy = append(r.sitePolicy, &a.Policy)
	for _, q := range r.procedures {
		if !q.own {
			q.set(r.step(stepPolicy, 0), &a.Policy)
		}
	}
}

func (q *procedure) set(s step, p *Policy) {
	q.policies = append(q.policies, p)
	s.ref = int32(len(q.policies) - 1)
	q.steps = append(q.steps, s)
}

// PolicyAt returns the policy in force for a procedure at an instant; for "" or a
// procedure not on the record, the site's.
func (r *Register) PolicyAt(procedure string, instant time.Time) Policy {
	list, of := r.site, r.sitePolicy
	if q, ok := r.numberQ[procedure]; ok {
		list, of = r.procedures[q].steps, r.procedures[q].policies
	}
	p := &r.standard
	for _, s := range upTo(list, instant.UnixMicro()) {
		if s.kind == stepPolicy {
			p = of[s.ref]
		}
	}
	return *p
}

func (r *Register) index(person, procedure string) (p, q int32) {
	p, q = -1, -1
	if i, ok := r.number[person]; ok {
		p = i
	}
	if i, ok := r.numberQ[procedure]; ok {
		q = i
	}
	return p, q
}

func (r *Register) person(id string) *person {
	i, ok := r.number[id]
	if !ok {
		i = int32(len(r.people))
		r.number[id] = i
		r.people = append(r.people, &person{id: id})
	}
	return r.people[i]
}

func (r *Register) procedure(id string) *procedure {
	i, ok := r.numberQ[id]
	if !ok {
		i = int32(len(r.procedures))
		r.numberQ[id] = i
		q := &procedure{id: id}
		for k, s := range r.site {
			q.set(s, r.sitePolicy[k])
		}
		r.procedures = append(r.procedures, q)
	}
	return r.procedures[i]
}

// on returns the pair of the person on a procedure, nil for none.
func (p *person) on(procedure int32) *pair {
	for _, x := range p.pairs {
		if x.procedure == procedure {
			return x
		}
	}
	return nil
}

func (r *Register) pair(person, procedure string) *pair {
	p, q := r.person(person), r.procedure(procedure)
	if x := p.on(r.numberQ[procedure]); x != nil {
		return x
	}
	x := &pair{person: r.number[person], procedure: r.numberQ[procedure]}
	p.pairs, q.pairs = append(p.pairs, x), append(q.pairs, x)
	r.pairs++
	return x
}
