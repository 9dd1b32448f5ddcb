package itemhealth

// others knows how each person does elsewhere: on facts other than a given one.
type others struct {
	marks map[string][]sum // by lead fact and person: of every answer
	right map[string][]sum // likewise: right or not
	total []sum            // of marks, by person
	held  []sum            // of right, by person
}

type sum struct {
	x float64
	n int
}

func (s sum) less(o sum) (mean float64, ok bool) {
	if s.n <= o.n {
		return 0, false
	}
	return (s.x - o.x) / float64(s.n-o.n), true
}

func (s *Study) others(columns []*column) *others {
	o := &others{marks: map[string][]sum{}, right: map[string][]sum{}, total: make([]sum, len(s.people)), held: make([]sum, len(s.people))}
	add := func(into map[string][]sum, total []sum, lead string, p int, x float64) {
		if into[lead] == nil {
			into[lead] = make([]sum, len(s.people))
		}
		own := &into[lead][p]
		own.x, own.n = own.x+x, own.n+1
		total[p].x, total[p].n = total[p].x+x, total[p].n+1
	}
	for _, c := range columns {
		for _, g := range c.every {
			add(o.marks, o.total, c.Lead, g.person, g.mark)
			add(o.right, o.held, c.Lead, g.person, float64(asInt(g.right)))
		}
	}
	return o
}

// mean is a person's mean mark on the other facts; false where there are none.
func (o *others) mean(p int, lead string) (float64, bool) { return o.total[p].less(o.marks[lead][p]) }

// share is the proportion right on a person's other facts.
func (o *others) share(p int, lead string) (float64, bool) { return o.held[p].less(o.right[lead][p]) }

// fact is a lead fact while it stated one thing: a column with the first meeting
// by any model.
type fact = column

// facts joins the families of each fact.
func (s *Study) facts(columns []*column) []*fact {
	byKey := map[key]*fact{}
	var out []*fact
	for _, c := range columns {
		k := key{Family{Lead: c.Lead}, c.value}
		f := byKey[k]
		if f == nil {
			f = &fact{key: k, first: map[int]meeting{}}
			byKey[k] = f
			out = append(out, f)
		}
		f.every = append(f.every, c.every...)
		for p, m := range c.first {
			if was, met := f.first[p]; !met || m.at.Before(was.at) {
				f.first[p] = m
			}
		}
	}
	return out
}
