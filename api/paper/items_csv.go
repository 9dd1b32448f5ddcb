package paper

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"soloright/scoring/itemhealth"
	"soloright/scoring/itemstat"
)

// itemsHead names the columns of [ItemsCSV]. An empty cell is a figure that cannot
// be given yet; people says from how many it would stand.
var itemsHead = []string{"procedure", "fact", "model", "revisions", "stated_now", "people", "answers",
	"difficulty", "difficulty_lo", "difficulty_hi", "item_total", "item_total_lo", "item_total_hi", "discrimination", "omitted",
	"time_lower_s", "time_median_s", "time_upper_s", "rasch", "slope", "slope_difficulty", "flags", "sentences"}

// ItemsCSV writes the health of items as a table, one line for each family and what
// its fact stated, the worst first within a procedure.
func ItemsCSV(w io.Writer, order []string, reports map[string]*itemhealth.Report) error {
	c := NewCSV(w)
	if err := c.Row(itemsHead...); err != nil {
		return err
	}
	for _, id := range order {
		rep := reports[id]
		if rep == nil {
			continue
		}
		for _, h := range rep.Items {
			if err := c.Row(itemRow(id, h)...); err != nil {
				return err
			}
		}
	}
	return c.End()
}

func itemRow(procedure string, h itemhealth.Health) []string {
	now := "no"
	if h.Current {
		now = "yes"
	}
	var flags, sentences []string
	for _, f := range h.Flags {
		sure := "firm"
		if !f.Firm {
			sure = "may be luck"
		}
		flags = append(flags, fmt.Sprintf("%s (%s)", f.Kind, sure))
		sentences = append(sentences, f.Sentence)
	}
	return []string{procedure, h.Lead, h.Model, strings.Join(h.Revisions, " "), now, strconv.Itoa(h.People), strconv.Itoa(h.Answers),
		cellOf(h.Difficulty), low(h.Difficulty), high(h.Difficulty), cellOf(h.ItemTotal), low(h.ItemTotal), high(h.ItemTotal),
		cellOf(h.Discrimination), cellOf(h.Omitted), cellOf(h.Lower), cellOf(h.Median), cellOf(h.Upper),
		cellOf(h.Rasch), cellOf(h.Slope), cellOf(h.Intercept), strings.Join(flags, "; "), strings.Join(sentences, " ")}
}

func cellOf(f itemstat.Figure) string {
	if !f.Known() {
		return ""
	}
	return fourPlaces(f.Value)
}

func low(f itemstat.Figure) string  { return bound(f, f.Lo) }
func high(f itemstat.Figure) string { return bound(f, f.Hi) }

func bound(f itemstat.Figure, x float64) string {
	if !f.Known() || f.Conf == 0 {
		return ""
	}
	return fourPlaces(x)
}

func fourPlaces(x float64) string { return strconv.FormatFloat(x, 'f', 4, 64) }
