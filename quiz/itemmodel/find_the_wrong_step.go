package itemmodel

import (
	"math/rand/v2"
	"slices"

	"soloright/content"
	"soloright/quiz"
)

// findTheWrongStep lists steps in a right order but for one, which was moved so
// that at least two precedences are violated, among them the lead's, all through
// that step. Then it is the only step whose removal leaves a valid order: to
// remove another leaves at least one of the violations.
var findTheWrongStep = &model{name: "find-the-wrong-step", version: 1, kinds: []content.FactKind{content.KindPrecede}, plan: planWrongStep}

// The bounds of the list: steps shown, and steps round the moved one that are drawn from.
const (
	listedMost  = 7
	listedLeast = 4
	listedPool  = 16
)

type wrongStepPlan struct {
	*stepGraph
	lead   content.Fact
	n      int // steps listed
	moves  []*move
	places [][]draw // by the place of the moved step: how it can come to stand there
	open   []int    // the places where it can
}

// move is one of the two steps of the lead's precedence taken out of order.
type move struct {
	moved, partner int   // the partner is the lead's other step
	late           bool  // it is moved to a later place
	others         []int // further steps that the moved one may be put on the wrong side of
	pool           []int // steps to fill the list with; others stand first among them
}

// draw is a way to put the moved step in one place: with the partner and another
// step on its wrong side, and enough steps of the pool beyond those two.
type draw struct {
	*move
	other  int
	beyond []int
	need   int // how many of those beyond must be listed
}

func planWrongStep(src *quiz.Source, lead content.Fact) plan {
	g := stepsOf(src)
	if len(g.steps) > mostSteps {
		return none("the procedure has more steps than are looked at")
	}
	p := &wrongStepPlan{stepGraph: g, lead: lead, n: listedMost}
	before, after := g.at(lead.Other), g.at(lead.Subject)
	if g.twice[before] || g.twice[after] {
		return none("another step reads the same")
	}
	p.addMove(&move{moved: after, partner: before}, g.nearest(after, listedPool, false))
	p.addMove(&move{moved: before, partner: after, late: true}, g.nearest(before, listedPool, true))
	if len(p.moves) == 0 {
		return none("neither step can be moved so that two precedences are violated")
	}
	p.places = make([][]draw, p.n)
	for at := range p.places {
		if p.findDraws(at); len(p.places[at]) > 0 {
			p.open = append(p.open, at)
		}
	}
	return p
}

func (p *wrongStepPlan) addMove(m *move, others []int) {
	for _, e := range others {
		if e != m.partner && len(m.others) < listedPool/2 {
			m.others = append(m.others, e)
		}
	}
	m.pool = p.round(m)
	if n := 2 + len(m.pool); len(m.others) > 0 && n >= listedLeast {
		p.n = min(p.n, n)
		p.moves = append(p.moves, m)
	}
}

// round returns others and further steps, up to listedPool in all: those first
// that give nothing away, and of these the nearest to the moved one.
func (p *wrongStepPlan) round(m *move) []int {
	var near []int
	at := p.rank[m.moved]
	for d := 1; d < len(p.topo); d++ {
		for _, i := range [2]int{at - d, at + d} {
			if i < 0 || i >= len(p.topo) {
				continue
			}
			if e := p.topo[i]; e != m.partner && !p.twice[e] && !slices.Contains(m.others, e) {
				near = append(near, e)
			}
		}
	}
	return append(slices.Clone(m.others), p.quiet(near, listedPool-len(m.others))...)
}

// findDraws finds the ways to put a moved step in the place. Moved early it must
// stand before partner and other, so as many steps as stand before it must stand
// before those two; moved late the other way about.
func (p *wrongStepPlan) findDraws(at int) {
	for _, m := range p.moves {
		for _, o := range m.others {
			d := draw{move: m, other: o, need: at}
			if m.late {
				d.need = p.n - 1 - at
			}
			for _, e := range m.pool {
				if m.late && p.rank[e] > max(p.rank[m.partner], p.rank[o]) || !m.late && p.rank[e] < min(p.rank[m.partner], p.rank[o]) {
					d.beyond = append(d.beyond, e)
				}
			}
			if d.need <= min(len(d.beyond), p.n-3) {
				p.places[at] = append(p.places[at], d)
			}
		}
	}
}

