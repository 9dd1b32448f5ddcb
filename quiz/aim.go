package quiz

import (
	"fmt"
	"slices"

	"soloright/content"
)

// Aim is what forms are steered to once items have statistics, so that one form is
// as hard as another for somebody who stands at the cut. It is plain numbers, and
// part of what fixes the form: a form that was set with an aim holds it.
type Aim struct {
	Mark        int `json:"mark,omitempty"`        // the mean mark that somebody at the cut is to expect, in thousandths; 0: any
	Information int `json:"information,omitempty"` // what the form is to tell at the cut at least, in thousandths per squared logit; 0: any
	// Of each family of the bank, in the order of [Bank.Families]: the mark that
	// somebody at the cut is to expect, in thousandths, and what the family tells
	// there. −1: no statistics yet, and then the family counts as on target.
	Marks  []int `json:"marks"`
	Tells  []int `json:"tells"`
	Sample int   `json:"sample,omitempty"` // sittings behind the statistics
}

// Close enough, in thousandths of a mark over the whole form; and how far assembly
// goes to get there.
const (
	closeEnough = 5
	mostSteered = 24  // items changed for others on a form
	mostWritten = 160 // candidates written for one change
)

// AssembleTo is [Assemble] with an aim. It sets the form by the blueprint first and
// then changes items for others of the same topic, as long as that brings the form
// nearer to the aim. Nothing else gives way to it: facts that always appear, those
// missed on the last try stay, an item on isolation gives way to another one only, minima and maxima, enemies and
// time hold, and no fact that the person has met comes in the place of one not
// yet met. So an aim may be missed; [Form.Toward] says by how much. Without an
// aim, or with one that no blueprint asks for, the form is that of Assemble to the byte.
func AssembleTo(bank *Bank, bp content.Blueprint, h History, seed Seed, aim *Aim) (*Form, error) {
	if aim == nil || aim.Mark == 0 && aim.Information == 0 {
		return Assemble(bank, bp, h, seed)
	}
	if n := len(bank.Families()); len(aim.Marks) != n || len(aim.Tells) != n {
		return nil, fmt.Errorf("assemble: statistics of %d and %d families for a bank of %d", len(aim.Marks), len(aim.Tells), n)
	}
	a := newAssembler(bank, h, seed)
	a.aim = newSteering(bank, aim)
	return a.assemble(bp, h, seed)
}

// steering is an aim by family.
type steering struct {
	aim       *Aim
	of        map[familyKey]told
	isolation map[int]bool // leads on isolation or the return to service
}

type familyKey struct {
	lead  content.FactID
	model string
}

type told struct{ mark, tells int }

func newSteering(bank *Bank, aim *Aim) *steering {
	s := &steering{aim: aim, of: map[familyKey]told{}, isolation: map[int]bool{}}
	for _, at := range bank.isolation {
		s.isolation[at] = true
	}
	for i, f := range bank.Families() {
		if aim.Marks[i] >= 0 {
			s.of[familyKey{f.Lead, f.Model.Name()}] = told{aim.Marks[i], max(0, aim.Tells[i])}
		}
	}
	return s
}

// drift is by how much a form is off: the sum of the marks that somebody at the cut
// is to expect, less that of the aim, and what the form tells.
type drift struct{ marks, tells int }

func (s *steering) part(lead content.FactID, model string) drift {
	t, known := s.of[familyKey{lead, model}]
	switch {
	case !known:
		return drift{}
	case s.aim.Mark == 0:
		return drift{0, t.tells}
	}
	return drift{t.mark - s.aim.Mark, t.tells}
}

func (d drift) plus(o drift, times int) drift {
	return drift{d.marks + times*o.marks, d.tells + times*o.tells}
}

// cost is 0 on target.
func (s *steering) cost(d drift) int {
	return max(d.marks, -d.marks) + max(0, s.aim.Information-d.tells)
}

func (s *steering) form(items []Item) drift {
	var d drift
	for _, it := range items {
		d = d.plus(s.part(it.Lead, it.Model), 1)
	}
	return d
}

