package itemmodel

import (
	"math/rand/v2"
	"slices"

	"soloright/content"
	"soloright/quiz"
)

// goesOnOrStaysOff asks of products on surfaces whether they go on or must stay
// off. What stays off is on the surface's never list; what goes on is its own
// product. Each item holds one product of the lead's list.
var goesOnOrStaysOff = &model{name: "goes-on-or-stays-off", version: 1, kinds: []content.FactKind{content.KindNever}, plan: planOff}

// The bins of goes on or stays off.
const (
	goesOn = iota
	staysOff
)

// offPlan has one sort for each product of the lead's never list.
type offPlan struct {
	each  []plan
	total int
}

func planOff(src *quiz.Source, lead content.Fact) plan {
	rows := quiz.Keep(src, sortRowsKey{"goes-on-or-stays-off"}, func() []matchRow { return offRows(src) })
	var others []matchRow
	for _, r := range rows {
		if r.fact != lead.ID {
			others = append(others, r)
		}
	}
	p, why := &offPlan{}, "nothing is stated that must stay off"
	for _, r := range rows {
		if r.fact != lead.ID {
			continue
		}
		e := newSort(lead, append(slices.Clone(others), r), sortPlan{
			stem: "You are about to assemble. Does it go on, or must it stay off?", bins: []string{"goes on", "must stay off"}, most: 5, least: 4,
			few:   "fewer than four products are stated to go on or to stay off",
			alike: "no surface states a product that goes on",
		})
		n, reason := e.count()
		if why = reason; n > 0 {
			p.each = append(p.each, e)
			p.total = min(quiz.MaxCount, p.total+n)
		}
	}
	if p.total == 0 {
		return none(why)
	}
	return p
}

// count adds up the sorts: no two of them give the same item.
func (p *offPlan) count() (int, string) { return p.total, "" }

func (p *offPlan) write(rnd *rand.Rand) (quiz.Item, error) {
	return p.each[rnd.IntN(len(p.each))].write(rnd)
}

func offRows(src *quiz.Source) []matchRow {
	var rows []matchRow
	for _, f := range src.Index.Of(content.KindSurface) {
		part, s := src.Index.Surface(f.Subject + "/" + f.Sub)
		if s.Product == "" || s.Treatment == content.DryClean || s.Treatment == content.AsSupplied {
			continue
		}
		where := "the " + s.Name + " of the " + part.Name
		rows = append(rows, matchRow{text: s.Product + " on " + where, fact: f.ID, bin: goesOn,
			because: []string{"", sentence(s.Product + " is what goes on " + where)}, dangerous: anyWrong(f.Critical, goesOn, 2)})
	}
	for _, f := range src.Index.Of(content.KindNever) {
		part, s := src.Index.Surface(f.Subject + "/" + f.Sub)
		where := "the " + s.Name + " of the " + part.Name
		for _, n := range s.Never {
			rows = append(rows, matchRow{text: inside(n.Text) + " on " + where, fact: f.ID, bin: staysOff,
				because: []string{sentence("never "+inside(n.Text)+" on "+where) + " " + sentence(n.Because), ""}, dangerous: anyWrong(f.Critical, staysOff, 2)})
		}
	}
	return rows
}
