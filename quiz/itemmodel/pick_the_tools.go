package itemmodel

import (
	"math/rand/v2"
	"slices"

	"soloright/content"
	"soloright/quiz"
)

// pickTheTools asks for the tools of a step. Right are the tools stated for it,
// wrong those stated not to be used; tools that are also accepted are never options.
var pickTheTools = &model{name: "pick-the-tools", version: 1, kinds: []content.FactKind{content.KindTools}, plan: planTools}

// The bounds of the tools shown.
const (
	toolsMost  = 6
	toolsLeast = 3
)

type toolsPlan struct {
	lead   content.Fact
	stem   string
	right  []string
	wrong  []content.Wrong
	shows  []content.FactID
	splits []split
}

func planTools(src *quiz.Source, lead content.Fact) plan {
	step := src.Index.Step(lead.Subject)
	p := &toolsPlan{lead: lead, stem: "You start on " + quoted(step.Text) + ". Which of these do you take? Tick every one."}
	var never []string
	for _, id := range slices.Concat(step.Tools, step.ToolsToo) {
		never = append(never, toolName(src, id))
	}
	for _, id := range step.Tools {
		if n := toolName(src, id); !slices.ContainsFunc(p.right, func(o string) bool { return sameText(o, n) }) {
			p.right = append(p.right, n)
		}
	}
	for _, t := range step.ToolsNot {
		n := toolName(src, t.Tool)
		if !slices.ContainsFunc(never, func(o string) bool { return sameText(o, n) }) {
			never = append(never, n)
			p.wrong = append(p.wrong, content.Wrong{Text: n, Because: sentence(t.Because)})
		}
	}
	p.shows = toldBy(src, step.Text, step.Parts)
	n := min(toolsMost, len(p.right)+len(p.wrong))
	for total := n; total >= max(toolsLeast, n-1); total-- {
		p.splits = append(p.splits, splits(total, 0, len(p.right), len(p.wrong))...)
	}
	if len(p.splits) == 0 {
		return none("too few tools are stated to be right and wrong for the step")
	}
	return p
}

func toolName(src *quiz.Source, id string) string {
	if t := src.Index.Tool(id); t != nil {
		return t.Name
	}
	return id
}

func (p *toolsPlan) count() (int, string) { return allWays(p.splits), "" }

func (p *toolsPlan) write(rnd *rand.Rand) (quiz.Item, error) {
	s := p.splits[rnd.IntN(len(p.splits))]
	ticks := make([]tick, 0, s.right+s.wrong)
	for _, i := range some(rnd, len(p.right), s.right) {
		ticks = append(ticks, tick{text: p.right[i], fact: p.lead.ID})
	}
	for _, i := range some(rnd, len(p.wrong), s.wrong) {
		ticks = append(ticks, tick{text: p.wrong[i].Text, fact: p.lead.ID, because: p.wrong[i].Because, dangerous: p.lead.Critical})
	}
	it := writeMultiple(rnd, p.stem, ticks)
	it.Explain, it.Shows = sentence(p.lead.Text), slices.Clone(p.shows)
	return it, nil
}