// change is an item that could give way to one of another family.
type change struct {
	place, at int // of the item, and of the other's lead
	family    Family
	cost      int
}

// steer brings the form nearer to the aim, by the change that does most, and again.
func (a *assembler) steer() error {
	if a.aim == nil {
		return nil
	}
	for range mostSteered {
		var d drift
		for _, c := range a.items {
			d = d.plus(a.aim.part(c.Lead, c.Model), 1)
		}
		now := a.aim.cost(d)
		if now <= closeEnough {
			return nil
		}
		changed, err := a.change(d, now)
		if err != nil || !changed {
			return err
		}
	}
	return nil
}

// change makes the best change that holds; false where there is none.
func (a *assembler) change(d drift, now int) (bool, error) {
	all := a.changes(d, now)
	a.rnd.Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] }) // no family is preferred for its place in the bank
	slices.SortStableFunc(all, func(x, y change) int { return x.cost - y.cost })
	for _, c := range all[:min(mostWritten, len(all))] {
		ok, err := a.swap(c)
		if err != nil || ok {
			return ok, err
		}
	}
	return false, nil
}

// changes lists what would bring the form nearer.
func (a *assembler) changes(d drift, now int) (out []change) {
	for i, c := range a.items {
		if !a.free(i) {
			continue
		}
		isolation := a.aim.isolation[c.at] // as many stay as the blueprint asks for
		without := d.plus(a.aim.part(c.Lead, c.Model), -1)
		for _, at := range a.bank.byTopic[a.bank.leads[c.at].topic] {
			l := a.bank.leads[at]
			if isolation && !a.aim.isolation[at] {
				continue
			}
			if at != c.at && (a.used[at] > 0 || a.keyed[l.fact.ID] > 0 || a.met(l.fact.ID) && !a.met(c.Lead)) {
				continue
			}
			for _, f := range l.families {
				if _, known := a.aim.of[familyKey{f.Lead, f.Model.Name()}]; !known {
					continue
				}
				if cost := a.aim.cost(without.plus(a.aim.part(f.Lead, f.Model.Name()), 1)); cost < now {
					out = append(out, change{i, at, f, cost})
				}
			}
		}
	}
	return out
}

func (a *assembler) met(f content.FactID) bool {
	_, met := a.metFacts[f]
	return met
}

// free reports whether an item may give way: the form does not need it.
func (a *assembler) free(i int) bool {
	c := a.items[i]
	a.take(i)
	needed := a.neededFor(c)
	a.items = slices.Insert(a.items, i, c)
	a.count(c.Item, c.at, 1)
	return len(needed) == 0
}

// swap puts a fresh item of the other family in the place of an item, where that
// holds; else the form stays as it is.
func (a *assembler) swap(c change) (bool, error) {
	old := a.take(c.place)
	it, fresh, err := a.write(a.bank.leads[c.at].fact, c.family)
	if err != nil {
		return false, err
	}
	if fresh && a.fits(it) && a.seconds+it.Seconds <= a.minutes*60 {
		a.put(it, c.at)
		return true, nil
	}
	a.items = slices.Insert(a.items, c.place, old)
	a.count(old.Item, old.at, 1)
	return false, nil
}

// Toward says how near a form came to its aim: the mean mark that somebody at the
// cut is to expect on it, in thousandths, families without statistics counted as on
// target; what it tells there; and how many of its items have statistics. False where it was set
// without an aim.
func (f *Form) Toward(bank *Bank) (mark, tells, known int, ok bool) {
	if f.Aim == nil || len(f.Items) == 0 || len(f.Aim.Marks) != len(bank.Families()) {
		return 0, 0, 0, false
	}
	s := newSteering(bank, f.Aim)
	d := s.form(f.Items)
	for _, it := range f.Items {
		if _, has := s.of[familyKey{it.Lead, it.Model}]; has {
			known++
		}
	}
	return f.Aim.Mark + d.marks/len(f.Items), d.tells, known, true
}
