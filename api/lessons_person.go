package api

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"time"

	"soloright/content"
	"soloright/scoring/held"
	"soloright/scoring/itemstat"
)

// PersonLesson is one person: what to practise next, and how he or she has grown.
type PersonLesson struct {
	Ask     LessonAsk
	AsOf    time.Time
	Working *Progress
	Own     bool

	Wanted   float64
	Who      LessonWho
	Sat      bool // anything within the scope; else there is nothing below
	Whole    LessonGroup
	Practise []PersonFact // costliest first, at most [PractiseMost]
	Total    int          // facts that are his or her work
	Short    float64      // how many of them are to be expected below the level wanted
	Growth   []GrowthStep // by months, oldest first
	Topics   []LessonGroup
	Learning held.Learning
	Closed   []string // titles of procedures whose facts are closed while a sitting is open
}

// PersonFact is one fact that a person should practise.
type PersonFact struct {
	Procedure string
	Title     string
	Fact      content.FactID
	Text      string
	Step      string
	Topic     content.Topic
	Critical  bool
	LessonCell
	Last time.Time // zero: never asked
	Cost float64
	Why  string
}

// GrowthStep is what a person answered in one month.
type GrowthStep struct {
	Month   content.Date // its first day
	Right   itemstat.Figure
	First   itemstat.Figure // of facts met for the first time
	Repeats itemstat.Figure
	Held    itemstat.Held
}

// PractiseMost is how many facts are named to practise next.
const PractiseMost = 12

// LessonPerson returns one person: the caller, where person is empty; others for
// whoever may read results. The facts of a procedure stay closed to oneself while
// one has a sitting on it open.
func (a *App) LessonPerson(ctx context.Context, c Caller, ask LessonAsk, person string) (PersonLesson, error) {
	v := PersonLesson{Ask: ask}
	closed := map[string]bool{}
	err := a.read(ctx, c, Sit, func(r Reader, w Actor) error {
		if person == "" {
			person = w.Person.ID
		}
		if v.Own = !w.op && person == w.Person.ID; !v.Own {
			if err := w.may(ReadResults); err != nil {
				return err
			}
		}
		n, err := readNames(ctx, r)
		if err != nil {
			return err
		}
		p, ok := n.people[person]
		if !ok {
			return notFound("person")
		}
		v.Who = LessonWho{p.ID, p.Name, p.Crew}
		return a.closedFacts(ctx, r, w, n, &v, closed)
	})
	if err != nil {
		return v, err
	}
	v.Ask.Crew = "" // what one person holds is judged beside everybody
	x, err := a.lessonsOf(ctx, c, Sit, &v.Ask, &v.Working, func(names) {})
	if err != nil || x == nil {
		return v, err
	}
	v.AsOf, v.Wanted = x.at, x.wanted
	if p, ok := x.whose[person]; ok {
		err = x.personView(&v, p, closed)
	}
	return v, err
}

// closedFacts notes which procedures are closed to the person who asks.
func (a *App) closedFacts(ctx context.Context, r Reader, w Actor, n names, v *PersonLesson, closed map[string]bool) error {
	if !v.Own {
		return nil
	}
	for id := range n.titles {
		switch err := a.closedBook(ctx, r, w, id); KindOf(err) {
		case "":
			if err != nil {
				return err
			}
		default:
			closed[id] = true
			v.Closed = append(v.Closed, n.title(id))
		}
	}
	slices.Sort(v.Closed)
	return nil
}

// personView fills in what is known of a person.
func (x *analysis) personView(v *PersonLesson, p int, closed map[string]bool) error {
	for _, g := range x.groups.people {
		if g.ID == v.Who.ID {
			v.Whole, v.Sat = g, true
		}
	}
	practise, err := x.practise(p, func(procedure string) bool { return !closed[procedure] })
	if err != nil {
		return err
	}
	v.Practise = practise
	for f := range x.facts {
		if x.below[f][p] >= 0 {
			v.Total++
			v.Short += float64(x.below[f][p])
		}
	}
	var own []heard
	for f := range x.facts {
		own = append(own, x.pair(f, p)...)
	}
	v.Learning = held.Learn(x.meetings(own))
	topics := newGrouping()
	for _, h := range own {
		if !h.early {
			topics.add(string(x.facts[h.fact].Kind.Topic()), h, x.chances[h.chance])
		}
	}
	if v.Topics, err = topics.groups(x.wanted); err != nil {
		return err
	}
	slices.SortStableFunc(v.Topics, func(a, b LessonGroup) int { return cmp.Compare(a.Held.Share.Value, b.Held.Share.Value) })
	v.Growth, err = x.growth(own)
	return err
}

