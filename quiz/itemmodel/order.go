package itemmodel

import (
	"math/bits"
	"math/rand/v2"

	"soloright/content"
	"soloright/quiz"
)

// fewestPairs is how many comparable pairs an order item has at least.
const fewestPairs = 6

// edge is one stated precedence.
type edge struct {
	before, after int
	fact          content.FactID
}

// order is a partial order of things that the procedure states: layers, steps,
// acts. It is worked out once and then only read.
type order struct {
	ids      []string
	texts    []string           // as an option shows them
	facts    [][]content.FactID // facts[a][b]: the fact that states that a comes before b; "" where nothing does
	critical [][]bool
	rank     []int // the place of each thing in topo
	topo     []int // one order of the work: always the first in the file's order whose needs are met
}

// newOrder closes the stated precedences. A derived pair (a, c) belongs to the
// fact of the last edge into c on the shortest path from a to c, of several
// shortest paths the one that is least by the ids of its things in
// lexicographic order. The cost is things × precedences.
func newOrder(ix *content.Index, ids, texts []string, edges []edge) *order {
	o := blankOrder(ids, texts)
	for c := range ids {
		o.pairsInto(c, edges)
	}
	o.settle(ix)
	return o
}

func blankOrder(ids, texts []string) *order {
	o := &order{ids: ids, texts: texts, facts: make([][]content.FactID, len(ids)), critical: make([][]bool, len(ids))}
	for i := range ids {
		o.facts[i], o.critical[i] = make([]content.FactID, len(ids)), make([]bool, len(ids))
	}
	return o
}

// pairsInto fills in facts[a][c] for every a, nearest first.
func (o *order) pairsInto(c int, edges []edge) {
	near := []int{c}
	far := make([]int, len(o.ids)) // 1 + edges to c; 0: not reached
	far[c] = 1
	for len(near) > 0 {
		var next []int
		for _, b := range near {
			for _, e := range edges {
				if e.after == b && far[e.before] == 0 {
					far[e.before] = far[b] + 1
					next = append(next, e.before)
				}
			}
		}
		for _, a := range next {
			o.facts[a][c] = o.lastFact(a, c, far, edges)
		}
		near = next
	}
}

// lastFact steps from a to the neighbour with the least id that is nearer to c.
func (o *order) lastFact(a, c int, far []int, edges []edge) content.FactID {
	best := -1
	for i, e := range edges {
		if e.before == a && far[e.after] > 0 && far[e.after] == far[a]-1 && (best < 0 || o.ids[e.after] < o.ids[edges[best].after]) {
			best = i
		}
	}
	if edges[best].after == c {
		return edges[best].fact
	}
	return o.facts[edges[best].after][c]
}

// settle works out what is critical, and one order of the work.
func (o *order) settle(ix *content.Index) {
	n := len(o.ids)
	for a := range n {
		for b := range n {
			if o.facts[a][b] != "" {
				f, _ := ix.Fact(o.facts[a][b])
				o.critical[a][b] = f.Critical
			}
		}
	}
	placed := make([]bool, n)
	o.rank = make([]int, n)
	for range n {
		for e := range n {
			if !placed[e] && o.ready(e, placed) {
				placed[e] = true
				o.rank[e] = len(o.topo)
				o.topo = append(o.topo, e)
				break
			}
		}
	}
}

// ready reports whether everything that must come before e is placed.
func (o *order) ready(e int, placed []bool) bool {
	for a := range o.ids {
		if o.facts[a][e] != "" && !placed[a] {
			return false
		}
	}
	return true
}

func (o *order) comes(a, b int) bool { return o.facts[a][b] != "" }

// at returns the number of the thing, or −1.
func (o *order) at(id string) int {
	for i, x := range o.ids {
		if x == id {
			return i
		}
	}
	return -1
}

// pairsAmong counts the comparable pairs among a set of things.
func (o *order) pairsAmong(set uint64) int {
	n := 0
	for s := set; s != 0; s &= s - 1 {
		a := bits.TrailingZeros64(s)
		for t := set; t != 0; t &= t - 1 {
			if o.facts[a][bits.TrailingZeros64(t)] != "" {
				n++
			}
		}
	}
	return n
}

// sorted returns the things of the set in the order of the work.
func (o *order) sorted(set uint64) []int {
	out := make([]int, 0, bits.OnesCount64(set))
	for _, e := range o.topo {
		if set>>e&1 == 1 {
			out = append(out, e)
		}
	}
	return out
}

