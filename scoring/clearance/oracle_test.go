package clearance_test

import (
	"slices"
	"time"

	"soloright/content"
	"soloright/scoring/clearance"
)

// The oracle: the same laws, written apart from the fold and only to be obvious.
// It uses the event types and nothing else of the package, keeps the whole record
// and reads it from the start for every question.
type oracle struct {
	zone   *time.Location
	record []clearance.Event
	judged map[int]bool      // entry: the assessor of the rebuild, or the signature, was good
	built  map[string]string // rebuild: the sitting that it follows
	grants []grant

	first      map[string]int // sitting: the place of its first grant, which tells its clearance's age
	unapproved map[string]int // sitting: an approval before this entry counts no more

	length int               // of the record that the answers below are of
	known  map[string][2]int // reach, by sitting

	adopted map[string][]int // entries, by procedure
}

type grant struct {
	person, procedure, sitting string
	at, until                  time.Time // until: midnight that begins the last day
	by                         []string  // the rebuilds that it rests on
	ended                      time.Time // when one of them was struck out; zero: not
}

// where is what the oracle says of a standing.
type where struct {
	State            clearance.State
	Cleared, Lapsing bool
	Revision         string
	Until, Due       string
	Changed, Removed []content.FactID
	Observe          []clearance.ObserveAgain
}

func newOracle(zone *time.Location) *oracle {
	return &oracle{zone: zone, judged: map[int]bool{}, adopted: map[string][]int{}, built: map[string]string{}, first: map[string]int{}, unapproved: map[string]int{}}
}

func (o *oracle) day(t time.Time) time.Time {
	y, m, d := t.In(o.zone).Date()
	return time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
}

func dayText(t time.Time) string { return t.Format(time.DateOnly) }

// up returns the record up to an instant.
func (o *oracle) up(t time.Time) []clearance.Event {
	n := 0
	for n < len(o.record) && !o.record[n].At.After(t) {
		n++
	}
	return o.record[:n]
}

// seenAs returns the record at an instant as known at a later one: with sittings
// and rebuilds that were over by then and recorded after.
func (o *oracle) seenAs(t, known time.Time) []clearance.Event {
	if known.Before(t) {
		return o.up(known)
	}
	list := slices.Clone(o.up(t))
	for _, e := range o.up(known)[len(list):] {
		switch a := e.Act.(type) {
		case clearance.SittingMarked:
			if !a.HandedIn.After(t) {
				list = append(list, e)
			}
		case clearance.DeltaMarked:
			if !a.HandedIn.After(t) {
				list = append(list, e)
			}
		}
	}
	return list
}

// add takes the next event and judges what is judged when it is recorded.
func (o *oracle) add(e clearance.Event) {
	if n := len(o.record); n > 0 && e.At.Before(o.record[n-1].At) {
		e.At = o.record[n-1].At
	}
	before := o.record
	o.record = append(o.record, e)
	i := len(before)
	switch a := e.Act.(type) {
	case clearance.RevisionAdopted:
		o.adopted[a.Procedure] = append(o.adopted[a.Procedure], i)
	case clearance.RebuildFinished:
		if _, twice := o.rebuild(before, a.Rebuild); twice < 0 {
			ok, _ := a.Counts()
			adopted, _ := o.adoptions(before, a.Procedure)
			o.judged[i] = ok && place(adopted, a.Revision) >= 0 && o.entitled(before, a.Assessor, a.Procedure, a.Revision, a.Started, e.At)
			o.built[a.Rebuild] = o.follows(o.record, a)
		}
	case clearance.Signed:
		o.judged[i] = o.signatureGood(before, a, e.At)
	case clearance.RebuildVoided:
		if _, there := o.rebuild(before, a.Rebuild); there >= 0 && !o.struckOut(before, a.Rebuild) {
			o.end(a.Rebuild, e.At)
		}
	}
	o.grant(e.At)
}

func (o *oracle) signatureGood(list []clearance.Event, a clearance.Signed, at time.Time) bool {
	b, i := o.rebuild(list, a.Covers.ID)
	if i < 0 || o.struckOut(list, b.Rebuild) || a.Covers.Kind != "rebuild" || a.Covers.Digest != b.Digest || a.Technician != b.Technician {
		return false
	}
	switch a.Meaning {
	case clearance.Performed:
		return a.Signer == b.Technician
	case clearance.Observed:
		adopted, _ := o.adoptions(list[:i], b.Procedure)
		return a.Signer == b.Assessor && place(adopted, b.Revision) >= 0 && o.signs(list, i, b.Rebuild, clearance.Performed) &&
			o.entitled(list, b.Assessor, b.Procedure, b.Revision, at, at) &&
			!o.taught(list, b.Assessor, b.Technician, b.Procedure, at, at) && !o.taught(list, b.Assessor, b.Technician, b.Procedure, b.Started, at)
	case clearance.Approved:
		sitting := o.built[b.Rebuild]
		return o.role(list, a.Signer) == "safety officer" && a.Signer != b.Technician && a.Signer != b.Assessor &&
			o.signs(list, i, b.Rebuild, clearance.Observed) && sitting != "" && o.stands(list, sitting) &&
			len(o.signedRebuilds(list, sitting)) >= o.policy(list, b.Procedure).Rebuilds
	}
	return false
}

