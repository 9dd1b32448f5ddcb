package itemhealth

import (
	"cmp"
	"slices"

	"soloright/scoring/itemstat"
)

// Judge works out the report of a study; its flags are settled by [Settle]. It
// costs a few passes over the answers, and the fits of the measurement models.
// done is called with a share from 0 to 1 as it goes on.
func (s *Study) Judge(done func(share float64)) (*Report, error) {
	rep := &Report{People: len(s.people), Answers: s.answers, Cut: s.design.Cut, Items: []Health{}}
	columns := s.inOrder()
	if len(columns) == 0 {
		return rep, nil
	}
	m, err := s.matrix(columns)
	if err != nil {
		return nil, err
	}
	classical := itemstat.Columns(m)
	facts := s.facts(columns)
	o := s.others(columns)
	for _, c := range slices.Concat(columns, facts) {
		c.settle()
	}
	rho := alike(columns)
	for j, c := range columns {
		h, err := s.health(c, o)
		if err != nil {
			return nil, err
		}
		h.Difficulty, h.Discrimination = classical[j].Difficulty, classical[j].Discrimination
		h.ItemTotal = c.itemTotal(o, rho)
		rep.Items = append(rep.Items, h)
		done(0.4 * float64(j+1) / float64(len(columns)))
	}
	if err := rep.dependable(s.sittings); err != nil {
		return nil, err
	}
	rep.look(s, columns, facts, o, rho)
	done(0.6)
	return rep, s.fit(rep, columns, done)
}

// health is what the answers to one column say by themselves.
func (s *Study) health(c *column, o *others) (Health, error) {
	h := Health{Family: c.Family, Current: s.states(c), since: c.since(), People: len(c.first), Answers: c.answers, Options: []OptionTaken{}, Said: []Said{}, Items: []Concrete{}, Flags: []Flag{}}
	blank, seen := 0, map[int]bool{}
	var seconds []float64
	for _, p := range c.persons() {
		m := c.first[p]
		seen[m.revision] = true
		if m.blank {
			blank++
		}
		if m.seconds > 0 {
			seconds = append(seconds, m.seconds)
		}
	}
	for i, r := range s.design.Revisions {
		if seen[i] {
			h.Revisions = append(h.Revisions, r)
		}
	}
	h.Omitted = itemstat.Omitted(blank, len(c.first))
	times, err := itemstat.SheetTimes(seconds)
	if err != nil {
		return h, err
	}
	h.Lower, h.Median, h.Upper = times.Lower, times.Median, times.Upper
	h.Said, h.Items = c.said(), c.answered()
	h.Options, err = c.options(o)
	return h, err
}

func (s *Study) states(c *column) bool {
	now, stated := s.design.Current[c.Lead]
	return stated && now == c.value
}

// said counts the mistakes, the commonest first.
func (c *column) said() []Said {
	count := map[string]int{}
	for _, m := range c.first {
		for _, text := range m.said {
			count[text]++
		}
	}
	out := make([]Said, 0, len(count))
	for text, n := range count {
		out = append(out, Said{text, n})
	}
	slices.SortFunc(out, func(a, b Said) int { return cmp.Or(cmp.Compare(b.People, a.People), cmp.Compare(a.Text, b.Text)) })
	return out
}

// answered are the items that were answered most often, those with the lowest mean
// mark first.
func (c *column) answered() []Concrete {
	out := make([]Concrete, 0, len(c.items))
	for id, s := range c.items {
		out = append(out, Concrete{id, s.n, s.x / float64(s.n)})
	}
	slices.SortFunc(out, func(a, b Concrete) int { return cmp.Or(cmp.Compare(b.Answers, a.Answers), cmp.Compare(a.Item, b.Item)) })
	out = out[:min(len(out), mostItems)]
	slices.SortStableFunc(out, func(a, b Concrete) int { return cmp.Compare(a.Mean, b.Mean) })
	return out
}

func (r *Report) dependable(sittings [][]float64) error {
	most := 1
	for _, marks := range sittings {
		most = max(most, len(marks))
	}
	m, err := itemstat.NewMatrix(most)
	if err != nil {
		return err
	}
	for _, marks := range sittings {
		cells := make([]itemstat.Cell, len(marks))
		for i, x := range marks {
			cells[i] = itemstat.Cell{Column: i, Mark: x}
		}
		if err := m.Add(1, cells...); err != nil {
			return err
		}
	}
	r.Dependable, err = itemstat.PhiLambda(m, r.Cut)
	return err
}
