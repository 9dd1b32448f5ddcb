package itemmodel

import (
	"math/rand/v2"

	"soloright/content"
	"soloright/quiz"
)

// whatMustBeDoneFirst asks what must be done before a step. Right are steps that
// come before it, directly or through others; wrong are steps that come after it.
// Steps that the procedure leaves free are never options.
var whatMustBeDoneFirst = &model{name: "what-must-be-done-first", version: 1, kinds: []content.FactKind{content.KindPrecede}, plan: planFirst}

// The bounds of the options of what must be done first.
const (
	stepsAsked = 5 // options, where there are as many
	stepsLeast = 4
	stepsRight = 3 // right ones at most
	stepsPool  = 8 // nearest steps on either side that are options
)

type firstPlan struct {
	*stepGraph
	lead   content.Fact
	step   int
	after  int   // the lead's other step, always an option
	right  []int // further right steps
	wrong  []int
	splits []split
}

func planFirst(src *quiz.Source, lead content.Fact) plan {
	g := stepsOf(src)
	p := &firstPlan{stepGraph: g, lead: lead, step: g.at(lead.Subject), after: g.at(lead.Other)}
	if g.twice[p.step] || g.twice[p.after] {
		return none("another step reads the same")
	}
	for _, e := range g.nearest(p.step, stepsPool, false) {
		if e != p.after {
			p.right = append(p.right, e)
		}
	}
	p.wrong = g.nearest(p.step, stepsPool, true)
	if len(p.wrong) == 0 {
		return none("no step is stated to come after it, so none is stated to be wrong")
	}
	n := min(stepsAsked, 1+len(p.right)+len(p.wrong))
	for _, s := range splits(n, 1, len(p.right), len(p.wrong)) {
		if s.right <= stepsRight {
			p.splits = append(p.splits, s)
		}
	}
	if n < stepsLeast || len(p.splits) == 0 {
		return none("too few steps are stated to come before and after it")
	}
	return p
}

func (p *firstPlan) count() (int, string) { return allWays(p.splits), "" }

func (p *firstPlan) write(rnd *rand.Rand) (quiz.Item, error) {
	s := p.splits[rnd.IntN(len(p.splits))]
	shown := append(make([]int, 0, stepsAsked+1), p.after)
	for _, i := range some(rnd, len(p.right), s.right-1) {
		shown = append(shown, p.right[i])
	}
	for _, i := range some(rnd, len(p.wrong), s.wrong) {
		shown = append(shown, p.wrong[i])
	}
	ticks := make([]tick, 0, len(shown))
	for _, e := range shown {
		ticks = append(ticks, p.tick(e))
	}
	it := writeMultiple(rnd, "Before you come to "+quoted(p.texts[p.step])+": what must be done first? Tick every one.", ticks)
	it.Explain, it.Shows = sentence(p.lead.Text), p.told(nil, append(shown, p.step)...)
	return it, nil
}

// tick gives an option the fact of its pair with the step. To tick a step that
// comes after is dangerous where that step is critical.
func (p *firstPlan) tick(e int) tick {
	if p.comes(e, p.step) {
		return tick{text: p.texts[e], fact: p.facts[e][p.step]}
	}
	return tick{text: p.texts[e], fact: p.facts[p.step][e], dangerous: p.critical[p.step][e],
		because: quoted(p.texts[e]) + " comes after: it needs " + quoted(p.texts[p.step]) + " done."}
}
