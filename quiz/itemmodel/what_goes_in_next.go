package itemmodel

import (
	"math/rand/v2"
	"slices"

	"soloright/content"
	"soloright/quiz"
)

// whatGoesInNext shows a stack with some layers in place and asks for the next.
// Wrong are layers whose needs are not all in, and kinds of layer that are all in
// already; a layer that could go in as well is never an option.
var whatGoesInNext = &model{name: "what-goes-in-next", version: 1, kinds: []content.FactKind{content.KindLayer}, plan: planNext}

// mostStates is how many states of a stack are looked at.
const mostStates = 4096

// state is a set of layers in place, each with all that it needs, and what may
// come next. States that look alike are one state: what is open in any of them
// is never wrong, and only what is open in all of them is right.
type state struct {
	placed  uint64
	openAny uint64 // kinds of which a layer can go in, in some reading
	openAll uint64 // in every reading
}

type statesKey struct{ stack string }

// states returns every state of the stack by its look, nil where there are too many.
func (s *stack) states(src *quiz.Source) []state {
	return quiz.Keep(src, statesKey{s.st.ID}, func() []state { return s.findStates() })
}

func (s *stack) findStates() []state {
	var out []state
	looks := map[string]int{}
	seen := map[uint64]bool{0: true}
	for queue := []uint64{0}; len(queue) > 0; queue = queue[1:] {
		set := queue[0]
		open := s.open(set)
		kinds := s.kindsOf(open)
		look := s.look(set)
		if i, ok := looks[look]; ok {
			out[i].openAny |= kinds
			out[i].openAll &= kinds
		} else {
			looks[look] = len(out)
			out = append(out, state{set, kinds, kinds})
		}
		for e := range s.order.ids {
			if next := set | 1<<e; open>>e&1 == 1 && !seen[next] {
				seen[next] = true
				queue = append(queue, next)
			}
		}
		if len(seen) > mostStates {
			return nil
		}
	}
	return out
}

// open returns the layers that can go in next.
func (s *stack) open(placed uint64) uint64 {
	var out uint64
	for e := range s.order.ids {
		ok := placed>>e&1 == 0
		for a := range s.order.ids {
			ok = ok && (!s.order.comes(a, e) || placed>>a&1 == 1)
		}
		if ok {
			out |= 1 << e
		}
	}
	return out
}

// kindsOf replaces each layer by the first that looks the same.
func (s *stack) kindsOf(set uint64) uint64 {
	var out uint64
	for e, k := range s.kind {
		if set>>e&1 == 1 {
			out |= 1 << k
		}
	}
	return out
}

// look counts the layers of each kind in a set.
func (s *stack) look(set uint64) string {
	b := make([]byte, len(s.kind))
	for e, k := range s.kind {
		if set>>e&1 == 1 {
			b[k]++
		}
	}
	return string(b)
}

type nextPlan struct {
	*stack
	lead  content.Fact
	key   int // the kind of the lead's layer
	stem  string
	cases []nextCase
	total int
}

// nextCase is one state with the wrong kinds that it offers.
type nextCase struct {
	placed []int
	wrong  []int
	shows  []content.FactID
	count  int
}

func planNext(src *quiz.Source, lead content.Fact) plan {
	s := stackOf(src, lead.Subject)
	if len(s.st.Layers) > widestStack {
		return none("the stack has more layers than one item can ask for")
	}
	layer := s.order.at(lead.Sub)
	p := &nextPlan{stack: s, lead: lead, key: s.kind[layer]}
	p.stem = sentence(s.st.Title) + " The layers drawn went " + s.place() + ". What goes " + s.way() + " next?"
	for _, st := range s.states(src) {
		if s.open(st.placed)>>layer&1 == 1 && st.openAll>>p.key&1 == 1 {
			p.addCase(src, st)
		}
	}
	if p.total == 0 {
		return none("no state of the stack leaves two layers that are stated not to come next")
	}
	return p
}

func (p *nextPlan) addCase(src *quiz.Source, st state) {
	c := nextCase{placed: p.order.sorted(st.placed)}
	c.shows = p.counts(src, c.placed)
	for e, k := range p.kind {
		if e == k && st.openAny>>k&1 == 0 {
			c.wrong = append(c.wrong, k)
		}
	}
	if len(c.wrong) < fewestWrong {
		return
	}
	for _, f := range src.Index.Of(content.KindLayer) {
		if f.Subject == p.st.ID && st.placed>>p.order.at(f.Sub)&1 == 1 {
			c.shows = append(c.shows, f.ID)
		}
	}
	c.count = choose(len(c.wrong), min(3, len(c.wrong)))
	p.total = min(quiz.MaxCount, p.total+c.count)
	p.cases = append(p.cases, c)
}

func (p *nextPlan) count() (int, string) { return p.total, "" }

func (p *nextPlan) write(rnd *rand.Rand) (quiz.Item, error) {
	c := &p.cases[p.pick(rnd)]
	wrong := some(rnd, len(c.wrong), min(3, len(c.wrong)))
	kinds := make([]int, 0, len(wrong)+1)
	for _, w := range wrong {
		kinds = append(kinds, c.wrong[w])
	}
	kinds = shuffled(rnd, append(kinds, p.key))
	it := quiz.Item{
		Stem: p.stem, Explain: sentence(p.lead.Text), Seconds: 45, Chance: oneOf(len(kinds)), Shows: slices.Clone(c.shows),
		Figure:      p.figure(c.placed, len(p.st.Layers), rnd.IntN(2) == 0),
		Interaction: quiz.Interaction{Kind: quiz.Choice, Options: make([]quiz.Option, len(kinds))},
		Key:         quiz.Key{Options: make([]quiz.KeyOption, len(kinds))},
		Feedback:    make([]quiz.Feedback, 0, len(kinds)-1),
	}
	parts := make([]string, 0, len(kinds)+len(c.placed))
	for i, k := range kinds {
		right := k == p.key
		it.Interaction.Options[i] = quiz.Option{ID: letter(i), Text: p.order.texts[k], Drawn: p.drawn[k]}
		it.Key.Options[i] = quiz.KeyOption{ID: letter(i), Right: right, Fact: p.lead.ID, Dangerous: !right && p.lead.Critical}
		if parts = append(parts, p.order.texts[k]); !right {
			it.Feedback = append(it.Feedback, quiz.Feedback{Option: letter(i), Text: p.because(c, k)})
		}
	}
	for _, e := range c.placed {
		parts = append(parts, "in:"+p.order.texts[e])
	}
	it.Signature = signature(p.order.texts[p.key], parts)
	return it, nil
}

// pick chooses a case so that every item that count counts is as likely as any other.
func (p *nextPlan) pick(rnd *rand.Rand) int {
	at := rnd.IntN(p.total)
	for i := range p.cases {
		if at -= p.cases[i].count; at < 0 {
			return i
		}
	}
	return len(p.cases) - 1
}

// because says why a layer of the kind cannot be next: what the first one not in
// place still needs, or that all are in.
func (p *nextPlan) because(c *nextCase, kind int) string {
	for e, k := range p.kind {
		if k != kind || slices.Contains(c.placed, e) {
			continue
		}
		for a := range p.order.ids {
			if p.order.comes(a, e) && !slices.Contains(c.placed, a) {
				return sentence("the " + p.order.texts[kind] + " needs the " + p.order.texts[a] + " in first")
			}
		}
	}
	return sentence("every " + p.order.texts[kind] + " of this stack is in already")
}
