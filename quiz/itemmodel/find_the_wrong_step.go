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
	listedPool  = 12
)

type wrongStepPlan struct {
	*stepGraph
	lead  content.Fact
	moves []move
}

// move is one of the two steps of the lead's precedence taken out of order.
type move struct {
	moved, partner int   // the partner is the lead's other step
	others         []int // further steps that the moved one is put on the wrong side of
	pool           []int // steps to fill the list with; others among them
	n              int   // steps listed
	count          int
}

func planWrongStep(src *quiz.Source, lead content.Fact) plan {
	g := stepsOf(src)
	if len(g.steps) > mostSteps {
		return none("the procedure has more steps than are looked at")
	}
	p := &wrongStepPlan{stepGraph: g, lead: lead}
	before, after := g.at(lead.Other), g.at(lead.Subject)
	if g.twice[before] || g.twice[after] {
		return none("another step reads the same")
	}
	p.addMove(after, before, g.nearest(after, listedPool, false))
	p.addMove(before, after, g.nearest(before, listedPool, true))
	if len(p.moves) == 0 {
		return none("neither step can be moved so that two precedences are violated")
	}
	return p
}

func (p *wrongStepPlan) addMove(moved, partner int, others []int) {
	m := move{moved: moved, partner: partner}
	for _, e := range others {
		if e != partner && len(m.others) < listedPool/2 {
			m.others = append(m.others, e)
		}
	}
	m.pool = p.round(m)
	if m.n = min(listedMost, 2+len(m.pool)); len(m.others) == 0 || m.n < listedLeast {
		return
	}
	m.count = max(1, choose(len(m.pool), m.n-2)-choose(len(m.pool)-len(m.others), m.n-2))
	p.moves = append(p.moves, m)
}

// round returns others and the steps nearest to the moved one in the order of
// the work, up to listedPool in all.
func (p *wrongStepPlan) round(m move) []int {
	pool := slices.Clone(m.others)
	at := slices.Index(p.topo, m.moved)
	for d := 1; d < len(p.topo) && len(pool) < listedPool; d++ {
		for _, i := range [2]int{at - d, at + d} {
			if i < 0 || i >= len(p.topo) {
				continue
			}
			if e := p.topo[i]; e != m.partner && !p.twice[e] && !slices.Contains(pool, e) {
				pool = append(pool, e)
			}
		}
	}
	return pool
}

// count counts the sets of steps for each step that is moved. Where the moved
// step is put is not counted.
func (p *wrongStepPlan) count() (int, string) {
	sum := 0
	for _, m := range p.moves {
		sum = min(quiz.MaxCount, sum+m.count)
	}
	return sum, ""
}

func (p *wrongStepPlan) write(rnd *rand.Rand) (quiz.Item, error) {
	m := &p.moves[rnd.IntN(len(p.moves))]
	list := p.draw(rnd, m)
	places := p.places(m, list)
	at := places[rnd.IntN(len(places))]
	list = slices.Insert(list, at, m.moved)
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

// draw chooses the steps of the list but for the moved one, in the order of the
// work: the partner, and others of the pool among which there is a second violation.
func (p *wrongStepPlan) draw(rnd *rand.Rand, m *move) []int {
	list := make([]int, 0, m.n)
	for second := false; !second; {
		list = append(list[:0], m.partner)
		for _, i := range some(rnd, len(m.pool), m.n-2) {
			second = second || i < len(m.others)
			list = append(list, m.pool[i])
		}
	}
	slices.SortFunc(list, func(a, b int) int { return p.rank[a] - p.rank[b] })
	return list
}

// places lists where the moved step can be put: on the wrong side of its partner
// and of one more.
func (p *wrongStepPlan) places(m *move, list []int) []int {
	out := make([]int, 0, len(list)+1)
	for at := range len(list) + 1 {
		violated, partner := 0, false
		for i, e := range list {
			if i < at && p.comes(m.moved, e) || i >= at && p.comes(e, m.moved) {
				violated++
				partner = partner || e == m.partner
			}
		}
		if violated >= 2 && partner {
			out = append(out, at)
		}
	}
	return out
}

// shown lists the precedences that the list gives away: those among the steps
// that stand right.
func (p *wrongStepPlan) shown(m *move, list []int) []content.FactID {
	out := p.told(make([]content.FactID, 0, 32), list...)
	for i, a := range list {
		for _, b := range list[i+1:] {
			if f := p.facts[a][b]; f != "" && a != m.moved && b != m.moved && !slices.Contains(out, f) {
				out = append(out, f)
			}
		}
	}
	return out
}

func (p *wrongStepPlan) because(m *move, list []int, e int) string {
	at, moved := slices.Index(list, e), slices.Index(list, m.moved)
	if at < moved && p.comes(m.moved, e) || at > moved && p.comes(e, m.moved) {
		return quoted(p.texts[e]) + " is in its place; it is another step that stands on the wrong side of it."
	}
	return quoted(p.texts[e]) + " is in its place."
}
