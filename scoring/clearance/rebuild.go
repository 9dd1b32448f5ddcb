package clearance

import "time"

// rebuilt keeps a finished rebuild; one told twice counts once. Its assessor is
// judged at the stated start, as the record is now; the window after a training
// is left to the signature, for which an exception may still be recorded.
func (r *Register) rebuilt(a RebuildFinished) {
	if _, twice := r.rebuilds[a.Rebuild]; twice {
		return
	}
	p := r.pair(a.Technician, a.Procedure)
	q := r.procedures[p.procedure]
	r.person(a.Assessor)
	ok, why := a.Counts()
	if ok && q.revision(a.Revision) < 0 {
		ok, why = false, "revision "+a.Revision+" was not adopted"
	}
	if ok {
		at := asked{at: min(a.Started.UnixMicro(), r.last), known: r.last, later: true}
		at.today = dayOf(at.at, r.zone)
		w := &walk{r: r}
		if ok, why = w.entitled(r.number[a.Assessor], p.procedure, a.Revision, at); !ok {
			why = "the assessor might not assess when it started: " + why
		}
	}
	if !ok {
		r.faults[a.Rebuild] = why
	}
	digest, _ := parseDigest(a.Digest)
	r.rebuilds[a.Rebuild] = place{p, int32(len(p.rebuilds))}
	p.rebuilds = append(p.rebuilds, rebuild{
		id: a.Rebuild, digest: digest, started: a.Started.UnixMicro(), ended: a.Ended.UnixMicro(), holds: q.observedAgain(a.Holds),
		assessor: r.number[a.Assessor], revision: q.revision(a.Revision), partial: a.Partial, counts: ok,
	})
	r.own(p, stepRebuild, int32(len(p.rebuilds)-1), ok)
}

// observedAgain returns the unaided hold points that some revision wants to be
// observed again.
func (q *procedure) observedAgain(holds []HoldRecord) (out []string) {
	for _, h := range holds {
		if q.observe[h.Step] && h.Outcome == Unaided {
			out = append(out, h.Step)
		}
	}
	return out
}

// struck strikes a rebuild out; twice is once.
func (r *Register) struck(a RebuildVoided) {
	at, ok := r.rebuilds[a.Rebuild]
	if !ok || at.pair.rebuilds[at.i].void {
		return
	}
	at.pair.rebuilds[at.i].void = true
	r.own(at.pair, stepStruck, at.i, true)
}

// signed takes a signature under a rebuild. One under anything else, under
// another rebuild's digest, under one that is struck out, or by whoever is not the
// one to give it counts nothing.
func (r *Register) signed(a Signed) {
	at, ok := r.rebuilds[a.Covers.ID]
	if !ok || a.Covers.Kind != CoversRebuild {
		return
	}
	b := &at.pair.rebuilds[at.i]
	digest, err := parseDigest(a.Covers.Digest)
	if b.void || err != nil || digest != b.digest || a.Technician != r.people[at.pair.person].id {
		return
	}
	switch a.Meaning {
	case Performed:
		if a.Signer == a.Technician {
			r.own(at.pair, stepPerformed, at.i, true)
		}
	case Observed:
		if a.Signer == r.people[b.assessor].id {
			r.signedByAssessor(at, a)
		}
	case Approved:
		if r.mayApprove(a, r.people[b.assessor].id) {
			r.own(at.pair, stepApproved, at.i, true)
		}
	}
}

// signedByAssessor judges the assessor at signing. Nobody assesses on a revision
// that was not adopted.
func (r *Register) signedByAssessor(at place, a Signed) {
	b := &at.pair.rebuilds[at.i]
	if b.revision < 0 {
		return
	}
	ok, why := r.maySign(at.pair, b, asked{at: r.last, known: r.last, today: r.day})
	if !ok && b.counts {
		r.faults[b.id] = "the assessor might not assess when signing: " + why
	} else if b.counts {
		delete(r.faults, b.id)
	}
	r.own(at.pair, stepObserved, at.i, ok)
}

