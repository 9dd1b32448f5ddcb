package itemmodel

import (
	"math/rand/v2"
	"slices"

	"soloright/content"
	"soloright/quiz"
)

// hazardAndControl asks which control guards against which hazard, one control
// for each hazard shown. A control that is stated for several hazards of the
// procedure is never shown, so none can serve two of those shown. The controls
// shown give away what is asked of each of these hazards by itself.
var hazardAndControl = &model{name: "hazard-and-control", version: 1, kinds: []content.FactKind{content.KindHazard}, plan: planHazard}

// The bounds of the hazards shown.
const (
	hazardsMost  = 4
	hazardsLeast = 3
)

type hazardPlan struct {
	lead   content.Fact
	rows   []hazardRow // the lead's first
	n      int
	counts [][]int // counts[i][k]: ways to choose k hazards and their controls from rows[i:]
}

type hazardRow struct {
	hazard   *content.Hazard
	fact     content.Fact
	said     string             // why another hazard's control does not do
	controls []content.Cause    // that serve no other hazard
	told     [][]content.FactID // what each of them gives away
}

type hazardRowsKey struct{}

func planHazard(src *quiz.Source, lead content.Fact) plan {
	all := quiz.Keep(src, hazardRowsKey{}, func() []hazardRow { return hazardRows(src) })
	own := slices.IndexFunc(all, func(r hazardRow) bool { return r.fact.ID == lead.ID })
	if own < 0 {
		return none("every control of it is a control of another hazard too")
	}
	p := &hazardPlan{lead: lead, rows: append([]hazardRow{all[own]}, slices.Delete(slices.Clone(all), own, own+1)...)}
	if p.n = max(hazardsLeast, min(hazardsMost, len(p.rows)-1)); p.n > len(p.rows) { // one left out, for fresh items
		return none("fewer than three hazards have a control of their own")
	}
	p.countWays()
	return p
}

// hazardRows returns the hazards that have a control of their own. Of hazards
// that read alike the first is kept.
func hazardRows(src *quiz.Source) []hazardRow {
	var rows []hazardRow
	for _, f := range src.Index.Of(content.KindHazard) {
		h := src.Index.Hazard(f.Subject)
		r := hazardRow{hazard: h, fact: f, said: " does not guard against it. " + sentence(f.Text)}
		for _, c := range h.Controls {
			if !servesAnother(src, h, c) {
				r.controls, r.told = append(r.controls, c), append(r.told, toldBy(src, c.Text, nil))
			}
		}
		twice := slices.ContainsFunc(rows, func(o hazardRow) bool { return sameText(o.hazard.Hazard, h.Hazard) })
		if len(r.controls) > 0 && !twice {
			rows = append(rows, r)
		}
	}
	return rows
}

func servesAnother(src *quiz.Source, h *content.Hazard, c content.Cause) bool {
	for i := range src.Procedure.Hazards {
		other := &src.Procedure.Hazards[i]
		if other.ID == h.ID {
			continue
		}
		if slices.ContainsFunc(other.Controls, func(o content.Cause) bool { return o.ID == c.ID || sameText(o.Text, c.Text) }) {
			return true
		}
	}
	return false
}

// countWays fills in counts from the last row on.
func (p *hazardPlan) countWays() {
	p.counts = make([][]int, len(p.rows)+1)
	for i := len(p.rows); i >= 0; i-- {
		p.counts[i] = make([]int, p.n+1)
		p.counts[i][0] = 1
		for k := 1; i < len(p.rows) && k <= p.n; k++ {
			p.counts[i][k] = min(quiz.MaxCount, p.counts[i+1][k]+times(len(p.rows[i].controls), p.counts[i+1][k-1]))
		}
	}
}

func (p *hazardPlan) count() (int, string) {
	return times(len(p.rows[0].controls), p.counts[1][p.n-1]), ""
}

func (p *hazardPlan) write(rnd *rand.Rand) (quiz.Item, error) {
	rows := []hazardRow{p.rows[0]}
	for _, i := range some(rnd, len(p.rows)-1, p.n-1) {
		rows = append(rows, p.rows[1+i])
	}
	rows = shuffled(rnd, rows)
	bins, at := make([]string, p.n), rnd.Perm(p.n)
	var shows []content.FactID
	for i, r := range rows {
		c := rnd.IntN(len(r.controls))
		bins[at[i]] = r.controls[c].Text
		shows = union(union(shows, r.fact.ID), r.told[c]...)
	}
	match := make([]matchRow, p.n)
	for i, r := range rows {
		match[i] = matchRow{text: r.hazard.Hazard, fact: r.fact.ID, bin: at[i], because: make([]string, p.n), dangerous: anyWrong(r.fact.Critical, at[i], p.n)}
		for b := range bins {
			if b != at[i] {
				match[i].because[b] = quoted(bins[b]) + r.said
			}
		}
	}
	it := writeMatch("What guards against what? Give each hazard its control.", match, bins)
	it.Explain, it.Shows = sentence(p.lead.Text), shows
	return it, nil
}
