package itemmodel

import (
	"slices"

	"soloright/content"
	"soloright/quiz"
)

// oneWayOrEither asks which parts have one right way round, which go in either way
// and which way round the pipework decides. To turn a part with one right way
// either way is dangerous where that is critical; to choose one way for a
// reversible part is wrong and never dangerous.
var oneWayOrEither = &model{name: "one-way-or-either", version: 1, kinds: []content.FactKind{content.KindFacing}, plan: planOneWay}

// facingKinds in the order of the bins.
var facingKinds = []content.FacingKind{content.Directional, content.Reversible, content.AsPipework}

func planOneWay(src *quiz.Source, lead content.Fact) plan {
	rows := quiz.Keep(src, sortRowsKey{"one-way-or-either"}, func() []matchRow { return facingRows(src) })
	return newSort(lead, rows, sortPlan{
		stem: "Look at the parts before you fit them. Which way round can each go in?", most: 5, least: 3,
		bins:  []string{"one way round only", eitherWay, asPipework},
		few:   "fewer than three parts state which way round they go",
		alike: "all parts are of one kind of facing",
	})
}

func facingRows(src *quiz.Source) []matchRow {
	var rows []matchRow
	for _, f := range src.Index.Of(content.KindFacing) {
		part := src.Index.Part(f.Subject)
		row := matchRow{text: part.Name, fact: f.ID, bin: slices.Index(facingKinds, part.Facing.Kind), because: make([]string, len(facingKinds))}
		said := sentence(f.Text)
		if part.Facing.Because != "" {
			said += " " + sentence(part.Facing.Because)
		}
		for b := range facingKinds {
			if b != row.bin {
				row.because[b] = said
			}
		}
		row.dangerous = anyWrong(f.Critical && part.Facing.Kind == content.Directional, row.bin, len(facingKinds))
		rows = append(rows, row)
	}
	return rows
}