// count counts the sets of steps for each step that is moved. Where the moved
// step is put is not counted.
func (p *wrongStepPlan) count() (int, string) {
	sum := 0
	for _, m := range p.moves {
		sets := choose(len(m.pool), p.n-2) - choose(len(m.pool)-len(m.others), p.n-2)
		sum = min(quiz.MaxCount, sum+sets)
	}
	return sum, ""
}

func (p *wrongStepPlan) write(rnd *rand.Rand) (quiz.Item, error) {
	at := p.open[rnd.IntN(len(p.open))] // every place as likely as any other, as far as the work allows
	draws := p.places[at]
	m := &draws[rnd.IntN(len(draws))]
	list := slices.Insert(p.list(rnd, m), at, m.moved)
	it := quiz.Item{
		Stem:    "This list of work was written down with one step in the wrong place. Which step is it? Not every step of the work is listed.",
		Explain: quoted(p.texts[m.moved]) + " is out of place: " + inside(sentence(p.lead.Text)), Seconds: 20 + 10*len(list), Chance: oneOf(len(list)),
		Interaction: quiz.Interaction{Kind: quiz.Hotspot, Options: make([]quiz.Option, len(list))},
		Key:         quiz.Key{Options: make([]quiz.KeyOption, len(list))},
		Feedback:    make([]quiz.Feedback, 0, len(list)-1),
		Shows:       p.shown(m, list),
	}
	parts := make([]string, 0, len(list))
	for i, e := range list {
		right := e == m.moved
		it.Interaction.Options[i] = quiz.Option{ID: letter(i), Text: p.texts[e]}
		it.Key.Options[i] = quiz.KeyOption{ID: letter(i), Right: right, Fact: p.lead.ID, Dangerous: !right && p.lead.Critical}
		if parts = append(parts, p.ids[e]); !right {
			it.Feedback = append(it.Feedback, quiz.Feedback{Option: letter(i), Text: p.because(m, list, e)})
		}
	}
	it.Signature = signature(p.ids[m.moved], parts)
	return it, nil
}

// list chooses the steps but for the moved one, in the order of the work: the
// partner, the other, those that must stand beyond them, and any of the rest.
func (p *wrongStepPlan) list(rnd *rand.Rand, d *draw) []int {
	list := append(make([]int, 0, p.n), d.partner, d.other)
	for _, i := range some(rnd, len(d.beyond), d.need) {
		list = append(list, d.beyond[i])
	}
	rest := make([]int, 0, listedPool)
	for _, e := range d.pool {
		if !slices.Contains(list, e) {
			rest = append(rest, e)
		}
	}
	for _, i := range some(rnd, len(rest), p.n-1-len(list)) {
		list = append(list, rest[i])
	}
	slices.SortFunc(list, func(a, b int) int { return p.rank[a] - p.rank[b] })
	return list
}

// shown lists the precedences that the list gives away: those among the steps
// that stand right.
func (p *wrongStepPlan) shown(m *draw, list []int) []content.FactID {
	out := p.told(make([]content.FactID, 0, 32), list...)
	for i, a := range list {
		for _, b := range list[i+1:] {
			if f := p.facts[a][b]; f != "" && a != m.moved && b != m.moved {
				out = union(out, f)
			}
		}
	}
	return out
}

func (p *wrongStepPlan) because(m *draw, list []int, e int) string {
	at, moved := slices.Index(list, e), slices.Index(list, m.moved)
	if at < moved && p.comes(m.moved, e) || at > moved && p.comes(e, m.moved) {
		return quoted(p.texts[e]) + " is in its place; it is another step that stands on the wrong side of it."
	}
	return quoted(p.texts[e]) + " is in its place."
}