// struckOut: the rebuild was struck out after it was put on the record.
func (o *oracle) struckOut(list []clearance.Event, id string) bool {
	_, i := o.rebuild(list, id)
	for k := i + 1; i >= 0 && k < len(list); k++ {
		if a, ok := list[k].Act.(clearance.RebuildVoided); ok && a.Rebuild == id {
			return true
		}
	}
	return false
}

// end ends the clearance that rests on a rebuild.
func (o *oracle) end(rebuild string, at time.Time) {
	for i, g := range o.grants {
		if g.ended.IsZero() && slices.Contains(g.by, rebuild) {
			o.grants[i].ended = at
			o.unapproved[g.sitting] = len(o.record)
		}
	}
}

// rebuild finds a rebuild and its entry, −1 for none.
func (o *oracle) rebuild(list []clearance.Event, id string) (clearance.RebuildFinished, int) {
	for i, e := range list {
		if a, ok := e.Act.(clearance.RebuildFinished); ok && a.Rebuild == id {
			return a, i
		}
	}
	return clearance.RebuildFinished{}, -1
}

// signs reports whether a good signature of a meaning stands under a rebuild.
func (o *oracle) signs(list []clearance.Event, from int, id string, m clearance.Meaning) bool {
	_, found := o.signedAt(list, from, id, m)
	return found
}

// signedAt returns when the first good one was given.
func (o *oracle) signedAt(list []clearance.Event, from int, id string, m clearance.Meaning) (time.Time, bool) {
	for i := from; i < len(list); i++ {
		if a, ok := list[i].Act.(clearance.Signed); ok && a.Covers.ID == id && a.Meaning == m && o.judged[i] {
			return list[i].At, true
		}
	}
	return time.Time{}, false
}

func (o *oracle) role(list []clearance.Event, person string) (role string) {
	for _, e := range list {
		switch a := e.Act.(type) {
		case clearance.AccountAdded:
			if a.Person == person {
				role = a.Role
			}
		case clearance.RoleSet:
			if a.Person == person {
				role = a.Role
			}
		}
	}
	return role
}

func (o *oracle) policy(list []clearance.Event, procedure string) clearance.Policy {
	p, own := clearance.DefaultPolicy(), false
	for _, e := range list {
		if a, ok := e.Act.(clearance.PolicySet); ok && (a.Procedure == procedure || a.Procedure == "" && !own) {
			p, own = a.Policy, a.Procedure != ""
		}
	}
	return p
}

// isRecord reports whether a list is the record up to some entry, and not one
// made as known later.
func (o *oracle) isRecord(list []clearance.Event) bool {
	n := len(list)
	return n > 0 && n <= len(o.record) && list[n-1].Seq == o.record[n-1].Seq
}

func (o *oracle) adoptions(list []clearance.Event, procedure string) (out []clearance.RevisionAdopted, at []time.Time) {
	if o.isRecord(list) { // where they stand in it is remembered
		for _, i := range o.adopted[procedure] {
			if i < len(list) {
				out, at = append(out, list[i].Act.(clearance.RevisionAdopted)), append(at, list[i].At)
			}
		}
		return out, at
	}
	for _, e := range list {
		if a, ok := e.Act.(clearance.RevisionAdopted); ok && a.Procedure == procedure {
			out, at = append(out, a), append(at, e.At)
		}
	}
	return out, at
}

func (o *oracle) active(list []clearance.Event, procedure string) (active bool) {
	for _, e := range list {
		switch a := e.Act.(type) {
		case clearance.RevisionAdopted:
			active = active || a.Procedure == procedure
		case clearance.ProcedureWithdrawn:
			active = active && a.Procedure != procedure
		}
	}
	return active
}

func place(list []clearance.RevisionAdopted, revision string) int {
	found := -1
	for i, a := range list {
		if a.Revision == revision {
			found = i
		}
	}
	return found
}

// sat finds the entry of a sitting of either kind, and where it stood when it was
// recorded.
func (o *oracle) sat(list []clearance.Event, id string) (i int, person, procedure, from, to string) {
	for i, e := range list {
		switch a := e.Act.(type) {
		case clearance.SittingMarked:
			if a.Sitting == id {
				return i, a.Person, a.Procedure, "", a.Revision
			}
		case clearance.DeltaMarked:
			if a.Sitting == id {
				return i, a.Person, a.Procedure, a.From, a.To
			}
		}
	}
	return -1, "", "", "", ""
}

