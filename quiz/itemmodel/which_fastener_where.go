package itemmodel

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"

	"soloright/content"
	"soloright/content/torque"
	"soloright/quiz"
)

// whichFastenerWhere shows a joint with its places numbered as the procedure numbers
// them, and asks which length of fastener goes at each.
var whichFastenerWhere = &model{name: "which-fastener-where", version: 1, kinds: []content.FactKind{content.KindLength}, plan: drawn(planLengths)}

// mostPlaces is how many places an item asks about at most.
const mostPlaces = 6

// lengths are the places of a joint with a stated length.
type lengths struct {
	joint  *content.Joint
	bins   []string   // the lengths, rising
	rows   []matchRow // by place
	lead   []int      // rows of the lead's length
	others []int
	labels []string
}

func planLengths(src *quiz.Source, lead content.Fact) plan {
	j := src.Index.Joint(lead.Subject)
	if j == nil || len(j.Lengths) < 2 {
		return none("the joint states one length of fastener only")
	}
	byLength := slices.Clone(j.Lengths)
	slices.SortStableFunc(byLength, func(a, b content.Length) int { return turn(a.Length, b.Length) })
	l := &lengths{joint: j}
	for i, e := range byLength {
		if i > 0 && turn(byLength[i-1].Length, e.Length) == 0 {
			return none("two of its lengths are the same")
		}
		l.bins = append(l.bins, e.Length.Text())
	}
	for place := 1; place <= j.Pattern.Count; place++ {
		l.labels = append(l.labels, strconv.Itoa(place))
		if bin := slices.IndexFunc(byLength, func(e content.Length) bool { return slices.Contains(e.At, place) }); bin >= 0 {
			l.add(byLength, place, bin, byLength[bin].ID == lead.Sub)
		}
	}
	if len(l.lead) == 0 || len(l.others) == 0 {
		return none("its lengths leave nothing to choose")
	}
	return l
}

func (l *lengths) add(byLength []content.Length, place, bin int, lead bool) {
	right := byLength[bin]
	row := matchRow{text: fmt.Sprintf("place %d", place), bin: bin, because: make([]string, len(byLength)),
		fact: content.FactID(fmt.Sprint(content.KindLength, "/", l.joint.ID, "/", right.ID))}
	for i, e := range byLength {
		if i != bin {
			row.because[i] = lengthMistake(place, right.Length, i < bin, e.Length)
		}
	}
	if lead {
		l.lead = append(l.lead, len(l.rows))
	} else {
		l.others = append(l.others, len(l.rows))
	}
	l.rows = append(l.rows, row)
}

// lengthMistake says what the wrong length does. Common practice, no source.
func lengthMistake(place int, right torque.Quantity, shorter bool, wrong torque.Quantity) string {
	does := "may bottom or stand out before it clamps."
	if shorter {
		does = "holds by too few threads."
	}
	return fmt.Sprintf("Place %d takes %s. One of %s %s", place, right.Text(), wrong.Text(), does)
}

// shown gives the least and the greatest number of rows: all of them or, so that there
// is a fresh item to be had, one fewer; at most mostPlaces.
func (l *lengths) shown() (least, greatest int) {
	greatest = min(len(l.rows), mostPlaces)
	if len(l.rows) > mostPlaces {
		return greatest, greatest
	}
	return max(2, greatest-1), greatest
}

// halves gives the least and the greatest number of rows of the lead's length among k:
// half of them, as far as there are as many of either, so that one length for all is
// not half right.
func (l *lengths) halves(k int) (least, greatest int) {
	fit := func(n int) int { return max(k-len(l.others), 1, min(n, len(l.lead), k-1)) }
	return fit(k / 2), fit((k + 1) / 2)
}

func (l *lengths) count() (int, string) {
	least, greatest := l.shown()
	sum := 0
	for k := least; k <= greatest; k++ {
		from, to := l.halves(k)
		for n := from; n <= to; n++ {
			sum += times(choose(len(l.lead), n), choose(len(l.others), k-n))
		}
	}
	return min(sum, quiz.MaxCount), ""
}

// write shows places of the lead's length and of others, in the order of the places.
func (l *lengths) write(rnd *rand.Rand) (quiz.Item, error) {
	least, greatest := l.shown()
	k := least + rnd.IntN(greatest-least+1)
	from, to := l.halves(k)
	n := from + rnd.IntN(to-from+1)
	must := make([]int, 0, k)
	for _, i := range some(rnd, len(l.lead), n) {
		must = append(must, l.lead[i])
	}
	for _, i := range some(rnd, len(l.others), k-n) {
		must = append(must, l.others[i])
	}
	slices.Sort(must)
	rows := make([]matchRow, k)
	for i, r := range must {
		rows[i] = l.rows[r]
	}
	it := writeMatch(l.joint.Title+": which length of fastener goes where? The drawing numbers the places as the procedure does.", rows, l.bins)
	it.Interaction.Ordered = true
	it.Figure = &quiz.Figure{Joint: &quiz.JointFigure{Title: l.joint.Title, Pattern: l.joint.Pattern, Labels: l.labels}}
	it.Explain = sentence(l.explain())
	return it, nil
}

// explain lists the places of each length.
func (l *lengths) explain() string {
	parts := make([]string, len(l.bins))
	for bin, text := range l.bins {
		var at []string
		for _, r := range l.rows {
			if r.bin == bin {
				at = append(at, strings.TrimPrefix(r.text, "place "))
			}
		}
		parts[bin] = text + " at " + strings.Join(at, ", ")
	}
	return strings.Join(parts, "; ")
}
