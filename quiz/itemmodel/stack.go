package itemmodel

import (
	"strconv"
	"strings"

	"soloright/content"
	"soloright/quiz"
)

// stack is what the models of a stack share: its layers as a partial order, and
// which of them look alike.
type stack struct {
	st    *content.Stack
	order *order
	alike []int // by look, from 1; 0: no other layer looks so
	kind  []int // the first layer that looks the same
	drawn []*quiz.Drawn
}

type stackKey struct{ stack string }

func stackOf(src *quiz.Source, id string) *stack {
	return quiz.Keep(src, stackKey{id}, func() *stack { return newStack(src, id) })
}

func newStack(src *quiz.Source, id string) *stack {
	st := src.Index.Stack(id)
	n := len(st.Layers)
	s := &stack{st: st, alike: make([]int, n), kind: make([]int, n), drawn: make([]*quiz.Drawn, n)}
	ids, texts, at := make([]string, n), make([]string, n), map[string]int{}
	for i, l := range st.Layers {
		ids[i], texts[i], at[l.ID] = l.ID, partName(src, l.Part), i
		s.drawn[i] = &quiz.Drawn{Shape: partShape(src, l.Part)}
	}
	s.findAlike(texts)
	var edges []edge
	for _, f := range src.Index.Of(content.KindLayer) {
		if f.Subject == id {
			edges = append(edges, edge{at[f.Other], at[f.Sub], f.ID})
		}
	}
	s.order = newOrder(src.Index, ids, texts, edges)
	return s
}

func (s *stack) findAlike(texts []string) {
	for i := range texts {
		s.kind[i] = i
		for j := range i {
			if sameText(texts[j], texts[i]) {
				s.kind[i] = s.kind[j]
				s.alike[i], s.alike[s.kind[j]] = s.kind[j]+1, s.kind[j]+1
				break
			}
		}
	}
}

// whole adds to a set every layer that looks like one in it: shown in part, they
// could not be told apart, and there would be two right answers.
func (s *stack) whole(set uint64) uint64 {
	for i, k := range s.alike {
		for j, l := range s.alike {
			if k != 0 && k == l && set>>i&1 == 1 {
				set |= 1 << j
			}
		}
	}
	return set
}

// figure draws the bore or the rod with the layers that are placed, in the order of the work.
func (s *stack) figure(placed []int, places int, mirrored bool) *quiz.Figure {
	f := &quiz.StackFigure{In: s.st.In, From: s.st.From, Far: s.st.Far, Places: places, Mirrored: mirrored}
	for i, e := range placed {
		f.Placed = append(f.Placed, quiz.Option{ID: strconv.Itoa(i + 1), Text: s.order.texts[e], Drawn: s.drawn[e]})
	}
	return &quiz.Figure{Stack: f}
}

// place says where the layers go, as a clause. "From the nut end" could be read as
// counted from there, "at the nut end" says where each of them goes on.
func (s *stack) place() string { return s.way() + " at the " + s.st.From }

// way is how a layer goes: onto a rod, a shaft, a sleeve or a stud, or into a bore.
func (s *stack) way() string {
	if s.st.In == "rod" {
		return "on"
	}
	return "in"
}

// counts returns the quantities that layers give away: of parts of which as many
// are among them as there are in all, and more than one.
func (s *stack) counts(src *quiz.Source, layers []int) []content.FactID {
	n := map[string]int{}
	var out []content.FactID
	for _, e := range layers {
		id := s.st.Layers[e].Part
		n[id]++
		if p := src.Index.Part(id); p != nil && p.Quantity > 1 && n[id] == p.Quantity {
			out = append(out, content.FactID("quantity/"+id))
		}
	}
	return out
}

// inWords lists things in a row; acts may hold commas, so semicolons part them.
func (o *order) inWords(shown []int) string {
	texts := make([]string, len(shown))
	for i, e := range shown {
		texts[i] = o.texts[e]
	}
	return strings.Join(texts, "; ")
}

func partName(src *quiz.Source, id string) string {
	if p := src.Index.Part(id); p != nil {
		return p.Name
	}
	return id
}

func partShape(src *quiz.Source, id string) content.Shape {
	if p := src.Index.Part(id); p != nil && p.Shape != "" {
		return p.Shape
	}
	return content.ShapeOther
}
