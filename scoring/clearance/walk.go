package clearance

import "slices"

// walk is the state of one person on one procedure after some of its steps. It
// is used again for the next pair, so that a register on a date makes no garbage.
type walk struct {
	r         *Register
	pair      *pair // nil where nothing is on the record
	procedure *procedure
	person    *person

	tries    []tryState
	rebuilds []rebuildState
	reads    []read
	seen     []seen

	policy    *Policy
	current   int16 // the adoption in force, −1 for none
	withdrawn day   // of the procedure; 0: not
	left      day   // 0: not
	suspended notice
	revoked   notice // the clearance was withdrawn
	fresh     int    // tries from here on count against the number allowed
	granted   int32  // clearances so far

	memo   *memo // nil: nothing is remembered
	inner  *walk // for a prerequisite
	within *walk // the walk that asks for this one
}

// notice is something that the officer did, with the reason.
type notice struct {
	on     bool
	day    day
	reason string
}

// tryState is a sitting as it stands.
type tryState struct {
	known  bool
	passed bool
	dead   bool // struck out, or before a withdrawal
	delta  bool
	on     int16 // the revision that it stands on by now

	last     day // of the last signature that counts
	approved bool
	grant    int32 // 0: it carries no clearance yet
	granted  int64 // when
	until    day
	first    int32 // its first grant, by which the clearances of several sittings are told apart
}

func (t *tryState) valid() bool { return t.known && t.passed && !t.dead }

// rebuildState is an observed rebuild as it stands.
type rebuildState struct {
	known     bool
	try       int32 // the sitting that it follows, −1 for none
	performed bool
	observed  bool
	signed    day
	void      bool
	part      bool // of what its sitting was cleared by
}

// seen is a hold point observed again and signed.
type seen struct {
	hold     string
	revision int16
	rebuild  int32
}

// to walks to an instant as known at another. What is known later counts from
// its stated time where it has one.
func (w *walk) to(person, procedure int32, at, known int64) {
	w.begin(person, procedure)
	cut := min(at, known)
	if w.pair != nil {
		w.merge(upTo(w.pair.steps, cut), cut)
	} else {
		w.merge(nil, cut)
	}
	if known <= at || w.pair == nil {
		return
	}
	for _, s := range upTo(w.pair.steps, known)[len(upTo(w.pair.steps, cut)):] {
		if stated, ok := w.pair.stated(s); ok && stated <= at && w.adopted(s) {
			w.apply(s)
		}
	}
}

// adopted reports whether a sitting is on a revision adopted by where the walk is.
func (w *walk) adopted(s step) bool {
	return s.kind == stepRebuild || w.pair.tries[s.ref].to <= w.current
}

// stated returns when what a step tells happened, where it may be before it was
// recorded.
func (p *pair) stated(s step) (int64, bool) {
	switch s.kind {
	case stepSitting, stepDelta:
		return p.tries[s.ref].handedIn, true
	case stepRebuild:
		return p.rebuilds[s.ref].ended, true
	}
	return 0, false
}

func (w *walk) begin(person, procedure int32) {
	w.person, w.procedure = w.r.people[person], w.r.procedures[procedure]
	w.pair = w.person.on(procedure)
	w.tries, w.rebuilds, w.reads, w.seen = w.tries[:0], w.rebuilds[:0], w.reads[:0], w.seen[:0]
	w.policy, w.current, w.withdrawn, w.left = &w.r.standard, -1, 0, 0
	w.suspended, w.revoked = notice{}, notice{}
	w.fresh, w.granted = 0, 0
}

// merge applies the pair's own steps, the procedure's and the person's in the
// order of the record.
func (w *walk) merge(own []step, cut int64) {
	all := [3][]step{own, upTo(w.procedure.steps, cut), upTo(w.person.steps, cut)}
	for {
		next := -1
		for i, list := range all {
			if len(list) > 0 && (next < 0 || list[0].n < all[next][0].n) {
				next = i
			}
		}
		if next < 0 {
			return
		}
		w.apply(all[next][0])
		all[next] = all[next][1:]
	}
}

func (w *walk) apply(s step) {
	switch s.kind {
	case stepLeft:
		w.left = s.day
	case stepBack:
		w.left = 0
	case stepProcedureWithdrawn:
		w.withdrawn = s.day
	case stepAdopted:
		w.withdrawn, w.current = 0, int16(s.ref)
	case stepPolicy:
		w.policy = w.procedure.policies[s.ref]
	case stepSuspended:
		w.suspended = notice{true, s.day, w.pair.more.reasons[s.ref]}
	case stepReinstated:
		w.suspended = notice{}
	case stepWithdrawn:
		w.revoke(s)
	case stepTrained:
		w.fresh = len(w.tries)
	default:
		w.applyRoad(s)
	}
	if s.kind != stepLeft && s.kind != stepBack && len(w.tries) > 0 {
		w.carry()
		w.grant(s.at)
	}
}

func (w *walk) applyRoad(s step) {
	switch s.kind {
	case stepSitting, stepDelta:
		t := w.pair.tries[s.ref]
		*at(&w.tries, s.ref) = tryState{known: true, passed: s.ok, dead: t.to < 0, delta: t.delta}
	case stepVerdict:
		at(&w.tries, s.ref).passed = s.ok
	case stepVoid:
		at(&w.tries, s.ref).dead = true
	case stepRead:
		w.reads = append(w.reads, w.pair.more.reads[s.ref])
	case stepRebuild:
		*at(&w.rebuilds, s.ref) = rebuildState{known: true, try: w.follows(&w.pair.rebuilds[s.ref])}
	case stepStruck:
		w.struck(s.ref)
	case stepPerformed:
		at(&w.rebuilds, s.ref).performed = true
	case stepObserved:
		w.observed(s)
	case stepApproved:
		w.approved(s)
	}
}

