package api

import (
	"cmp"
	"context"
	"slices"
	"time"

	"soloright/content"
	"soloright/scoring/held"
	"soloright/scoring/itemstat"
)

// How much of the crew against the facts one answer shows.
const (
	LessonFacts  = 30
	LessonPeople = 40
)

// lessonDays is how far a period reaches back where nothing else is asked: as long
// as energy control may go without an inspection (29 CFR 1910.147(c)(6)(i)).
const lessonDays = 365

// LessonAsk asks what a crew does not hold. Zero fields do not narrow.
type LessonAsk struct {
	Procedure string
	Crew      string
	From, To  content.Date // zero: a year, up to today
	Fact      int          // the first fact of the part, worst first, counted from 1
	Person    int          // the first person of the part, by name, counted from 1
	Whole     bool         // all facts and people, without the intervals of pairs
	Among     bool         // of one fact: judged among the facts of all procedures, as where no procedure is asked
}

// scope is the ask with its period, or what is wrong with it.
func (a *App) scope(ask *LessonAsk, n names) (lessonScope, error) {
	if ask.To.IsZero() {
		ask.To = a.today()
	}
	if ask.From.IsZero() {
		ask.From = content.DateOf(ask.To.Time().AddDate(0, 0, -lessonDays))
	}
	if ask.To.Before(ask.From) {
		return lessonScope{}, invalid("from", "The period must not end before it begins.")
	}
	if _, ok := n.titles[ask.Procedure]; ask.Procedure != "" && !ok {
		return lessonScope{}, notFound("procedure")
	}
	ask.Fact, ask.Person = max(1, ask.Fact), max(1, ask.Person)
	return lessonScope{ask.Procedure, ask.Crew, ask.From, ask.To}, nil
}

// LessonsView is the crew against the facts.
type LessonsView struct {
	Ask     LessonAsk
	AsOf    time.Time // when the history was read; zero: nothing is worked out yet
	Working *Progress // set where AsOf is not of now: it is being worked out anew

	Total    int          // facts that were asked
	Unasked  int          // facts of the scope that nobody was asked
	Crowd    int          // people of the scope
	Answers  int          // behind it all
	Monday   *LessonLine  // the lesson to give first; nil where nobody missed anything
	Lines    []LessonLine // of this part, costliest first
	People   []LessonWho  // of this part, by name
	Cells    [][]LessonCell
	Topics   []LessonGroup
	Models   []LessonGroup // worst first
	Crews    []LessonGroup
	Everyone []LessonGroup // people, worst first
	Learning held.Learning
	Wanted   float64

	Procedures []LessonChoice // that could be asked about
	AllCrews   []string
}

// LessonChoice is something to choose, by id and in words.
type LessonChoice struct{ ID, Text string }

// LessonWho is a person of the crew.
type LessonWho struct{ ID, Name, Crew string }

// LessonLine is one fact and what the crew holds of it.
type LessonLine struct {
	Rank        int // from 1
	Procedure   string
	Title       string
	Fact        content.FactID
	Text        string
	Step        string
	Topic       content.Topic
	Critical    bool
	Advice      held.Advice
	Cost        float64 // see [held.Cost]
	Short       float64 // how many people are to be expected below the level wanted
	People      int     // whose work it is
	Wanted      float64
	TimesAMonth float64
	Answers     int
	Missed      int
	Held        itemstat.Held
	Models      []LessonModel // that asked it, worst first
	Why         string        // in sentences
}

// LessonModel is how one item model found a fact.
type LessonModel struct {
	Model   string // its name
	Answers int
	Missed  int
	Right   itemstat.Figure
}

// LessonCell is one person against one fact.
type LessonCell struct {
	Theirs  bool // the fact is part of the person's work
	Answers int
	Right   int
	Held    itemstat.Held // without its interval where the whole was asked for
}

// Lessons returns the crew against the facts, worst first, for whoever may read
// results. It waits for no long analysis: what is worked out stands with its time,
// and what is under way with its progress.
func (a *App) Lessons(ctx context.Context, c Caller, ask LessonAsk) (LessonsView, error) {
	v := LessonsView{Ask: ask}
	x, err := a.lessonsOf(ctx, c, ReadResults, &v.Ask, &v.Working, func(n names) {
		for id, title := range n.titles {
			v.Procedures = append(v.Procedures, LessonChoice{id, title})
		}
		slices.SortFunc(v.Procedures, func(x, y LessonChoice) int { return cmp.Compare(x.Text+x.ID, y.Text+y.ID) })
		v.AllCrews = n.crews()
	})
	if err != nil || x == nil {
		return v, err
	}
	x.view(&v)
	return v, x.cells(&v)
}

// lessonsOf finds the analysis that an ask wants, for a caller with the right.
func (a *App) lessonsOf(ctx context.Context, c Caller, right Act, ask *LessonAsk, working **Progress, see func(names)) (*analysis, error) {
	var scope lessonScope
	var g ground
	err := a.read(ctx, c, right, func(r Reader, _ Actor) error {
		n, err := readNames(ctx, r)
		if err != nil {
			return err
		}
		if scope, err = a.scope(ask, n); err != nil {
			return err
		}
		see(n)
		g, err = a.groundNow(ctx, r, n)
		return err
	})
	if err != nil {
		return nil, err
	}
	x, p, err := a.analysis(ctx, scope, g)
	*working = p
	return x, err
}

