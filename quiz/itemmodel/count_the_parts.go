package itemmodel

import (
	"slices"
	"strconv"

	"soloright/content"
	"soloright/quiz"
)

// countTheParts asks for the numbers of several parts at once. The bins are the
// numbers that the procedure states, rising.
var countTheParts = &model{name: "count-the-parts", version: 1, kinds: []content.FactKind{content.KindQuantity}, plan: planCount}

// mostNumbers is how many numbers stand to choose from.
const mostNumbers = 5

func planCount(src *quiz.Source, lead content.Fact) plan {
	numbers := quantitiesNear(src, src.Index.Part(lead.Subject).Quantity)
	bins := make([]string, len(numbers))
	for i, n := range numbers {
		bins[i] = strconv.Itoa(n)
	}
	var rows []matchRow
	for _, f := range src.Index.Of(content.KindQuantity) {
		part := src.Index.Part(f.Subject)
		r := matchRow{text: part.Name, fact: f.ID, bin: slices.Index(numbers, part.Quantity), because: make([]string, len(bins))}
		if r.bin < 0 {
			continue
		}
		for b := range bins {
			if b != r.bin {
				r.because[b] = sentence("not " + bins[b] + " but " + strconv.Itoa(part.Quantity) + " go in: " + part.Name)
			}
		}
		rows = append(rows, r)
	}
	return newSort(lead, rows, sortPlan{
		stem: "Lay the parts out. How many of each go in?", bins: bins, most: 5, least: 3,
		few:   "fewer than three parts state how many there are",
		alike: "of every part there are as many",
	})
}

// quantitiesNear returns the stated numbers, rising, at most mostNumbers of them
// in a row with n among them.
func quantitiesNear(src *quiz.Source, n int) []int {
	var all []int
	for _, f := range src.Index.Of(content.KindQuantity) {
		if q := src.Index.Part(f.Subject).Quantity; !slices.Contains(all, q) {
			all = append(all, q)
		}
	}
	slices.Sort(all)
	from := min(max(0, slices.Index(all, n)-mostNumbers/2), max(0, len(all)-mostNumbers))
	return all[from:min(len(all), from+mostNumbers)]
}