// practise is what a person should practise next: the same rank as for a crew, of
// the one person.
func (x *analysis) practise(p int, open func(procedure string) bool) ([]PersonFact, error) {
	var facts []int
	cost := map[int]float64{}
	for _, f := range x.asked {
		if x.below[f][p] >= 0 && open(x.facts[f].procedure) {
			facts = append(facts, f)
			cost[f] = held.Cost(x.facts[f].Critical, []float64{float64(x.below[f][p])}, x.facts[f].timesAMonth)
		}
	}
	held.Rank(facts, func(f int) float64 { return cost[f] }, func(f int) string { return string(x.facts[f].ID) }, func(f int) string { return x.facts[f].procedure })
	out := []PersonFact{}
	for _, f := range facts[:min(len(facts), PractiseMost)] {
		c, err := x.cell(f, p, true)
		if err != nil {
			return nil, err
		}
		fact := x.facts[f]
		one := PersonFact{Procedure: fact.procedure, Title: fact.title, Fact: fact.ID, Text: fact.Text, Step: fact.Step, Topic: fact.Kind.Topic(), Critical: fact.Critical,
			LessonCell: c, Cost: cost[f]}
		if own := x.pair(f, p); len(own) > 0 {
			one.Last = x.sittings[own[len(own)-1].sitting].at
		}
		one.Why = one.why(x.held[f].Share)
		out = append(out, one)
	}
	return out, nil
}

// why says why to practise a fact.
func (p PersonFact) why(crew itemstat.Figure) string {
	s := fmt.Sprintf("Right in %d of %s", p.Right, answersWords(p.Answers))
	if p.Answers == 0 {
		s = "Not asked yet; of the crew " + percentWords(crew.Value) + " is held"
	}
	s += fmt.Sprintf(": %s is likely held.", rangeWords(p.Held.Share))
	if p.Critical {
		s += " Critical."
	}
	return s
}

// growth cuts the answers of a person into months.
func (x *analysis) growth(own []heard) ([]GrowthStep, error) {
	type step struct {
		all                   []heard
		right, first, repeats countOf
	}
	months := map[content.Date]*step{}
	for i, h := range own {
		if h.early {
			continue
		}
		at := x.sittings[h.sitting].at.In(x.zone)
		month := content.DateOf(time.Date(at.Year(), at.Month(), 1, 0, 0, 0, 0, time.UTC))
		s := months[month]
		if s == nil {
			s = &step{}
			months[month] = s
		}
		s.all = append(s.all, h)
		s.right.add(h.right)
		if i == 0 || own[i-1].fact != h.fact {
			s.first.add(h.right)
		} else {
			s.repeats.add(h.right)
		}
	}
	var out []GrowthStep
	var tallies [][]itemstat.Tally
	for month := range months {
		out = append(out, GrowthStep{Month: month})
	}
	slices.SortFunc(out, func(a, b GrowthStep) int { return a.Month.Time().Compare(b.Month.Time()) })
	for i := range out {
		s := months[out[i].Month]
		out[i].Right, out[i].First, out[i].Repeats = held.Proportion(s.right.right, s.right.n), held.Proportion(s.first.right, s.first.n), held.Proportion(s.repeats.right, s.repeats.n)
		tallies = append(tallies, x.tallies(s.all))
	}
	each, err := held.Groups(tallies, x.wanted)
	for i, h := range each {
		out[i].Held = h
	}
	return out, err
}

// ShortFacts is Short to the nearest fact.
func (v PersonLesson) ShortFacts() int { return int(math.Round(v.Short)) }