// MaySign reports whether the assessor of a rebuild may sign it at an instant, which
// must not lie before the last event; otherwise why not.
func (r *Register) MaySign(id string, instant time.Time) (bool, string) {
	at, ok := r.rebuilds[id]
	if !ok || at.pair.rebuilds[at.i].revision < 0 {
		return false, "the rebuild is not on the record, or its revision was not adopted"
	}
	return r.maySign(at.pair, &at.pair.rebuilds[at.i], r.asked(instant, time.Time{}))
}

// maySign: the assessor may assess now, and at the start no training was within
// the window either: who waits it out with the pen in hand gains nothing.
func (r *Register) maySign(p *pair, b *rebuild, a asked) (bool, string) {
	q := r.procedures[p.procedure]
	assessor, technician := r.people[b.assessor].id, r.people[p.person].id
	ok, why := r.mayAssess(assessor, technician, q.id, q.adoptions[b.revision].revision, a)
	if !ok {
		return false, why
	}
	days := r.PolicyAt(q.id, time.UnixMicro(a.at)).TrainingWindow
	if d, trained := r.trainedWithin(b.assessor, p, window{days, dayOf(b.started, r.zone), a.at, a.at}); trained {
		return false, "trained the technician on " + d.date().String() + ", and there is no exception"
	}
	return true, ""
}

// mayApprove: a safety officer at signing, neither the technician nor the assessor.
func (r *Register) mayApprove(a Signed, assessor string) bool {
	i, known := r.number[a.Signer]
	return known && r.people[i].role(r.last) == RoleSafetyOfficer && a.Signer != a.Technician && a.Signer != assessor
}

// Rebuild is an observed rebuild as the register holds it at an instant.
type Rebuild struct {
	Counts    bool   // by its sheet, and its assessor might assess when it started
	Performed bool   // the technician signed
	Observed  bool   // the assessor signed after, and might
	Follows   bool   // it follows a sitting that stands, on its revision
	Voided    bool   // it was struck out
	Ready     bool   // all the rebuilds that its sitting needs are signed, this one or others
	Approved  bool   // a safety officer approved of them
	Reason    string // why the sheet or the assessor's latest signature does not count
}

// Rebuild returns a rebuild as it stands at an instant; false where it is not on
// the record by then.
func (r *Register) Rebuild(id string, instant time.Time) (Rebuild, bool) {
	at, ok := r.rebuilds[id]
	if !ok {
		return Rebuild{}, false
	}
	w := &walk{r: r}
	a := r.asked(instant, time.Time{})
	w.to(at.pair.person, at.pair.procedure, a.at, a.known)
	if int(at.i) >= len(w.rebuilds) || !w.rebuilds[at.i].known {
		return Rebuild{}, false
	}
	b := w.rebuilds[at.i]
	out := Rebuild{Counts: at.pair.rebuilds[at.i].counts, Performed: b.performed, Observed: b.observed, Voided: b.void, Reason: r.faults[id]}
	if b.try >= 0 && w.tries[b.try].valid() {
		n, _ := w.signed(b.try)
		out.Follows, out.Ready, out.Approved = true, n >= w.policy.Rebuilds, w.tries[b.try].approved
	}
	return out, true
}

// Ground is the sitting that a rebuild builds on.
type Ground struct {
	Sitting  string
	HandedIn time.Time
	Cleared  bool // it carries a clearance already, so more rebuilds change nothing
}

// Ground returns the sitting that a rebuild of a person would build on, by what is
// on record at an instant, if it were begun at another on a revision; false where
// there is none.
func (r *Register) Ground(person, procedure, revision string, started, instant time.Time) (Ground, bool) {
	p, q := r.index(person, procedure)
	if p < 0 || q < 0 {
		return Ground{}, false
	}
	w, a := &walk{r: r}, r.asked(instant, time.Time{})
	w.to(p, q, a.at, a.known)
	i := w.follows(&rebuild{started: started.UnixMicro(), revision: w.procedure.revision(revision)})
	if i < 0 {
		return Ground{}, false
	}
	kept := &w.pair.tries[i]
	return Ground{kept.id, time.UnixMicro(kept.handedIn).In(r.zone), w.tries[i].grant > 0}, true
}
