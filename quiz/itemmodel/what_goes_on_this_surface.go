package itemmodel

import (
	"slices"

	"soloright/content"
	"soloright/quiz"
)

// whatGoesOnThisSurface asks for the treatment of surfaces: left dry, a named
// product, or as supplied.
var whatGoesOnThisSurface = &model{name: "what-goes-on-this-surface", version: 1, kinds: []content.FactKind{content.KindSurface}, plan: planSurface}

// mostTreatments is how many treatments stand to choose from.
const mostTreatments = 6

type treatmentsKey struct{}

// treatments returns the treatments of the procedure as they are printed, each
// once, in the order of the alphabet.
func treatments(src *quiz.Source) []string {
	return quiz.Keep(src, treatmentsKey{}, func() []string {
		var out []string
		for _, f := range src.Index.Of(content.KindSurface) {
			_, s := src.Index.Surface(f.Subject + "/" + f.Sub)
			if w := s.Words(); !slices.ContainsFunc(out, func(o string) bool { return sameText(o, w) }) {
				out = append(out, w)
			}
		}
		slices.Sort(out)
		return out
	})
}

func planSurface(src *quiz.Source, lead content.Fact) plan {
	_, own := src.Index.Surface(lead.Subject + "/" + lead.Sub)
	bins := treatments(src)
	if at := binOf(bins, own.Words()); len(bins) > mostTreatments { // a run of them that holds the lead's
		from := min(max(0, at-mostTreatments/2), len(bins)-mostTreatments)
		bins = bins[from : from+mostTreatments]
	}
	var rows []matchRow
	for _, f := range src.Index.Of(content.KindSurface) {
		if r := surfaceRow(src, f, bins); r.bin >= 0 {
			rows = append(rows, r)
		}
	}
	return newSort(lead, rows, sortPlan{
		stem: "Before assembly: what goes on each surface?", bins: bins, most: 5, least: 3,
		few:   "fewer than three surfaces state what goes on them",
		alike: "the same goes on every surface",
	})
}

func binOf(bins []string, text string) int {
	return slices.IndexFunc(bins, func(b string) bool { return sameText(b, text) })
}

// surfaceName names a surface with its part.
func surfaceName(part *content.Part, s *content.Surface) string { return part.Name + ", " + s.Name }

func surfaceRow(src *quiz.Source, f content.Fact, bins []string) matchRow {
	part, s := src.Index.Surface(f.Subject + "/" + f.Sub)
	r := matchRow{text: surfaceName(part, s), fact: f.ID, bin: binOf(bins, s.Words()), because: make([]string, len(bins))}
	for b, bin := range bins {
		if b == r.bin {
			continue
		}
		r.because[b] = sentence("not “" + bin + "”: " + treated(part, s))
		for _, n := range s.Never {
			if sameText(n.Text, bin) {
				r.because[b] = sentence("never "+inside(n.Text)+" on the "+s.Name+" of the "+part.Name) + " " + sentence(n.Because)
			}
		}
	}
	r.dangerous = anyWrong(f.Critical, r.bin, len(bins))
	return r
}

// treated says as a clause what goes on a surface.
func treated(part *content.Part, s *content.Surface) string {
	where := "the " + s.Name + " of the " + part.Name
	switch s.Treatment {
	case content.DryClean:
		return where + " stays dry and clean"
	case content.AsSupplied:
		return where + " stays as supplied, nothing is added"
	}
	return s.Words() + " goes on " + where
}
