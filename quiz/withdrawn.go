package quiz

import (
	"cmp"
	"slices"

	"soloright/content"
)

// Withdrawn is an item model that writes no more on a fact, or, where Item is
// set, one item of it.
type Withdrawn struct {
	Fact  content.FactID `json:"fact"`
	Model string         `json:"model"`
	Item  string         `json:"item,omitempty"`
}

// Covers reports whether an item is what is withdrawn, or of it.
func (w Withdrawn) Covers(it Item) bool {
	return it.Lead == w.Fact && it.Model == w.Model && (w.Item == "" || it.ID == w.Item)
}

// Without returns a bank that writes nothing of what is withdrawn; b stays as it
// is. Forms that are set from it say so in [Form.Without]. What the bank does not
// have is passed over, and so does not stand on forms. Without anything that it
// has, b itself is returned. The cost is a walk over the facts.
func (b *Bank) Without(list []Withdrawn) *Bank {
	here := b.having(list)
	if len(here) == 0 {
		return b
	}
	out := emptyBank(b.source)
	out.unwritten = slices.Clone(b.unwritten)
	out.without, out.barred = here, map[string]bool{}
	for _, w := range here {
		if w.Item != "" {
			out.barred[w.Item] = true
		}
	}
	for _, l := range b.leads {
		left := lead{fact: l.fact, topic: l.topic}
		for _, f := range l.families {
			if !slices.Contains(here, Withdrawn{Fact: f.Lead, Model: f.Model.Name()}) {
				left.families = append(left.families, f)
			}
		}
		out.put(left, []string{"every item model for it is withdrawn"})
	}
	return out
}

// having returns what of the list the bank has, in one order, each once.
func (b *Bank) having(list []Withdrawn) []Withdrawn {
	var here []Withdrawn
	for _, w := range list {
		if slices.ContainsFunc(b.FamiliesOf(w.Fact), func(f Family) bool { return f.Model.Name() == w.Model }) {
			here = append(here, w)
		}
	}
	slices.SortFunc(here, func(x, y Withdrawn) int {
		return cmp.Or(cmp.Compare(x.Fact, y.Fact), cmp.Compare(x.Model, y.Model), cmp.Compare(x.Item, y.Item))
	})
	return slices.Compact(here)
}
