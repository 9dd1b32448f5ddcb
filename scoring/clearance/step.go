package clearance

import (
	"sort"

	"soloright/content"
)

// stepKind is what a step does to a walk.
type stepKind uint8

const (
	// of a person on a procedure
	stepSitting stepKind = iota // ok: passed
	stepDelta                   // ok: passed
	stepVerdict                 // re-marked; ok: passed
	stepVoid
	stepRead
	stepRebuild
	stepStruck // a rebuild
	stepPerformed
	stepObserved // ok: the assessor might sign
	stepApproved
	stepTrained
	stepSuspended
	stepReinstated
	stepWithdrawn
	// of a procedure
	stepAdopted
	stepProcedureWithdrawn
	stepPolicy
	// of a person
	stepLeft
	stepBack
)

// step is one event as the fold keeps it. The lists of steps grow by n and by at,
// so that a date is found by halving.
type step struct {
	at   int64  // microseconds, never falling
	n    uint32 // the number of its event
	day  day    // of at
	ref  int32  // into the list that the kind is about
	kind stepKind
	ok   bool
}

// upTo returns the steps recorded up to an instant.
func upTo(steps []step, at int64) []step {
	if n := len(steps); n == 0 || steps[n-1].at <= at {
		return steps
	}
	return steps[:sort.Search(len(steps), func(i int) bool { return steps[i].at > at })]
}

// pair is one person on one procedure.
type pair struct {
	person, procedure int32
	steps             []step
	tries             []try
	rebuilds          []rebuild
	more              *more
}

// more is what few pairs have.
type more struct {
	reasons      []string
	reads        []read
	trainings    []training // of the technician
	exceptions   []exception
	appointments []appointment // of the assessor
}

func (p *pair) extra() *more {
	if p.more == nil {
		p.more = &more{}
	}
	return p.more
}

// reason keeps a text and returns its place.
func (p *pair) reason(text string) int32 {
	m := p.extra()
	m.reasons = append(m.reasons, text)
	return int32(len(m.reasons) - 1)
}

// try is a sitting, qualifying or delta. Revisions are places in the procedure's
// list of adoptions, −1 for one that was not adopted.
type try struct {
	id       string
	handedIn int64
	from, to int16 // from: of a delta sitting
	delta    bool
	facts    []content.FactID // that a delta sitting asked; none: all that changed
}

type rebuild struct {
	id             string
	digest         [32]byte
	started, ended int64
	holds          []string // unaided ones, of those that a revision wants observed again
	assessor       int32
	revision       int16
	partial        bool
	void           bool // struck out by the last event
	counts         bool // by its sheet, and the assessor might assess when it started
}

type read struct {
	facts    []content.FactID
	revision int16
	changed  bool // changed facts, not removed ones
}

type training struct {
	at      int64
	trainer int32
	day     day
}

type exception struct {
	at       int64
	assessor int32
	day      day
}

type appointment struct {
	at, ended   int64 // ended 0: not
	revision    string
	from, until day // until 0: open
}

// procedure is what holds for everybody on it.
type procedure struct {
	id        string
	steps     []step
	adoptions []adoption
	policies  []*Policy
	own       bool // it has a policy of its own
	pairs     []*pair
	observe   map[string]bool // hold points that some revision wants observed again
}

type adoption struct {
	revision         string
	changed, removed []content.FactID
	observe          []ObserveAgain
	prerequisites    []int32
	day              day
	touches          bool
}

// revision returns the place of the revision last adopted by that name, or −1.
func (q *procedure) revision(name string) int16 {
	for i := len(q.adoptions) - 1; i >= 0; i-- {
		if q.adoptions[i].revision == name {
			return int16(i)
		}
	}
	return -1
}

// person is what holds on every procedure.
type person struct {
	id    string
	steps []step
	roles []roleFrom
	pairs []*pair
}

type roleFrom struct {
	at   int64
	role string
}

func (p *person) role(at int64) string {
	for i := len(p.roles) - 1; i >= 0; i-- {
		if p.roles[i].at <= at {
			return p.roles[i].role
		}
	}
	return ""
}
