package clearance

import "time"

// Trail is what a standing rests on: the ids under which its evidence is kept.
type Trail struct {
	Sitting  string    `json:"sitting,omitempty"`  // the qualifying one
	Deltas   []string  `json:"deltas,omitempty"`   // delta sittings that brought it to the revision
	Rebuilds []string  `json:"rebuilds,omitempty"` // signed by technician and assessor, and counting
	Again    []string  `json:"again,omitempty"`    // later rebuilds at which hold points were observed again
	From     time.Time `json:"from,omitzero"`      // when the clearance began; zero while on the road
	Approved bool      `json:"approved,omitempty"` // by a safety officer
}

// Trail returns what a person's clearance on a procedure rests on at an instant,
// as known at another (zero: at the instant), whether or not it is suspended, held
// or lapsed; without one, what the road so far rests on. It is empty where no
// sitting stands.
func (r *Register) Trail(person, procedure string, instant, known time.Time) Trail {
	p, q := r.index(person, procedure)
	if p < 0 || q < 0 {
		return Trail{}
	}
	a := r.asked(instant, known)
	w := &walk{r: r}
	w.to(p, q, a.at, a.known)
	try := w.clearance()
	if try < 0 {
		try = w.under()
	}
	if try < 0 {
		return Trail{}
	}
	return w.trail(try)
}

func (w *walk) trail(try int) Trail {
	t, kept := &w.tries[try], &w.pair.tries[try]
	out := Trail{Sitting: kept.id, Approved: t.approved}
	if t.grant > 0 {
		out.From = time.UnixMicro(t.granted).In(w.r.zone)
	}
	for i := range w.tries {
		if d, k := &w.tries[i], &w.pair.tries[i]; d.delta && d.valid() && kept.to < k.to && k.to <= t.on {
			out.Deltas = append(out.Deltas, k.id)
		}
	}
	for i := range w.rebuilds {
		b, k := &w.rebuilds[i], &w.pair.rebuilds[i]
		switch {
		case !b.known || b.void || !b.observed || !k.counts || k.revision > t.on:
		case b.try == int32(try):
			out.Rebuilds = append(out.Rebuilds, k.id)
		case len(k.holds) > 0 && k.revision > kept.to:
			out.Again = append(out.Again, k.id)
		}
	}
	return out
}