// at returns the element i of a list that grows where it must.
func at[T any](list *[]T, i int32) *T {
	for int(i) >= len(*list) {
		var none T
		*list = append(*list, none)
	}
	return &(*list)[i]
}

func (w *walk) revoke(s step) {
	w.revoked, w.suspended = notice{true, s.day, w.pair.more.reasons[s.ref]}, notice{}
	for i := range w.tries {
		w.tries[i].dead = true
	}
	w.reads, w.seen, w.fresh = w.reads[:0], w.seen[:0], len(w.tries)
}

// follows returns the sitting that a rebuild builds on: the latest that stands,
// was handed in before the rebuild started and is on its revision.
func (w *walk) follows(b *rebuild) int32 {
	if b.partial {
		return -1
	}
	for i := len(w.tries) - 1; i >= 0; i-- {
		t, kept := &w.tries[i], &w.pair.tries[i]
		if t.valid() && !t.delta && kept.handedIn <= b.started && kept.to <= b.revision && b.revision <= t.on {
			return int32(i)
		}
	}
	return -1
}

// observed takes the assessor's signature: it counts after the technician's, and
// where the assessor might sign.
func (w *walk) observed(s step) {
	b, kept := at(&w.rebuilds, s.ref), &w.pair.rebuilds[s.ref]
	if !s.ok || !b.performed || b.observed {
		return
	}
	b.observed, b.signed = true, s.day
	if !kept.counts {
		return
	}
	for _, h := range kept.holds {
		w.seen = append(w.seen, seen{h, kept.revision, s.ref})
	}
}

// take notes by which rebuilds a sitting is cleared.
func (w *walk) take(try int32) {
	for i := range w.rebuilds {
		if b := &w.rebuilds[i]; b.try == try {
			b.part = b.observed && w.counts(i)
		}
	}
}

// struck strikes a rebuild out. What was seen in it is to be seen again. A sitting
// that it helped to clear carries its clearance no more, nor the officer's
// approval; what remains is judged anew by the policy in force.
func (w *walk) struck(ref int32) {
	b := at(&w.rebuilds, ref)
	b.void = true
	w.seen = slices.DeleteFunc(w.seen, func(s seen) bool { return s.rebuild == ref })
	if b.try < 0 || !b.part {
		return
	}
	t := &w.tries[b.try]
	t.grant, t.granted, t.until, t.last, t.approved = 0, 0, 0, 0, false
	for i := range w.rebuilds {
		if x := &w.rebuilds[i]; x.try == b.try {
			x.part = false
		}
	}
}

// approved takes the officer's signature: it counts where the rebuilds that the
// policy asks for are all signed.
func (w *walk) approved(s step) {
	b := at(&w.rebuilds, s.ref)
	if !b.observed || b.try < 0 || !w.tries[b.try].valid() {
		return
	}
	if n, _ := w.signed(b.try); n >= w.policy.Rebuilds {
		t := &w.tries[b.try]
		t.approved, t.last = true, s.day
	}
}

// signed counts the rebuilds that carry a sitting, with the day of the last
// signature under them.
func (w *walk) signed(try int32) (n int, last day) {
	for i := range w.rebuilds {
		b := &w.rebuilds[i]
		if b.try == try && b.observed && w.counts(i) {
			n, last = n+1, max(last, b.signed)
		}
	}
	return n, last
}

// counts reports whether a rebuild counts for its sitting: by its sheet, its
// assessor, and its revision as the sitting stands.
func (w *walk) counts(i int) bool {
	b, kept := &w.rebuilds[i], &w.pair.rebuilds[i]
	return b.known && !b.void && b.try >= 0 && kept.counts && kept.revision <= w.tries[b.try].on
}

// grant clears on each sitting for which everything is there.
func (w *walk) grant(now int64) {
	for i := range w.tries {
		t := &w.tries[i]
		if t.grant > 0 || !t.valid() || t.delta {
			continue
		}
		n, last := w.signed(int32(i))
		if n < w.policy.Rebuilds || w.policy.Officer && !t.approved {
			continue
		}
		w.granted++
		if t.first == 0 {
			t.first = w.granted
		}
		t.grant, t.granted, t.last = w.granted, now, max(t.last, last)
		w.take(int32(i))
		t.until = t.last.addMonths(w.policy.Months)
		w.revoked = notice{}
	}
}

// clearance returns the sitting that carries the clearance: of those that stand,
// the one cleared last; −1 for none.
func (w *walk) clearance() int {
	best := -1
	for i := range w.tries {
		if t := &w.tries[i]; t.valid() && t.grant > 0 && (best < 0 || t.first > w.tries[best].first) {
			best = i
		}
	}
	return best
}

// under returns the latest sitting that stands and carries no clearance yet.
func (w *walk) under() int {
	for i := len(w.tries) - 1; i >= 0; i-- {
		if t := &w.tries[i]; t.valid() && !t.delta && t.grant == 0 {
			return i
		}
	}
	return -1
}
