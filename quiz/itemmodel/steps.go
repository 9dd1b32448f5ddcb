package itemmodel

import (
	"slices"
	"strings"

	"soloright/content"
	"soloright/quiz"
)

// mostSteps is how many steps of a procedure the models on its step graph look at.
const mostSteps = 500

// stepGraph is what the models on the order of work share.
type stepGraph struct {
	*order
	steps []content.Step
	shows [][]content.FactID // by step: what its text gives away
	twice []bool             // by step: another step reads the same, so it is never shown
}

type stepGraphKey struct{}

// stepsOf returns the step graph of the procedure.
func stepsOf(src *quiz.Source) *stepGraph {
	return quiz.Keep(src, stepGraphKey{}, func() *stepGraph { return newStepGraph(src) })
}

func newStepGraph(src *quiz.Source) *stepGraph {
	steps := src.Procedure.Steps
	g := &stepGraph{steps: steps, shows: make([][]content.FactID, len(steps)), twice: make([]bool, len(steps))}
	ids, texts, at := make([]string, len(steps)), make([]string, len(steps)), map[string]int{}
	for i := range steps {
		ids[i], texts[i], at[steps[i].ID] = steps[i].ID, steps[i].Text, i
		g.shows[i] = toldBy(src, steps[i].Text, steps[i].Parts)
		for j := range i {
			if sameText(texts[i], texts[j]) {
				g.twice[i], g.twice[j] = true, true
			}
		}
	}
	var edges []edge
	for _, f := range src.Index.Of(content.KindPrecede) {
		if b, ok := at[f.Other]; ok {
			edges = append(edges, edge{b, at[f.Subject], f.ID})
		}
	}
	g.order = newOrder(src.Index, ids, texts, edges)
	return g
}

// told adds what the texts of the steps give away.
func (g *stepGraph) told(shows []content.FactID, steps ...int) []content.FactID {
	for _, s := range steps {
		shows = union(shows, g.shows[s]...)
	}
	return shows
}

// toldByText returns what the text of a step gives away.
func (g *stepGraph) toldByText(text string) []content.FactID {
	if i := slices.Index(g.texts, text); i >= 0 {
		return g.shows[i]
	}
	return nil
}

// nearest returns up to n steps that must come before (or, where later is set,
// after) the step: those whose text gives nothing away first, and of these the
// nearest in the order of the work. Steps that read like another are left out.
func (g *stepGraph) nearest(step, n int, later bool) []int {
	var out []int
	topo := g.topo
	if !later {
		topo = slices.Clone(g.topo)
		slices.Reverse(topo)
	}
	for _, e := range topo {
		isIt := g.comes(e, step)
		if later {
			isIt = g.comes(step, e)
		}
		if isIt && !g.twice[e] {
			out = append(out, e)
		}
	}
	return g.quiet(out, n)
}

// quiet keeps n of the steps, those first whose text gives no fact away: a form
// has room for few items that show what another asks.
func (g *stepGraph) quiet(steps []int, n int) []int {
	slices.SortStableFunc(steps, func(a, b int) int { return min(1, len(g.shows[a])) - min(1, len(g.shows[b])) })
	return steps[:min(n, len(steps))]
}

// quoted puts a step's text in quotation marks.
func quoted(text string) string { return "“" + strings.TrimSuffix(text, ".") + "”" }
