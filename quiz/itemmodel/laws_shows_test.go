package itemmodel

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"testing"

	"soloright/content"
	"soloright/quiz"
)

// checkShows looks in what a technician sees of an item for whole statements of
// the raw procedure, and for counts and precedences in its figure: each must be
// the lead's own or among the facts that the item says it shows.
func checkShows(src *quiz.Source, it quiz.Item) error {
	seen := strings.ToLower(it.Stem)
	for _, o := range slices.Concat(it.Interaction.Options, it.Interaction.Rows, it.Interaction.Bins) {
		seen += "\n" + strings.ToLower(o.Text)
	}
	var errs []error
	for fact, text := range statements(src.Procedure) {
		if text != "" && strings.Contains(seen, strings.ToLower(text)) && !slices.Contains(it.Shows, fact) && fact != it.Lead {
			errs = append(errs, fmt.Errorf("%q gives away %s and does not say so", text, fact))
		}
	}
	if f := it.Figure; f != nil && f.Stack != nil {
		errs = append(errs, checkStackShows(src.Procedure, it))
	}
	return errors.Join(errs...)
}

// statements are the texts that are the key of an item by themselves.
func statements(p *content.Procedure) map[content.FactID]string {
	out := map[content.FactID]string{}
	for _, e := range p.Energies {
		out[content.FactID("proof/"+e.ID)] = e.Prove
		if e.Returns != nil {
			out[content.FactID("return/"+e.ID)] = e.Returns.Do
		}
	}
	for _, o := range p.Openings {
		out[content.FactID("opening/"+o.ID)] = o.Do
	}
	for _, j := range p.Joints {
		if j.CheckPass != nil {
			out[content.FactID("check-pass/"+j.ID)] = j.CheckPass.Do
		}
	}
	return out
}

// checkStackShows: a stack that shows every one of a part gives its number away,
// and layers drawn in place their precedences.
func checkStackShows(p *content.Procedure, it quiz.Item) error {
	st := rawStack(p, ends(it)[1])
	shown := it.Figure.Stack.Placed
	if it.Interaction.Kind == quiz.Order {
		shown = it.Interaction.Options
	}
	n, own := map[string]int{}, map[string]int{}
	for _, o := range shown {
		n[o.Text]++
	}
	for _, l := range st.Layers {
		own[rawPart(p, l.Part).Name]++
	}
	for _, l := range st.Layers {
		part := rawPart(p, l.Part)
		id := content.FactID("quantity/" + part.ID)
		if part.Quantity > 1 && n[part.Name] == part.Quantity && !slices.Contains(it.Shows, id) {
			return fmt.Errorf("all %s %q are shown, which gives away %s", strconv.Itoa(part.Quantity), part.Name, id)
		}
		for _, on := range l.On {
			id := content.FactID("layer/" + st.ID + "/" + l.ID + "/" + on)
			if it.Interaction.Kind == quiz.Choice && n[part.Name] == own[part.Name] && id != it.Lead && !slices.Contains(it.Shows, id) {
				return fmt.Errorf("the %s is drawn in place, which gives away %s", part.Name, id)
			}
		}
	}
	return nil
}

// What a step's text gives away is found by its words.
func TestToldBy(t *testing.T) {
	src := quiz.NewSource(bench(), "")
	for text, want := range map[string][]content.FactID{
		"Fit a new cup seal":                             {"disposition/cup"},
		"Put in the eight head bolts":                    {"quantity/bolt"},
		"Coat the rod with silicone grease":              {"surface/rod/shank", "grease/rod/shank"},
		"Take the brass hook":                            {"tools/strip-seals"},
		"Turn the cup seal open side to the air chamber": {"facing/cup"},
		"Set the split at 120 ° from the port":           {"split/gland/r1"},
		"Leave the bleed open all through the work":      {"return/air"},
		"Clean the gland":                                nil,
	} {
		if got := toldBy(src, text, nil); !slices.Equal(got, want) {
			t.Errorf("%q gives away %v, want %v", text, got, want)
		}
	}
	if got := toldBy(src, "Fit new seals", []string{"cup"}); !slices.Equal(got, []content.FactID{"disposition/cup"}) {
		t.Errorf("of a part that the text is known to be about the last word will do: %v", got)
	}
}

// The controls of a match give away what guard-against asks of each hazard.
func TestHazardMatchShowsItsHazards(t *testing.T) {
	for _, it := range written(t, hazardAndControl, "hazard/jet", 20) {
		for _, r := range it.Key.Rows {
			if r.Fact != it.Lead && !slices.Contains(it.Shows, r.Fact) {
				t.Fatalf("row of %s, shows %v", r.Fact, it.Shows)
			}
		}
	}
}
