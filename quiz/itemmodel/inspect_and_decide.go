package itemmodel

import (
	"math/big"
	"math/rand/v2"
	"slices"
	"strings"

	"soloright/content"
	"soloright/content/torque"
	"soloright/quiz"
)

// inspectAndDecide asks for the verdict of an inspection: refit, dress and refit, or
// renew. A feature with a limit comes with a made-up measurement. One with described
// cases comes in two variants: what is decided on this sight, and which of these
// sights means this verdict. Taking a milder verdict than the right one is dangerous;
// a stricter one only loses the mark.
var inspectAndDecide = &model{name: "inspect-and-decide", version: 1, kinds: []content.FactKind{content.KindInspection}, plan: planInspection}

// strictness holds the verdicts in rising strictness, which is the order of the options.
var strictness = []content.Verdict{content.VerdictRefit, content.VerdictDress, content.VerdictRenew}

func planInspection(src *quiz.Source, lead content.Fact) plan {
	n := src.Index.Inspection(lead.Subject)
	if n == nil {
		return none("there is no such inspection")
	}
	if lead.Sub == "" {
		return planMeasured(src, lead, n)
	}
	i := slices.IndexFunc(n.Cases, func(c content.Case) bool { return c.ID == lead.Sub })
	if i < 0 {
		return none("there is no such case")
	}
	c := &n.Cases[i]
	return whichMeans(src, &seen{lead: lead, what: featureOf(src, n), of: c, shows: toldOnce(src, c.Seen)}, n)
}

// measured is an inspection with a limit.
type measured struct {
	lead  content.Fact
	what  string
	of    *content.Inspection
	gauge gauge
}

func planMeasured(src *quiz.Source, lead content.Fact, n *content.Inspection) plan {
	unit, resolution, ok := gaugeFor(n.Limit, n.Resolution)
	if !ok || !slices.Contains(strictness, n.Outside) {
		return none("it states no limit, or not what is done outside it")
	}
	g, ok := gaugeOf(*n.Limit, unit, resolution)
	if !ok {
		return none("no measurement can be made up on both sides of its limit")
	}
	return &measured{lead, featureOf(src, n), n, g}
}

// gaugeFor is the unit and resolution in which a limit is measured: the stated one, or
// one that tells a twentieth of the limit.
func gaugeFor(l *content.Limit, resolution *torque.Quantity) (torque.Unit, *big.Rat, bool) {
	if l == nil || l.Min == nil && l.Max == nil {
		return torque.Unit{}, nil, false
	}
	if resolution != nil {
		return resolution.Unit(), resolution.Value(), true
	}
	of := l.Max
	if of == nil {
		of = l.Min
	}
	return of.Unit(), finest(of.Value(), 20), true
}

func (m *measured) count() (int, string) { return m.gauge.count(), "" }

func (m *measured) write(rnd *rand.Rand) (quiz.Item, error) {
	k, zone := m.gauge.draw(rnd)
	right, is := content.VerdictRefit, " is within the limit: "
	if zone != within {
		right, is = m.of.Outside, " is outside the limit: "
	}
	because := m.gauge.text(k) + is + m.of.Limit.Words() + ". " + sentence(right.Words())
	return decideOn(m.lead, m.gauge.text(k), m.what+" – it measures "+m.gauge.text(k), because, right), nil
}

// seen is a described case of an inspection.
type seen struct {
	lead  content.Fact
	what  string
	of    *content.Case
	shows []content.FactID
	which *choicePlan     // the second variant
	worse map[string]bool // its wrong texts whose verdict is stricter than the one asked for
}

func (s *seen) count() (int, string) {
	n, _ := s.which.count()
	return n + 1, ""
}

func (s *seen) write(rnd *rand.Rand) (quiz.Item, error) {
	if n, _ := s.which.count(); n > 0 && rnd.IntN(2) == 0 {
		return s.writeWhich(rnd)
	}
	because := sentence(s.of.Verdict.Words()) + " " + s.of.Because
	it := decideOn(s.lead, "decide", s.what+" – you see this: "+inside(strings.TrimSuffix(s.of.Seen, ".")), because, s.of.Verdict)
	it.Shows = slices.Clone(s.shows)
	return it, nil
}

// decideOn asks for the verdict on what is seen or measured.
func decideOn(lead content.Fact, signature, seen, because string, right content.Verdict) quiz.Item {
	at := slices.Index(strictness, right)
	d := decision{stem: sentence(seen) + " What do you decide?", explain: because, signature: signature, right: at, seconds: 45}
	for i, v := range strictness {
		d.verdicts = append(d.verdicts, verdict{text: v.Words(), because: because, dangerous: i < at})
	}
	return d.inOrder(lead)
}

// featureOf names the part and the feature that an inspection looks at.
func featureOf(src *quiz.Source, n *content.Inspection) string {
	if p := src.Index.Part(n.Part); p != nil {
		return p.Name + ", " + n.Feature
	}
	return n.Feature
}

// whichMeans adds the second variant: the case among cases with another verdict, of
// the same feature first, else of any.
func whichMeans(src *quiz.Source, s *seen, n *content.Inspection) *seen {
	s.worse = map[string]bool{}
	wrong := s.others(src, n)
	for i := range src.Procedure.Inspections {
		if o := &src.Procedure.Inspections[i]; o != n {
			wrong = append(wrong, s.others(src, o)...)
		}
	}
	s.which = newChoice(s.lead, "Which of these means: "+s.of.Verdict.Words()+"?", sightOf(src, n, s.of), wrong)
	telling(src, s.which)
	s.which.explain = sentence(s.lead.Text) + " " + s.of.Because
	return s
}

// others are the cases of an inspection with another verdict than the lead's.
func (s *seen) others(src *quiz.Source, n *content.Inspection) (out []content.Wrong) {
	for i := range n.Cases {
		o := &n.Cases[i]
		if o.Verdict == s.of.Verdict {
			continue
		}
		text := sightOf(src, n, o)
		out = append(out, content.Wrong{Text: text, Because: sentence(o.Verdict.Words()) + " " + o.Because})
		s.worse[text] = slices.Index(strictness, o.Verdict) > slices.Index(strictness, s.of.Verdict)
	}
	return out
}

func sightOf(src *quiz.Source, n *content.Inspection, c *content.Case) string {
	return sentenceHead(featureOf(src, n)) + ": " + inside(c.Seen)
}

func (s *seen) writeWhich(rnd *rand.Rand) (quiz.Item, error) {
	it, err := s.which.write(rnd)
	for i, o := range it.Interaction.Options {
		it.Key.Options[i].Dangerous = it.Key.Options[i].Dangerous && s.worse[o.Text]
	}
	return it, err
}
