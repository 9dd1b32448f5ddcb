package itemmodel

import (
	"math/rand/v2"
	"slices"

	"soloright/content"
	"soloright/quiz"
)

// showing is a plan whose items all give the same facts away.
type showing struct {
	plan
	facts []content.FactID
}

func (s showing) write(rnd *rand.Rand) (quiz.Item, error) {
	it, err := s.plan.write(rnd)
	it.Shows = union(slices.Clone(it.Shows), s.facts...)
	return it, err
}

// named plans items whose stem names a joint: its title may give facts away ("Flange
// with 8 studs").
func named(of func(*quiz.Source, content.Fact) plan) func(*quiz.Source, content.Fact) plan {
	return func(src *quiz.Source, lead content.Fact) plan {
		j := src.Index.Joint(lead.Subject)
		if j == nil {
			return of(src, lead)
		}
		return withShown(of(src, lead), toldBy(src, j.Title, []string{j.Fastener}))
	}
}

// drawn plans items that show the drawing of a joint, which gives away how many
// fasteners it has, where there are no more of them elsewhere.
func drawn(of func(*quiz.Source, content.Fact) plan) func(*quiz.Source, content.Fact) plan {
	return named(func(src *quiz.Source, lead content.Fact) plan {
		p := of(src, lead)
		j := src.Index.Joint(lead.Subject)
		if j == nil {
			return p
		}
		if part := src.Index.Part(j.Fastener); part == nil || part.Quantity != j.Pattern.Count {
			return p
		}
		return withShown(p, []content.FactID{content.FactID(string(content.KindQuantity) + "/" + j.Fastener)})
	})
}

func withShown(p plan, facts []content.FactID) plan {
	if n, _ := p.count(); n == 0 || len(facts) == 0 {
		return p
	}
	return showing{p, facts}
}

type toldKey struct{ text string }

// toldOnce is [toldBy] of a text that comes again and again, worked out once.
func toldOnce(src *quiz.Source, text string) []content.FactID {
	return quiz.Keep(src, toldKey{text}, func() []content.FactID { return toldBy(src, text, nil) })
}
