package api

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"time"

	"soloright/content"
	"soloright/scoring"
	"soloright/scoring/held"
)

// FactLesson is one fact: what the crew holds of it, who misses it, and what they
// choose instead.
type FactLesson struct {
	Ask     LessonAsk
	AsOf    time.Time
	Working *Progress

	Title    string // of the procedure
	Fact     content.Fact
	StepText string
	Build    string // one that it holds for
	Asked    bool   // within the period; else Line is empty
	Line     LessonLine
	Crews    []LessonGroup
	People   []FactPerson // whose work it is, most likely to hold too little first
	Learning held.Learning
	Instead  []Instead
	Looked   int // at missed answers, the latest
	NotYet   int // set: choices are told from so many answers on
}

// FactPerson is one person on one fact.
type FactPerson struct {
	LessonWho
	LessonCell
	Last time.Time // the last answer; zero: never asked
}

// Instead is what was given in place of the right answer.
type Instead struct {
	Text  string
	Model string
	Count int
}

// The choices of distractors are told from 20 answers on (measurement.md), and
// the latest are looked at.
const (
	choicesFrom  = 20
	mostLookedAt = 100
)

// LessonFact returns one fact for whoever may read results. What is held of it is
// judged among the facts of its procedure, or of all where Among is asked, so that
// it stands here with the figures of the list it was found on.
func (a *App) LessonFact(ctx context.Context, c Caller, ask LessonAsk, fact content.FactID) (FactLesson, error) {
	v := FactLesson{Ask: ask}
	if ask.Procedure == "" {
		return v, invalid("procedure", "Say which procedure's fact it is.")
	}
	if ask.Among {
		v.Ask.Procedure = ""
	}
	x, err := a.lessonsOf(ctx, c, ReadResults, &v.Ask, &v.Working, func(names) {})
	if err != nil {
		return v, err
	}
	v.Ask.Procedure = ask.Procedure
	err = a.read(ctx, c, ReadResults, func(r Reader, _ Actor) error { return a.statedFact(ctx, r, &v, fact) })
	if err != nil || x == nil {
		return v, err
	}
	v.AsOf = x.at
	f, ok := x.place[factOf{ask.Procedure, fact}]
	if !ok {
		return v, nil
	}
	if err := x.factView(&v, f); err != nil {
		return v, err
	}
	if v.Line.Answers < choicesFrom {
		v.NotYet = choicesFrom
		return v, nil
	}
	err = a.store.Read(ctx, func(r Reader) error { return x.instead(ctx, r, &v, f) })
	return v, err
}

// statedFact is a fact as the revision in force states it.
func (a *App) statedFact(ctx context.Context, r Reader, v *FactLesson, id content.FactID) error {
	rev, err := a.current(ctx, r, v.Ask.Procedure)
	if err != nil {
		return err
	}
	p, err := a.content.whole(ctx, r, rev.Procedure, rev.Revision)
	if err != nil {
		return err
	}
	v.Title = p.Title
	for _, f := range content.Facts(p) {
		if f.ID != id {
			continue
		}
		v.Fact = f
		for _, s := range p.Steps {
			if s.ID == f.Step {
				v.StepText = s.Text
			}
		}
		builds, err := a.factBuilds(ctx, r, p)
		if all := slices.Sorted(maps.Keys(builds[id])); len(all) > 0 {
			v.Build = all[0]
		}
		return err
	}
	return notFound("fact")
}

// factView fills in what is known of a fact.
func (x *analysis) factView(v *FactLesson, f int) error {
	if i := slices.Index(x.asked, f); i >= 0 {
		v.Asked, v.Line = true, x.line(i)
	}
	for p := range x.people {
		if x.below[f][p] < 0 {
			continue
		}
		c, err := x.cell(f, p, true)
		if err != nil {
			return err
		}
		who := FactPerson{LessonWho: LessonWho{x.people[p].id, x.people[p].name, x.people[p].crew}, LessonCell: c}
		if own := x.pair(f, p); len(own) > 0 {
			who.Last = x.sittings[own[len(own)-1].sitting].at
		}
		v.People = append(v.People, who)
	}
	slices.SortStableFunc(v.People, func(a, b FactPerson) int { return cmp.Compare(b.Held.Below, a.Held.Below) })
	v.Learning = held.Learn(x.meetings(x.of(f)))
	crews := newGrouping()
	for _, h := range x.of(f) {
		if crew := x.people[h.person].crew; !h.early && crew != "" {
			crews.add(crew, h, x.chances[h.chance])
		}
	}
	var err error
	v.Crews, err = crews.groups(x.facts[f].wanted)
	return err
}

// meetings cuts what was heard, sorted by fact and person, into the meetings of
// each pair.
func (x *analysis) meetings(all []heard) [][]held.Meeting {
	var out [][]held.Meeting
	for i, h := range all {
		if i == 0 || h.person != all[i-1].person || h.fact != all[i-1].fact {
			out = append(out, nil)
		}
		out[len(out)-1] = append(out[len(out)-1], held.Meeting{Right: h.right})
	}
	return out
}

// instead reads what was given in the latest sittings that missed the fact.
func (x *analysis) instead(ctx context.Context, r Reader, v *FactLesson, f int) error {
	var missed []int32
	for _, h := range x.of(f) {
		if !h.early && !h.right && !h.blank {
			missed = append(missed, h.sitting)
		}
	}
	slices.Sort(missed) // sittings are numbered by time
	missed = slices.Compact(missed)
	missed = missed[max(0, len(missed)-mostLookedAt):]
	for _, s := range missed {
		one, err := r.ResponsesOf(ctx, x.sittings[s].id)
		if errors.Is(err, ErrNone) {
			continue
		}
		if err != nil {
			return fmt.Errorf("read responses of %s: %w", x.sittings[s].id, err)
		}
		for _, sheet := range one.Sheets {
			v.add(sheet)
		}
	}
	slices.SortStableFunc(v.Instead, func(a, b Instead) int {
		return cmp.Or(cmp.Compare(b.Count, a.Count), cmp.Compare(a.Model, b.Model), cmp.Compare(a.Text, b.Text))
	})
	return nil
}

// add counts what a sheet gave instead, where it missed the fact.
func (v *FactLesson) add(sheet Response) {
	i := slices.IndexFunc(sheet.Facts, func(f FactResponse) bool { return f.Fact == v.Fact.ID })
	if i < 0 || sheet.Left || sheet.Facts[i].State != scoring.Wrong {
		return
	}
	v.Looked++
	for _, text := range sheet.given(v.Fact.ID) {
		at := slices.IndexFunc(v.Instead, func(x Instead) bool { return x.Text == text && x.Model == sheet.Model })
		if at < 0 {
			at = len(v.Instead)
			v.Instead = append(v.Instead, Instead{Text: text, Model: sheet.Model})
		}
		v.Instead[at].Count++
	}
}

// given is what a sheet gave wrongly on a fact: the options chosen, the number
// typed, and where neither says it, the mistakes that the answer shows.
func (r Response) given(fact content.FactID) []string {
	var out []string
	for _, o := range r.Options {
		if o.Chosen && !o.Right && (o.Fact == fact || o.Fact == "" || r.Lead == fact && len(r.Facts) == 1) {
			out = append(out, o.Text)
		}
	}
	switch {
	case len(out) > 0:
		return out
	case r.Number != "":
		return []string{r.Number}
	}
	return r.Said
}