// view fills in all but the cells.
func (x *analysis) view(v *LessonsView) {
	v.AsOf, v.Total, v.Unasked, v.Crowd, v.Wanted = x.at, len(x.asked), len(x.facts)-len(x.asked), len(x.people), x.wanted
	v.Answers = x.answers
	g := x.groups
	v.Topics, v.Models, v.Crews, v.Everyone, v.Learning = g.topics, g.models, g.crews, g.people, g.learning
	if len(x.asked) > 0 {
		if first := x.line(0); first.Missed > 0 {
			v.Monday = &first
		}
	}
	from, to := 0, len(x.asked)
	if !v.Ask.Whole {
		from, to = part(v.Ask.Fact, LessonFacts, len(x.asked))
	}
	v.Lines = []LessonLine{}
	for i := from; i < to; i++ {
		v.Lines = append(v.Lines, x.line(i))
	}
	from, to = x.shown(v.Ask)
	v.People = []LessonWho{}
	for _, p := range x.people[from:to] {
		v.People = append(v.People, LessonWho{p.id, p.name, p.crew})
	}
}

// shown is which people an ask shows.
func (x *analysis) shown(ask LessonAsk) (from, to int) {
	if ask.Whole {
		return 0, len(x.people)
	}
	return part(ask.Person, LessonPeople, len(x.people))
}

// part is the slice of n from the first, counted from 1, on.
func part(first, size, n int) (from, to int) {
	from = min(first-1, n)
	return from, min(from+size, n)
}

// line is the ith of the facts, worst first.
func (x *analysis) line(i int) LessonLine {
	f := x.asked[i]
	fact := x.facts[f]
	l := LessonLine{Rank: i + 1, Procedure: fact.procedure, Title: fact.title, Fact: fact.ID, Text: fact.Text, Step: fact.Step, Topic: fact.Kind.Topic(), Critical: fact.Critical,
		Cost: x.cost[f], Short: x.short[f], Wanted: fact.wanted, TimesAMonth: fact.timesAMonth, Held: x.held[f], Models: x.modelsOf(f)}
	l.Answers, l.Missed = x.counts(x.of(f))
	for p := range x.people {
		if x.below[f][p] >= 0 {
			l.People++
		}
	}
	missing := 0
	for _, m := range l.Models {
		if m.Missed > 0 {
			missing++
		}
	}
	l.Advice = held.Advise(missing)
	l.Why = l.why()
	return l
}

// modelsOf counts the answers on a fact by the model that asked, worst first.
func (x *analysis) modelsOf(fact int) []LessonModel {
	var out []LessonModel
	for _, h := range x.of(fact) {
		if h.early {
			continue
		}
		name := x.models[h.model]
		i := slices.IndexFunc(out, func(m LessonModel) bool { return m.Model == name })
		if i < 0 {
			i = len(out)
			out = append(out, LessonModel{Model: name})
		}
		out[i].Answers++
		if !h.right {
			out[i].Missed++
		}
	}
	for i, m := range out {
		out[i].Right = held.Proportion(m.Answers-m.Missed, m.Answers)
	}
	slices.SortFunc(out, func(a, b LessonModel) int {
		return cmp.Or(cmp.Compare(a.Right.Value, b.Right.Value), cmp.Compare(a.Model, b.Model))
	})
	return out
}

// cells fills in the people of a part against its facts.
func (x *analysis) cells(v *LessonsView) error {
	from, to := x.shown(v.Ask)
	for _, l := range v.Lines {
		f := x.place[factOf{l.Procedure, l.Fact}]
		row := make([]LessonCell, 0, to-from)
		for p := from; p < to; p++ {
			c, err := x.cell(f, p, !v.Ask.Whole)
			if err != nil {
				return err
			}
			row = append(row, c)
		}
		v.Cells = append(v.Cells, row)
	}
	return nil
}

// cell is one person against one fact.
func (x *analysis) cell(fact, person int, interval bool) (LessonCell, error) {
	c := LessonCell{Theirs: x.below[fact][person] >= 0}
	if !c.Theirs {
		return c, nil
	}
	n, missed := x.counts(x.pair(fact, person))
	c.Answers, c.Right = n, n-missed
	if !interval {
		c.Held = itemstat.Held{Share: itemstat.Figure{Value: float64(x.mean[fact][person]), N: n}, Below: float64(x.below[fact][person])}
		return c, nil
	}
	key := [2]int{fact, person}
	if known, ok := x.pairs.Load(key); ok {
		c.Held = known.(itemstat.Held)
		return c, nil
	}
	var err error
	if c.Held, err = x.model.Pair(person, fact, x.facts[fact].wanted); err == nil {
		x.pairs.Store(key, c.Held)
	}
	return c, err
}
