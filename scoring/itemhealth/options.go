package itemhealth

import (
	"cmp"
	"slices"

	"soloright/scoring/itemstat"
)

// mostOptions is how many options of a family are told apart. One whose options
// are numbers that differ from item to item has many, each met by a few.
const mostOptions = 24

// offer is one option and who was offered it.
type offer struct {
	text  string
	right bool
	to    []int // persons
	taken map[int]bool
}

// offers gathers the options of a column by what they say, those offered to most
// people first. What is right in one item and wrong in another is two options.
func (c *column) offers() []*offer {
	byText := map[Option]*offer{}
	var out []*offer
	for _, p := range c.persons() {
		for _, o := range c.first[p].options {
			k := Option{Text: o.Text, Right: o.Right}
			f := byText[k]
			if f == nil {
				f = &offer{text: o.Text, right: o.Right, taken: map[int]bool{}}
				byText[k] = f
				out = append(out, f)
			}
			if n := len(f.to); n == 0 || f.to[n-1] != p {
				f.to = append(f.to, p)
			}
			f.taken[p] = f.taken[p] || o.Chosen
		}
	}
	slices.SortStableFunc(out, func(a, b *offer) int {
		return cmp.Or(cmp.Compare(len(b.to), len(a.to)), cmp.Compare(a.text, b.text))
	})
	return out[:min(len(out), mostOptions)]
}

// options counts who took which option by score group.
func (c *column) options(o *others) ([]OptionTaken, error) {
	out := []OptionTaken{}
	for _, f := range c.offers() {
		t, err := c.table(f, o)
		if err != nil {
			return nil, err
		}
		ot := OptionTaken{Text: f.text, Right: f.right, Offered: len(f.to), NotYet: t.NotYet, Need: t.Need}
		if t.NotYet == "" {
			ot.People = t.People
			for g := range t.Chosen {
				ot.Taken[g] = t.Chosen[g][0]
			}
		}
		out = append(out, ot)
	}
	slices.SortStableFunc(out, func(a, b OptionTaken) int { return cmp.Compare(asInt(b.Right), asInt(a.Right)) })
	return out, nil
}

// table places whoever was offered the option by the marks on other facts; who
// has none has no place. Option 0 is that it was taken, 1 that it was not.
func (c *column) table(f *offer, o *others) (itemstat.ChoiceTable, error) {
	var people []itemstat.Choice
	for _, p := range f.to {
		score, ok := o.mean(p, c.Lead)
		if !ok {
			continue
		}
		ch := itemstat.Choice{Option: 1, Score: score}
		switch {
		case f.taken[p]:
			ch.Option = 0
		case c.first[p].blank:
			ch.Option = itemstat.NoChoice
		}
		people = append(people, ch)
	}
	return itemstat.Choices(2, people)
}

func asInt(b bool) int {
	if b {
		return 1
	}
	return 0
}
