package itemmodel

import (
	"math/rand/v2"
	"slices"
	"strconv"

	"soloright/content"
	"soloright/quiz"
)

// isolateBeforeOpening asks for the order of isolation: prepare, shut down, then
// for each source isolate, lock, relieve and prove, and every proof before the
// first opening. Sources may interleave. On the facts of the return to service
// it asks for that order. It is all right or all wrong, and always critical.
var isolateBeforeOpening = &model{name: "isolate-before-opening", version: 1,
	kinds: []content.FactKind{content.KindIsolation, content.KindRestore}, plan: planIsolation}

func planIsolation(src *quiz.Source, lead content.Fact) plan {
	iso := src.Procedure.Isolation
	if iso == nil {
		return none("the procedure states no isolation")
	}
	if lead.Kind == content.KindRestore {
		return planRestore(src, lead, iso)
	}
	g := isolationOf(src, iso)
	p := &isolationPlan{src: src, order: g.order, lead: lead, told: g.told, stem: "Put this in the order in which it is done, from the first act to the first opening."}
	for _, energies := range g.energySets(lead) {
		for _, prepare := range g.prepareSets(len(energies)) {
			p.sets = append(p.sets, slices.Concat(prepare, []int{g.shutdown}, slices.Concat(energies...), []int{g.opening}))
		}
	}
	return p.checked()
}

// planRestore shows four or more of the acts of the return to service, the
// lead's and the one before it among them.
func planRestore(src *quiz.Source, lead content.Fact, iso *content.Isolation) plan {
	n := len(iso.Restore)
	ids, texts, edges := make([]string, n), make([]string, n), []edge{}
	for i, a := range iso.Restore {
		if ids[i], texts[i] = a.ID, a.Text; i > 0 {
			edges = append(edges, edge{i - 1, i, content.FactID("restore/" + a.ID)})
		}
	}
	o := newOrder(src.Index, ids, texts, edges)
	p := &isolationPlan{src: src, order: o, lead: lead, stem: "The work is done. Put the return to service in order."}
	at := o.at(lead.Subject)
	for k := min(n, handyLayers); k >= fewestLayers && at > 0 && n <= widestStack; k-- {
		for set := uint64(1)<<k - 1; set < 1<<n && len(p.sets) < mostSets; set = nextOfSameSize(set) {
			if set>>at&1 == 1 && set>>(at-1)&1 == 1 {
				p.sets = append(p.sets, o.sorted(set))
			}
		}
	}
	return p.checked()
}

// isolation is the order of isolation of a procedure.
type isolation struct {
	*order
	prepare           []int
	shutdown, opening int
	energies          [][]int // isolate, lock, relieve, prove
	energyIDs         []string
	told              [][]content.FactID // by act: what its text gives away, such as how zero is proved
}

type isolationKey struct{}

func isolationOf(src *quiz.Source, iso *content.Isolation) *isolation {
	return quiz.Keep(src, isolationKey{}, func() *isolation { return newIsolation(src, iso) })
}

// newIsolation numbers the acts and gives each pair the fact that states it:
// what follows the preparation or the shutdown belongs to isolation/shutdown,
// what comes before the first opening to isolation/opening, the acts on one
// source to that source's fact.
func newIsolation(src *quiz.Source, iso *content.Isolation) *isolation {
	g := &isolation{}
	var ids, texts []string
	add := func(id, text string) int {
		ids, texts = append(ids, id), append(texts, text)
		return len(ids) - 1
	}
	for _, a := range iso.Prepare {
		g.prepare = append(g.prepare, add("prepare/"+a.ID, a.Text))
	}
	g.shutdown = add("shutdown", iso.Shutdown.Text)
	plain := actsDiffer(src.Procedure.Energies)
	for _, e := range src.Procedure.Energies {
		var acts []int
		for i, text := range [4]string{e.Isolate, e.Lock, e.Relieve, e.Prove} {
			if !plain {
				text = sentenceHead(e.Source) + ": " + inside(text)
			}
			acts = append(acts, add(e.ID+"/"+strconv.Itoa(i), text))
		}
		g.energies, g.energyIDs = append(g.energies, acts), append(g.energyIDs, e.ID)
	}
	g.opening = add("opening", iso.FirstOpening.Text)
	for _, text := range texts {
		g.told = append(g.told, toldBy(src, text, nil))
	}
	g.order = blankOrder(ids, texts)
	g.statePairs()
	g.settle(src.Index)
	return g
}

