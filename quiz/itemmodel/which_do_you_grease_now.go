package itemmodel

import (
	"math/rand/v2"
	"slices"

	"soloright/content"
	"soloright/quiz"
)

// whichDoYouGreaseNow asks at one step which surfaces get their lubricant. Wrong
// are surfaces that are stated to get it at another step, to stay dry, or to get
// anti-seize or threadlock; parts supplied lubricated are never options.
var whichDoYouGreaseNow = &model{name: "which-do-you-grease-now", version: 1, kinds: []content.FactKind{content.KindGrease}, plan: planGrease}

// The bounds of the surfaces shown.
const (
	greaseMost  = 5
	greaseLeast = 3
)

type greasePlan struct {
	lead   content.Fact
	stem   string
	own    tick
	right  []tick // further surfaces greased at the step
	wrong  []tick
	shows  []content.FactID
	splits []split
}

func planGrease(src *quiz.Source, lead content.Fact) plan {
	step := src.Index.Step(lead.Step)
	p := &greasePlan{lead: lead, stem: "You are at " + quoted(step.Text) + ". Which surfaces get their lubricant now? Tick every one."}
	p.shows = toldBy(src, step.Text, step.Parts)
	for _, f := range src.Index.Of(content.KindSurface) {
		ref := f.Subject + "/" + f.Sub
		part, s := src.Index.Surface(ref)
		t := tick{text: surfaceName(part, s)}
		switch now := slices.Contains(step.Greases, ref); {
		case s.Treatment == content.AsSupplied || p.has(t.text):
			continue
		case now:
			t.fact = content.FactID("grease/" + ref)
		default:
			if t.fact, t.because, t.dangerous = greasedElse(src, f, s); t.because == "" {
				continue
			}
		}
		p.add(t)
	}
	n := min(greaseMost, 1+len(p.right)+len(p.wrong))
	for total := n; total >= max(greaseLeast, n-1); total-- {
		p.splits = append(p.splits, splits(total, 1, len(p.right), len(p.wrong))...)
	}
	if len(p.splits) == 0 {
		return none("too few other surfaces are stated to get their lubricant at another step, or none")
	}
	return p
}

func (p *greasePlan) has(text string) bool {
	like := func(t tick) bool { return sameText(t.text, text) }
	return sameText(p.own.text, text) || slices.ContainsFunc(p.right, like) || slices.ContainsFunc(p.wrong, like)
}

func (p *greasePlan) add(t tick) {
	switch {
	case t.fact == p.lead.ID:
		p.own = t
	case t.because == "":
		p.right = append(p.right, t)
	default:
		p.wrong = append(p.wrong, t)
	}
}

// greasedElse says why a surface gets no lubricant at this step, "" where that is
// not stated: a lubricated surface whose step the procedure does not name.
func greasedElse(src *quiz.Source, f content.Fact, s *content.Surface) (fact content.FactID, because string, dangerous bool) {
	if g, ok := src.Index.Fact(content.FactID("grease/" + f.Subject + "/" + f.Sub)); ok {
		return g.ID, sentence(g.Text), false
	}
	switch s.Treatment {
	case content.DryClean, content.AntiSeize, content.ThreadLock:
		return f.ID, sentence(f.Text), f.Critical
	}
	return "", "", false
}

func (p *greasePlan) count() (int, string) { return allWays(p.splits), "" }

func (p *greasePlan) write(rnd *rand.Rand) (quiz.Item, error) {
	s := p.splits[rnd.IntN(len(p.splits))]
	ticks := append(make([]tick, 0, s.right+s.wrong), p.own)
	for _, i := range some(rnd, len(p.right), s.right-1) {
		ticks = append(ticks, p.right[i])
	}
	for _, i := range some(rnd, len(p.wrong), s.wrong) {
		ticks = append(ticks, p.wrong[i])
	}
	it := writeMultiple(rnd, p.stem, ticks)
	it.Explain, it.Shows = sentence(p.lead.Text), slices.Clone(p.shows)
	return it, nil
}
