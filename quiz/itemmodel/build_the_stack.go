package itemmodel

import (
	"math/bits"
	"math/rand/v2"

	"soloright/content"
	"soloright/quiz"
)

// buildTheStack asks for the order in which layers go into a bore or onto a rod.
// Some layers may be left out, so that there are fresh items; the two of the lead
// fact are always shown. Layers that look alike are shown all or not at all, and
// are interchangeable.
var buildTheStack = &model{onDrawing: true, name: "build-the-stack", version: 1, kinds: []content.FactKind{content.KindLayer}, plan: planStack}

// The bounds of a stack to be built.
const (
	widestStack  = 20   // layers of a stack that is looked at
	handyLayers  = 7    // layers shown, where that can be
	mostLayers   = 9    // layers shown at most
	fewestLayers = 4    // layers shown at least: fewer do not have enough pairs
	mostSets     = 2000 // sets of layers that are kept
)

type stackPlan struct {
	*stack
	src  *quiz.Source
	sets []uint64 // layers shown, as bits
}

func planStack(src *quiz.Source, lead content.Fact) plan {
	p := &stackPlan{src: src, stack: stackOf(src, lead.Subject)}
	n := len(p.st.Layers)
	if n > widestStack {
		return none("the stack has more layers than one item can ask for")
	}
	two := p.whole(1<<p.order.at(lead.Other) | 1<<p.order.at(lead.Sub))
	most := min(handyLayers, n)
	for k := most; k >= max(fewestLayers, most-2); k-- {
		p.addSets(k, two)
	}
	for k := most + 1; k <= min(mostLayers, n) && len(p.sets) == 0; k++ {
		p.addSets(k, two)
	}
	if len(p.sets) == 0 {
		return none("the stack states too few layers one after another for an order item")
	}
	return p
}

// addSets adds the sets of k layers that hold the lead's two and have enough
// pairs, as long as there is room.
func (p *stackPlan) addSets(k int, two uint64) {
	for set := uint64(1)<<k - 1; set < 1<<len(p.st.Layers) && len(p.sets) < mostSets; set = nextOfSameSize(set) {
		if set&two == two && p.whole(set) == set && p.order.pairsAmong(set) >= fewestPairs {
			p.sets = append(p.sets, set)
		}
	}
}

// nextOfSameSize returns the next greater number with as many bits set.
func nextOfSameSize(x uint64) uint64 {
	low := x & -x
	ripple := x + low
	return ripple | (x^ripple)/low>>2
}

// count is exact up to mostSets and a lower bound above.
func (p *stackPlan) count() (int, string) { return len(p.sets), "" }

func (p *stackPlan) write(rnd *rand.Rand) (quiz.Item, error) {
	set := p.sets[rnd.IntN(len(p.sets))]
	shown := p.order.sorted(set)
	it, err := p.order.item(p.src, rnd, shown, p.alike, false)
	if err != nil {
		return it, err
	}
	parts := make([]string, len(shown))
	for i, e := range shown {
		parts[i] = p.order.texts[e]
	}
	it.Signature, it.Shows = signature("", parts), p.counts(p.src, shown)
	it.Stem = p.stem(bits.OnesCount64(set), len(it.Key.Alike) > 0)
	it.Explain = "One right order: " + p.order.inWords(shown) + "."
	it.Figure = p.figure(nil, len(shown), rnd.IntN(2) == 0)
	p.draw(&it)
	return it, nil
}

// draw gives each option the section of its part; no way round is drawn, since
// that is a fact of its own.
func (p *stackPlan) draw(it *quiz.Item) {
	for i := range it.Interaction.Options {
		o := &it.Interaction.Options[i]
		for e, t := range p.order.texts {
			if t == o.Text {
				o.Drawn = p.drawn[e]
				break
			}
		}
	}
}

func (p *stackPlan) stem(shown int, alike bool) string {
	s := sentence(p.st.Title) + " In what order do these go " + p.place() + "?"
	if shown < len(p.st.Layers) {
		s += " Not every layer is shown."
	}
	if alike {
		s += " Identical parts may change places."
	}
	return s
}
