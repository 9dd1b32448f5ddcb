package itemhealth

import (
	"cmp"
	"math"
	"slices"

	"soloright/scoring/itemstat"
)

// Kind says what may be wrong.
type Kind string

// The kinds, the worst first.
const (
	BetterMiss   Kind = "better people miss it more"
	CrewsDiffer  Kind = "behaves differently in two crews"
	Drifts       Kind = "drifts since a revision"
	NobodyMisses Kind = "nobody misses it"
	Slow         Kind = "far slower than its like"
	NobodyTakes  Kind = "a distractor nobody takes"
)

// Kinds lists the kinds in their order.
var Kinds = []Kind{BetterMiss, CrewsDiffer, Drifts, NobodyMisses, Slow, NobodyTakes}

// Flag says what may be wrong with a family, and on what evidence.
type Flag struct {
	Kind     Kind   `json:"kind"`
	Sentence string `json:"sentence"`
	N        int    `json:"n"`
	// Luck is the chance that luck alone shows so much or more; Adjusted is it after
	// Looked looks of this kind. Both are 0 where the flag is no test but a count.
	Luck     float64 `json:"luck"`
	Adjusted float64 `json:"adjusted"`
	Looked   int     `json:"looked"`
	Firm     bool    `json:"firm"`
	Option   string  `json:"option,omitempty"`
	Crew     string  `json:"crew,omitempty"`
	Since    string  `json:"since,omitempty"` // revision
	// OfFact: it is on the fact, whatever the model. It stands on each of the fact's
	// families; Again is set on all but the one that most people met.
	OfFact bool `json:"of_fact,omitempty"`
	Again  bool `json:"again,omitempty"`

	Difference itemstat.Difference `json:"-"` // of two crews, or of before and since
	shares     shares
}

// test is one look: a flag that is raised or is not.
type test struct {
	flag   Flag
	raised bool
	items  []*Health // that carry it
}

// look looks at every family and fact in every way.
func (r *Report) look(s *Study, columns []*column, facts []*fact, o *others, rho float64) {
	like := likeTimes(columns)
	for j, c := range columns {
		h := &r.Items[j]
		r.note(h, nobodyMisses(h), betterMiss(h, c.weightOf(rho)), slow(c, like))
		r.note(h, nobodyTakes(c)...)
		r.note(h, s.drifts(c, o)...)
	}
	for _, f := range facts {
		var of []*Health
		for j, c := range columns {
			if c.Lead == f.Lead && c.value == f.value {
				of = append(of, &r.Items[j])
			}
		}
		slices.SortStableFunc(of, func(a, b *Health) int { return cmp.Compare(b.People, a.People) })
		for _, t := range s.crewsDiffer(f, o, rho) {
			t.items = of
			r.tests = append(r.tests, t)
		}
	}
}

// note takes in looks at one family; nil is one that could not be.
func (r *Report) note(h *Health, all ...*test) {
	for _, t := range all {
		if t != nil {
			t.items = []*Health{h}
			r.tests = append(r.tests, t)
		}
	}
}

// Settle decides which flags are firm over all the reports together, hands them to
// their families and puts these in order. It is called once.
func Settle(reports ...*Report) {
	byKind := map[Kind][]*test{}
	for _, r := range reports {
		for _, t := range r.tests {
			byKind[t.flag.Kind] = append(byKind[t.flag.Kind], t)
		}
	}
	for _, kind := range Kinds {
		settle(byKind[kind])
	}
	for _, r := range reports {
		r.tests = nil
		slices.SortStableFunc(r.Items, Rank)
	}
}

// settle adjusts the tests of one kind and hands the raised flags out.
func settle(all []*test) {
	p := make([]float64, len(all))
	for i, t := range all {
		p[i] = t.flag.Luck
	}
	q := adjusted(p)
	for i, t := range all {
		if !t.raised {
			continue
		}
		t.flag.Looked = len(all)
		if t.flag.Kind == NobodyMisses {
			t.flag.Firm = true
		} else {
			t.flag.Adjusted = q[i]
			t.flag.Firm = q[i] <= Discovery
		}
		for n, h := range t.items {
			f := t.flag
			f.Again = n > 0
			h.Flags = append(h.Flags, f)
		}
	}
}

// adjusted are p-values after Benjamini and Hochberg (1995): for the ith smallest
// of m, the least of m·p/j over all j ≥ i.
func adjusted(p []float64) []float64 {
	order := make([]int, len(p))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(p[a], p[b]) })
	q, least := make([]float64, len(p)), 1.0
	for j := len(order) - 1; j >= 0; j-- {
		least = math.Min(least, float64(len(p))*p[order[j]]/float64(j+1))
		q[order[j]] = least
	}
	return q
}

// Rank orders families, the worst first. What may fail the wrong people (better
// people miss it, crews differ, it drifts) comes before what only wastes a
// question; among each what is firm before what may be luck, by the order of the kinds,
// then by how little luck explains; what only repeats its fact's flags comes after. The rest is in the order of how
// badly it tells people apart, as far as that is known, then of how many miss it.
func Rank(a, b Health) int {
	wa, wb := a.worst(), b.worst()
	return cmp.Or(cmp.Compare(wa.place, wb.place), cmp.Compare(wa.luck, wb.luck),
		-cmp.Compare(asInt(a.ItemTotal.Known()), asInt(b.ItemTotal.Known())), cmp.Compare(a.ItemTotal.Value, b.ItemTotal.Value),
		cmp.Compare(a.Difficulty.Value, b.Difficulty.Value))
}

// Since is the place of the first revision on which it was asked so; the later ones
// of a family come with higher places.
func (h Health) Since() int { return h.since }

type weight struct {
	place int
	luck  float64
}

func (h Health) worst() weight {
	w := weight{place: math.MaxInt}
	for _, f := range h.Flags {
		at := f.weight()
		if at.place < w.place || at.place == w.place && at.luck < w.luck {
			w = at
		}
	}
	return w
}

// harmful is how many kinds, the first ones, may fail the wrong people.
const harmful = 3

func (f Flag) weight() weight {
	kind := slices.Index(Kinds, f.Kind)
	place := kind + asInt(!f.Firm)*harmful
	if kind >= harmful {
		place += harmful
	}
	return weight{place + asInt(f.Again)*4*len(Kinds), f.Luck}
}

// Worst is the flag by which the family is ranked, with false where it has none.
func (h Health) Worst() (Flag, bool) {
	w := h.worst()
	for _, f := range h.Flags {
		if f.weight() == w {
			return f, true
		}
	}
	return Flag{}, false
}
