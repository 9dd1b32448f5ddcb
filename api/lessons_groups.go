package api

import (
	"cmp"
	"slices"
	"strings"

	"soloright/content"
	"soloright/scoring/held"
	"soloright/scoring/itemstat"
)

// LessonGroup is what is held of some answers together.
type LessonGroup struct {
	Name   string
	ID     string          // of a person; empty elsewhere
	Right  itemstat.Figure // proportion right, with Wilson's interval
	Held   itemstat.Held
	People int
}

// lessonGroups are the answers of a scope by topic, item model, crew and person.
type lessonGroups struct {
	topics, models, crews, people []LessonGroup
	learning                      held.Learning
}

// group works the groups out. Topics, models and crews stand each for themselves;
// people borrow from one another.
func (x *analysis) group() error {
	topics, models, crews := newGrouping(), newGrouping(), newGrouping()
	people := make([]countOf, len(x.people))
	var pairs [][]held.Meeting
	last := [2]int32{-1, -1}
	for _, h := range x.heard {
		if key := [2]int32{h.fact, h.person}; key != last {
			pairs, last = append(pairs, nil), key
		}
		pairs[len(pairs)-1] = append(pairs[len(pairs)-1], held.Meeting{Right: h.right})
		if h.early {
			continue
		}
		guess := x.chances[h.chance]
		topics.add(string(x.facts[h.fact].Kind.Topic()), h, guess)
		models.add(ModelWords(x.models[h.model]), h, guess)
		if crew := x.people[h.person].crew; crew != "" {
			crews.add(crew, h, guess)
		}
		people[h.person].add(h.right)
	}
	x.groups.learning = held.Learn(pairs)
	var err error
	if x.groups.topics, err = topics.groups(x.wanted); err != nil {
		return err
	}
	if x.groups.models, err = models.groups(x.wanted); err != nil {
		return err
	}
	if x.groups.crews, err = crews.groups(x.wanted); err != nil {
		return err
	}
	for p, h := range x.model.People(func(person, fact int) bool { return x.below[fact][person] >= 0 }, func(int) float64 { return x.wanted }) {
		if c := people[p]; c.n > 0 {
			x.groups.people = append(x.groups.people, LessonGroup{Name: x.people[p].name, ID: x.people[p].id, Right: held.Proportion(c.right, c.n), Held: h, People: 1})
		}
	}
	worstFirst(x.groups.people)
	slices.SortStableFunc(x.groups.topics, func(a, b LessonGroup) int {
		return cmp.Compare(slices.Index(content.Topics, content.Topic(a.Name)), slices.Index(content.Topics, content.Topic(b.Name)))
	})
	worstFirst(x.groups.models)
	return nil
}

func worstFirst(all []LessonGroup) {
	slices.SortStableFunc(all, func(a, b LessonGroup) int { return cmp.Compare(a.Held.Share.Value, b.Held.Share.Value) })
}

// ModelWords is the name of an item model as people read it.
func ModelWords(model string) string { return strings.ReplaceAll(model, "-", " ") }

type countOf struct{ right, n int }

func (c *countOf) add(right bool) {
	c.n++
	if right {
		c.right++
	}
}

// grouping collects answers by name.
type grouping struct {
	index  index[string]
	tally  []map[float64]countOf
	people []map[int32]bool
}

func newGrouping() *grouping { return &grouping{} }

func (g *grouping) add(name string, h heard, guess float64) {
	i := g.index.put(name)
	if i == len(g.tally) {
		g.tally, g.people = append(g.tally, map[float64]countOf{}), append(g.people, map[int32]bool{})
	}
	c := g.tally[i][guess]
	c.add(h.right)
	g.tally[i][guess] = c
	g.people[i][h.person] = true
}

// groups works out what is held of each, by name.
func (g *grouping) groups(wanted float64) ([]LessonGroup, error) {
	tallies := make([][]itemstat.Tally, len(g.tally))
	out := make([]LessonGroup, len(g.tally))
	for i, of := range g.tally {
		right, n := 0, 0
		for guess, c := range of {
			tallies[i] = append(tallies[i], itemstat.Tally{Right: c.right, Answered: c.n, Guess: guess})
			right, n = right+c.right, n+c.n
		}
		slices.SortFunc(tallies[i], func(a, b itemstat.Tally) int { return cmp.Compare(a.Guess, b.Guess) })
		out[i] = LessonGroup{Name: g.index.all[i], Right: held.Proportion(right, n), People: len(g.people[i])}
	}
	all, err := held.Groups(tallies, wanted)
	if err != nil {
		return nil, err
	}
	for i, h := range all {
		out[i].Held = h
	}
	slices.SortFunc(out, func(a, b LessonGroup) int { return cmp.Compare(a.Name, b.Name) })
	return out, nil
}
