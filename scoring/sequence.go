package scoring

import (
	"errors"
	"slices"

	"soloright/content/bolting"
	"soloright/quiz"
)

// sequence marks a tightening sequence by its rule; the feedback names what
// breaks it.
func (t *tally) sequence(a quiz.Answer) error {
	k := t.item.Key.Sequence
	if k == nil || k.Pattern.Count != len(t.item.Interaction.Options) {
		return errors.New("a sequence needs a rule in its key, on as many fasteners as are shown")
	}
	seq := make([]int, len(a.Options))
	for i, id := range a.Options {
		seq[i] = t.optionPlace(id) + 1
	}
	v := bolting.Judge(k.Pattern, k.Rule, completed(seq, k.Pattern.Count))
	if v.Right && len(seq) == k.Pattern.Count {
		t.set(1, 1)
		return nil
	}
	t.missWhole()
	switch {
	case t.blank:
	case v.Right || v.At >= len(seq):
		t.whole = Blank // what was given breaks no rule, the rest is missing
		t.tell("Not every fastener is in the sequence.")
	default:
		t.tell(t.breach(v))
	}
	return nil
}

// completed adds the places that a sequence leaves out, in their order, so that
// what was given can be judged for itself.
func completed(seq []int, n int) []int {
	out := slices.Clone(seq)
	for place := 1; place <= n; place++ {
		if !slices.Contains(seq, place) {
			out = append(out, place)
		}
	}
	return out
}

// breach names the pair that breaks the rule, by the letters on the drawing, and
// says why.
func (t *tally) breach(v bolting.Verdict) string {
	why, ok := clauses[v.Clause]
	if !ok || v.Pair[1] == 0 {
		return v.Reason
	}
	if v.Pair[0] == 0 {
		return t.fastener(v.Pair[1]) + " first: " + why + "."
	}
	return t.fastener(v.Pair[1]) + " after " + t.fastener(v.Pair[0]) + ": " + why + "."
}

// fastener is what stands beside a place on the drawing.
func (t *tally) fastener(place int) string {
	o := t.item.Interaction.Options[place-1]
	if o.Text == "" {
		return o.ID
	}
	return o.Text
}

// clauses says in words what each clause asks for. The words of package bolting
// number the places, which the drawing does not show.
var clauses = map[string]string{
	bolting.ClauseOpposite: "the second of a pair stands opposite the first",
	bolting.ClauseQuarter:  "the second pair of a four stands a quarter turn from the first",
	bolting.ClauseGroup:    "these stand beside the last ones, while others were still free",
	bolting.ClauseFollow:   "no fastener directly follows its neighbour",
	bolting.ClauseStep:     "on an odd circle the next one stands almost opposite, one of the two nearest to it",
	bolting.ClauseOutward:  "work from the centre outward; a pair nearer the centre was still free",
	bolting.ClauseAround:   "round the circle the next one is the neighbour, always the same way",
	bolting.ClauseTable:    "here the sequence of the procedure goes to another one",
	bolting.ClauseStart:    "the sequence starts at the marked fastener",
}