// fate returns whether a sitting is passed, and whether it is out of the record's
// sight: struck out, or before a withdrawal, or on no revision adopted by then.
func (o *oracle) fate(list []clearance.Event, id string) (passed, dead bool) {
	first, person, procedure, _, to := o.sat(list, id)
	if first < 0 {
		return false, true
	}
	adopted, _ := o.adoptions(list[:first], procedure)
	dead = place(adopted, to) < 0
	switch a := list[first].Act.(type) {
	case clearance.SittingMarked:
		passed = a.Verdict == clearance.Passed
	case clearance.DeltaMarked:
		passed = a.Verdict == clearance.Passed
	}
	for _, e := range list[first:] {
		switch a := e.Act.(type) {
		case clearance.SittingRemarked:
			if a.Sitting == id {
				passed = a.Verdict == clearance.Passed
			}
		case clearance.SittingVoided:
			dead = dead || a.Sitting == id
		case clearance.Withdrawn:
			dead = dead || a.Person == person && a.Procedure == procedure
		}
	}
	return passed, dead
}

func (o *oracle) stands(list []clearance.Event, id string) bool {
	passed, dead := o.fate(list, id)
	return passed && !dead
}

// qualifying lists a person's sittings in the order of the record.
func (o *oracle) qualifying(list []clearance.Event, person, procedure string) (out []clearance.SittingMarked) {
	for i, e := range list {
		if a, ok := e.Act.(clearance.SittingMarked); ok && a.Person == person && a.Procedure == procedure {
			if first, _, _, _, _ := o.sat(list, a.Sitting); first == i {
				out = append(out, a)
			}
		}
	}
	return out
}

// follows names the last sitting that stands, was handed in before the rebuild
// began and stands on its revision.
func (o *oracle) follows(list []clearance.Event, b clearance.RebuildFinished) (id string) {
	all, _ := o.adoptions(list, b.Procedure)
	on := place(all, b.Revision)
	for _, s := range o.qualifying(list, b.Technician, b.Procedure) {
		if b.Partial || s.HandedIn.After(b.Started) || !o.stands(list, s.Sitting) {
			continue
		}
		if first, last := o.reach(list, s.Sitting); first <= on && on <= last {
			id = s.Sitting
		}
	}
	return id
}

// signedRebuilds returns when each rebuild that carries a sitting was signed.
func (o *oracle) signedRebuilds(list []clearance.Event, sitting string) (out []signedOne) {
	for k, e := range list {
		b, ok := e.Act.(clearance.RebuildFinished)
		if !ok || o.built[b.Rebuild] != sitting || !o.judged[k] || o.struckOut(list, b.Rebuild) {
			continue
		}
		at, ok := o.signedAt(list, k, b.Rebuild, clearance.Observed)
		if !ok {
			continue
		}
		then, _ := o.adoptions(list[:k], b.Procedure)
		if _, last := o.reach(list, sitting); place(then, b.Revision) <= last {
			out = append(out, signedOne{b.Rebuild, at})
		}
	}
	return out
}

// signedOne is a rebuild and when its assessor signed.
type signedOne struct {
	rebuild string
	at      time.Time
}

// grant clears whoever has everything by now and was not cleared on that sitting.
func (o *oracle) grant(now time.Time) {
	for _, e := range o.record {
		s, ok := e.Act.(clearance.SittingMarked)
		if !ok || o.granted(s.Sitting) || !o.stands(o.record, s.Sitting) {
			continue
		}
		p := o.policy(o.record, s.Procedure)
		signed := o.signedRebuilds(o.record, s.Sitting)
		approved, yes := o.approved(s.Sitting)
		if len(signed) < p.Rebuilds || p.Officer && !yes {
			continue
		}
		when, by := []time.Time{approved}, []string(nil)
		for _, b := range signed {
			when, by = append(when, b.at), append(by, b.rebuild)
		}
		last := o.day(slices.MaxFunc(when, time.Time.Compare))
		until := time.Date(last.Year(), last.Month()+time.Month(p.Months), 1, 0, 0, 0, 0, time.UTC)
		for until.Day() < last.Day() && until.AddDate(0, 0, 1).Month() == until.Month() {
			until = until.AddDate(0, 0, 1)
		}
		o.grants = append(o.grants, grant{s.Person, s.Procedure, s.Sitting, now, until, by, time.Time{}})
		if _, before := o.first[s.Sitting]; !before {
			o.first[s.Sitting] = len(o.grants)
		}
	}
}

func (o *oracle) granted(sitting string) bool {
	return slices.ContainsFunc(o.grants, func(g grant) bool { return g.sitting == sitting && g.ended.IsZero() })
}

// approved returns when the last good approval of a sitting's rebuilds was given,
// since one of them was struck out.
func (o *oracle) approved(sitting string) (at time.Time, ok bool) {
	for i, e := range o.record {
		if a, is := e.Act.(clearance.Signed); is && i >= o.unapproved[sitting] && a.Meaning == clearance.Approved && o.judged[i] && o.built[a.Covers.ID] == sitting {
			at, ok = e.At, true
		}
	}
	return at, ok
}
