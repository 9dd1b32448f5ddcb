package api

import (
	"cmp"
	"slices"
	"strconv"

	"soloright/quiz"
)

// offered lists the options of an item with what was chosen of them. What is put
// in order has none: there the mistakes say what was done instead.
func offered(it *quiz.Item, ans quiz.Answer) []OfferedOption {
	switch it.Interaction.Kind {
	case quiz.Choice, quiz.Hotspot, quiz.Multiple:
		return offeredOptions(it, ans)
	case quiz.Numeric:
		return offeredBeside(it, ans)
	case quiz.Match:
		return offeredRows(it, ans)
	}
	return nil
}

func offeredOptions(it *quiz.Item, ans quiz.Answer) []OfferedOption {
	out := make([]OfferedOption, len(it.Interaction.Options))
	for i, o := range it.Interaction.Options {
		out[i] = OfferedOption{Text: optionText(it, i, o), Chosen: slices.Contains(ans.Options, o.ID)}
		for _, k := range it.Key.Options {
			if k.ID == o.ID {
				out[i].Right, out[i].Fact = k.Right, k.Fact
			}
		}
	}
	slices.SortStableFunc(out, byText) // the arrangement of a sheet is its own
	return out
}

func byText(a, b OfferedOption) int { return cmp.Compare(a.Text, b.Text) }

// offeredBeside lists what stands beside the box of a number: "not this wrench".
func offeredBeside(it *quiz.Item, ans quiz.Answer) []OfferedOption {
	var out []OfferedOption
	for _, o := range it.Interaction.Options {
		out = append(out, OfferedOption{Text: o.Text, Fact: it.Lead, Right: it.Key.Number != nil && it.Key.Number.Other == o.ID, Chosen: slices.Contains(ans.Options, o.ID)})
	}
	return out
}

// offeredRows lists each row with the bin it was put in, and with its right bin
// where that is another.
func offeredRows(it *quiz.Item, ans quiz.Answer) []OfferedOption {
	bins := map[string]string{}
	for _, b := range it.Interaction.Bins {
		bins[b.ID] = b.Text
	}
	var out []OfferedOption
	for _, row := range it.Interaction.Rows {
		for _, k := range it.Key.Rows {
			if k.Row != row.ID {
				continue
			}
			text := func(bin string) string { return row.Text + ": " + bins[bin] }
			given, right := ans.Rows[row.ID], append([]string{k.Bin}, k.Also...)
			if given != "" {
				out = append(out, OfferedOption{Text: text(given), Fact: k.Fact, Right: slices.Contains(right, given), Chosen: true})
			}
			if !slices.Contains(right, given) {
				out = append(out, OfferedOption{Text: text(k.Bin), Fact: k.Fact, Right: true})
			}
		}
	}
	slices.SortStableFunc(out, byText)
	return out
}

// optionText names an option so that two sheets of a family that differ in
// letters, order or mirroring give the same thing the same name.
func optionText(it *quiz.Item, place int, o quiz.Option) string {
	f := it.Figure
	switch {
	case o.Text != "":
		return o.Text
	case o.Drawn != nil && f != nil && f.Facing != nil && o.Drawn.Toward == "left":
		return "towards the " + f.Facing.Left
	case o.Drawn != nil && f != nil && f.Facing != nil && o.Drawn.Toward == "right":
		return "towards the " + f.Facing.Right
	case o.Drawn != nil && o.Drawn.Toward != "":
		return string(o.Drawn.Shape) + ", " + o.Drawn.Toward
	case o.Drawn != nil:
		return string(o.Drawn.Shape)
	case f != nil && f.Joint != nil:
		return "place " + strconv.Itoa(place+1)
	}
	return "option " + strconv.Itoa(place+1)
}
