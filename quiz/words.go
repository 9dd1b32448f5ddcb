package quiz

import (
	"math/big"
	"slices"
	"strings"

	"soloright/content"
)

// KeyWords says the right answer of an item in words, for whoever may read keys.
func KeyWords(it Item) string {
	if n := it.Key.Number; n != nil && n.Other == "" {
		return numberWords(it)
	}
	a, err := RightAnswer(it)
	if err != nil {
		return "no answer: " + err.Error()
	}
	return AnswerWords(it, a)
}

// numberWords says which numbers are right, to three places where they have no
// end as decimals.
func numberWords(it Item) string {
	var parts []string
	for _, iv := range it.Key.Number.Accept {
		lo, hi := shortDecimal(iv.Lo), shortDecimal(iv.Hi)
		if lo == hi {
			parts = append(parts, lo)
		} else {
			parts = append(parts, lo+" to "+hi)
		}
	}
	return strings.TrimSpace(strings.Join(parts, " or ") + " " + it.Interaction.Unit)
}

func shortDecimal(text string) string {
	v, ok := new(big.Rat).SetString(text)
	if !ok {
		return text
	}
	const places = 3
	if n, exact := v.FloatPrec(); exact && n < places {
		return v.FloatString(n)
	}
	return v.FloatString(places)
}

// AnswerWords says an answer in words: the texts of what was chosen, in order.
func AnswerWords(it Item, a Answer) string {
	in := it.Interaction
	switch {
	case a.Blank():
		return "blank"
	case in.Kind == Match:
		var parts []string
		for _, r := range in.Rows {
			bin := "–"
			if b, ok := a.Rows[r.ID]; ok {
				bin = OptionWords(it.Figure, in.Bins, b)
			}
			parts = append(parts, OptionWords(it.Figure, in.Rows, r.ID)+": "+bin)
		}
		return strings.Join(parts, "; ")
	case a.Number != "":
		return a.Number + " " + in.Unit
	}
	parts := make([]string, len(a.Options))
	for i, id := range a.Options {
		parts[i] = OptionWords(it.Figure, in.Options, id)
	}
	if in.Kind == Order || in.Kind == Sequence {
		return strings.Join(parts, " → ")
	}
	return strings.Join(parts, "; ")
}

// OptionWords says an option in words; a drawn one without a text by what its
// drawing shows.
func OptionWords(f *Figure, options []Option, id string) string {
	i := slices.IndexFunc(options, func(o Option) bool { return o.ID == id })
	if i < 0 {
		return id
	}
	o := options[i]
	if o.Text != "" || o.Drawn == nil {
		return o.Text
	}
	return DrawnWords(f, *o.Drawn)
}

// DrawnWords says what a drawing of a facing shows: as much as the eye sees.
func DrawnWords(f *Figure, d Drawn) string {
	feature := content.Shapes[d.Shape].Feature
	if feature == "" && d.Mark {
		feature = "marking paint"
	}
	if f == nil || f.Facing == nil || feature == "" {
		return strings.ReplaceAll(string(d.Shape), "-", " ")
	}
	end := f.Facing.Right
	if d.Toward == "left" {
		end = f.Facing.Left
	}
	return "drawn with the " + feature + " toward the " + end
}

// Lines says the interaction in words, one line for each option, row or bin.
func Lines(it Item) []string {
	in := it.Interaction
	var out []string
	for _, o := range in.Options {
		out = append(out, o.ID+") "+OptionWords(it.Figure, in.Options, o.ID))
	}
	for _, r := range in.Rows {
		out = append(out, "· "+OptionWords(it.Figure, in.Rows, r.ID))
	}
	for _, b := range in.Bins {
		out = append(out, b.ID+") "+b.Text)
	}
	if in.Unit != "" {
		out = append(out, "____ "+in.Unit)
	}
	return out
}