// actsDiffer reports whether every act on every source reads differently, so
// that no source need be named.
func actsDiffer(energies []content.Energy) bool {
	var seen []string
	for _, e := range energies {
		for _, text := range [4]string{e.Isolate, e.Lock, e.Relieve, e.Prove} {
			if slices.ContainsFunc(seen, func(s string) bool { return sameText(s, text) }) {
				return false
			}
			seen = append(seen, text)
		}
	}
	return true
}

func (g *isolation) statePairs() {
	head := append(slices.Clone(g.prepare), g.shutdown)
	for e := range g.ids {
		for i, h := range head {
			if !slices.Contains(head[:i+1], e) {
				g.facts[h][e] = "isolation/shutdown"
			}
		}
	}
	for k, acts := range g.energies {
		for i, a := range acts {
			g.facts[a][g.opening] = "isolation/opening"
			for _, b := range acts[i+1:] {
				g.facts[a][b] = content.FactID("isolation/" + g.energyIDs[k])
			}
		}
	}
}

// energySets lists the sets of one or two sources that an item may show: the
// lead's own among them.
func (g *isolation) energySets(lead content.Fact) [][][]int {
	own := slices.Index(g.energyIDs, lead.Subject)
	var out [][][]int
	for i, a := range g.energies {
		if own < 0 || own == i {
			out = append(out, [][]int{a})
		}
		for j, b := range g.energies[i+1:] {
			if own < 0 || own == i || own == i+1+j {
				out = append(out, [][]int{a, b})
			}
		}
	}
	return out
}

// prepareSets lists the acts of preparation that an item may show: one with two
// sources, one or two with one.
func (g *isolation) prepareSets(energies int) [][]int {
	if len(g.prepare) == 0 {
		return [][]int{nil}
	}
	var out [][]int
	for i, a := range g.prepare {
		out = append(out, []int{a})
		for _, b := range g.prepare[i+1:] {
			if energies == 1 {
				out = append(out, []int{a, b})
			}
		}
	}
	return out
}

type isolationPlan struct {
	*order
	src  *quiz.Source
	lead content.Fact
	stem string
	told [][]content.FactID // by act: what its text gives away
	sets [][]int            // what is shown, in one order that is right
}

// checked refuses sets in which two acts read the same, or with too few pairs.
func (p *isolationPlan) checked() plan {
	p.sets = slices.DeleteFunc(p.sets, func(set []int) bool {
		bits := uint64(0)
		for i, a := range set {
			bits |= 1 << a
			if slices.ContainsFunc(set[:i], func(b int) bool { return sameText(p.texts[a], p.texts[b]) }) {
				return true
			}
		}
		return len(set) > quiz.MaxThings || p.pairsAmong(bits) < fewestPairs
	})
	if len(p.sets) == 0 {
		return none("too few acts are stated one after another, or two read the same")
	}
	return p
}

func (p *isolationPlan) count() (int, string) { return len(p.sets), "" }

func (p *isolationPlan) write(rnd *rand.Rand) (quiz.Item, error) {
	set := p.sets[rnd.IntN(len(p.sets))]
	it, err := p.item(p.src, rnd, set, nil, true)
	if err != nil {
		return it, err
	}
	parts := make([]string, len(set))
	for i, e := range set {
		parts[i] = p.texts[e]
		if p.told != nil {
			it.Shows = union(it.Shows, p.told[e]...)
		}
	}
	it.Signature = signature("", parts)
	it.Stem = p.stem
	it.Explain = sentence(p.lead.Text) + " One right order: " + p.inWords(set) + "."
	return it, nil
}
