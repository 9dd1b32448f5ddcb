package itemmodel

import (
	"slices"

	"soloright/content"
	"soloright/quiz"
)

// sortTheBench asks what becomes of parts at strip-down. To refit one that must be
// renewed is dangerous; to renew one that could be refitted only loses its row.
var sortTheBench = &model{name: "sort-the-bench", version: 1, kinds: []content.FactKind{content.KindDisposition}, plan: planSort}

// dispositions in the order of the bins.
var dispositions = []content.Disposition{content.AlwaysRenew, content.InspectRefit, content.RefitAsItIs}

type sortRowsKey struct{ model string }

func planSort(src *quiz.Source, lead content.Fact) plan {
	rows := quiz.Keep(src, sortRowsKey{"sort-the-bench"}, func() []matchRow { return dispositionRows(src) })
	return newSort(lead, rows, sortPlan{
		stem: "The parts lie on the bench after strip-down. What becomes of each?", most: 6, least: 3,
		bins:  []string{dispositions[0].Words(), dispositions[1].Words(), dispositions[2].Words()},
		few:   "fewer than three parts state what becomes of them",
		alike: "the same becomes of every part",
	})
}

// newSort completes a plan with its rows and the lead's place among them; where
// two rows read the same, the lead's stays and otherwise the first.
func newSort(lead content.Fact, rows []matchRow, s sortPlan) plan {
	s.lead, s.explain, s.leadAt = lead, sentence(lead.Text), -1
	at := slices.IndexFunc(rows, func(r matchRow) bool { return r.fact == lead.ID })
	if at < 0 {
		return none("nothing is stated about it that could be asked for")
	}
	for i, r := range rows {
		like := func(o matchRow) bool { return sameText(o.text, r.text) }
		if i != at && (sameText(r.text, rows[at].text) || slices.ContainsFunc(s.rows, like)) {
			continue
		}
		if i == at {
			s.leadAt = len(s.rows)
		}
		s.rows = append(s.rows, r)
	}
	return &s
}

func dispositionRows(src *quiz.Source) []matchRow {
	var rows []matchRow
	for _, f := range src.Index.Of(content.KindDisposition) {
		part := src.Index.Part(f.Subject)
		row := matchRow{text: part.Name, fact: f.ID, bin: slices.Index(dispositions, part.Disposition), because: make([]string, len(dispositions))}
		for b, d := range dispositions {
			if b == row.bin {
				continue
			}
			row.because[b] = dispositionMistake(part, d)
			if f.Critical && part.Disposition == content.AlwaysRenew {
				row.dangerous = append(row.dangerous, b)
			}
		}
		rows = append(rows, row)
	}
	return rows
}

// dispositionMistake says what the mistake is of somebody who did d with the part.
func dispositionMistake(part *content.Part, d content.Disposition) string {
	name := "the " + part.Name
	switch {
	case part.Disposition == content.AlwaysRenew && d == content.InspectRefit:
		return sentence(name + " is renewed every time, however good it looks: there is nothing to inspect")
	case part.Disposition == content.AlwaysRenew:
		return sentence(name + " is renewed every time: a used one must not go back")
	case d == content.AlwaysRenew && part.Disposition == content.InspectRefit:
		return sentence(name + " is not thrown away unseen: inspect it, and refit it if it is within limits")
	case d == content.AlwaysRenew:
		return sentence(name + " goes back as it is: renewing it is waste")
	case d == content.RefitAsItIs:
		return sentence(name + " goes back only if it is within limits: inspect it first")
	}
	return sentence("there is no limit to inspect " + name + " against: it goes back as it is")
}