// orderItem writes an order item on the things given in the order of the work.
// alike numbers identical things alike, from 1; 0 is a thing of its own.
func (o *order) item(src *quiz.Source, rnd *rand.Rand, shown []int, alike []int, allRight bool) (quiz.Item, error) {
	chance, err := o.chance(src, shown, alike, allRight)
	if err != nil {
		return quiz.Item{}, err
	}
	n := len(shown)
	place := rnd.Perm(n) // place[i]: where shown[i] stands among the options
	it := quiz.Item{
		Chance: chance, Seconds: 20 + 12*n,
		Interaction: quiz.Interaction{Kind: quiz.Order, Options: make([]quiz.Option, n)},
		Key:         quiz.Key{AllRight: allRight, Pairs: make([]quiz.KeyPair, 0, n*(n-1)/2), Alike: alikeLetters(shown, alike, place)},
		Feedback:    make([]quiz.Feedback, 0, 2*n),
	}
	for i, e := range shown {
		it.Interaction.Options[place[i]] = quiz.Option{ID: letter(place[i]), Text: o.texts[e]}
	}
	for i, a := range shown {
		for j, b := range shown {
			if fact := o.facts[a][b]; fact != "" {
				it.Key.Pairs = append(it.Key.Pairs, quiz.KeyPair{Before: letter(place[i]), After: letter(place[j]), Fact: fact})
				if !o.between(shown, a, b) {
					it.Feedback = append(it.Feedback, quiz.Feedback{Option: letter(place[j]), Before: letter(place[i]), Text: "“" + o.texts[b] + "” comes after “" + o.texts[a] + "”."})
				}
			}
		}
	}
	return it, nil
}

// between reports whether one of the shown things stands between a and b.
func (o *order) between(shown []int, a, b int) bool {
	for _, x := range shown {
		if o.facts[a][x] != "" && o.facts[x][b] != "" {
			return true
		}
	}
	return false
}

func alikeLetters(shown, alike, place []int) [][]string {
	var out [][]string
	for i, e := range shown {
		if alike == nil || alike[e] == 0 {
			continue
		}
		var set []string
		for j, f := range shown {
			if alike[f] == alike[e] {
				if j < i {
					set = nil
					break
				}
				set = append(set, letter(place[j]))
			}
		}
		if len(set) > 1 {
			out = append(out, set)
		}
	}
	return out
}

// shape is what the chance mark of an order depends on. Things are in the order
// of the work, so that the many sets that demand the same share one shape.
type shape struct {
	n        uint8
	allRight bool
	needs    [quiz.MaxThings]uint16
	critical [quiz.MaxThings]uint16
	alike    [quiz.MaxThings]uint8
}

type shapeChance struct {
	chance quiz.Chance
	err    error
}

func (o *order) chance(src *quiz.Source, shown, alike []int, allRight bool) (quiz.Chance, error) {
	s := shape{n: uint8(len(shown)), allRight: allRight}
	for j, b := range shown {
		for i, a := range shown {
			if o.facts[a][b] != "" {
				s.needs[j] |= 1 << i
				if o.critical[a][b] {
					s.critical[j] |= 1 << i
				}
			}
			if alike != nil && alike[a] != 0 && alike[a] == alike[b] && s.alike[j] == 0 {
				s.alike[j] = uint8(i + 1)
			}
		}
	}
	c := quiz.Keep(src, s, func() shapeChance { return s.chance() })
	return c.chance, c.err
}

func (s shape) chance() shapeChance {
	var pairs []quiz.Pair
	sets := map[uint8][]int{}
	for j := range int(s.n) {
		for i := range int(s.n) {
			if s.needs[j]>>i&1 == 1 {
				pairs = append(pairs, quiz.Pair{Before: i, After: j, Critical: s.critical[j]>>i&1 == 1})
			}
		}
		if s.alike[j] != 0 {
			sets[s.alike[j]] = append(sets[s.alike[j]], j)
		}
	}
	var alike [][]int
	for j := range int(s.n) {
		if set := sets[uint8(j+1)]; len(set) > 1 {
			alike = append(alike, set)
		}
	}
	c, err := quiz.ChanceOfOrder(int(s.n), pairs, alike, s.allRight)
	return shapeChance{c, err}
}
