package itemmodel

import (
	"fmt"
	"math/big"
	"math/rand/v2"
	"strings"

	"soloright/content"
	"soloright/content/bolting"
	"soloright/quiz"
)

// tightenTheJoint asks for the order of one pass on the drawing of the joint, judged by
// the crossing rule or the pinned table ([bolting.Judge]). The letters beside the
// fasteners run clockwise from a random one, so they say nothing of the order.
var tightenTheJoint = &model{onDrawing: true, name: "tighten-the-joint", version: 1, kinds: []content.FactKind{content.KindSequence}, plan: drawn(planTightening)}

// examplesKept is how many right sequences are worked out for one joint.
const examplesKept = 8

// tightening is a joint whose sequence can be judged.
type tightening struct {
	*jointView
	examples [][]int // right sequences, of places from 0
	chance   quiz.Chance
}

func planTightening(src *quiz.Source, lead content.Fact) plan {
	j := src.Index.Joint(lead.Subject)
	if why := judgeable(j); why != "" {
		return none(why)
	}
	right, all := bolting.Chance(j.Pattern, j.Sequence.Rule)
	full := quiz.Fraction{Rat: new(big.Rat).SetFrac(right, all)}
	t := &tightening{jointView: viewOf(j), chance: quiz.Chance{Mean: full, Full: full}}
	rnd := rand.New(rand.NewPCG(1, 1)) // which right sequences stand as examples does not matter
	for range examplesKept {
		places, err := bolting.Write(j.Pattern, j.Sequence.Rule, rnd)
		if err != nil {
			return none("its sequence cannot be written: " + err.Error())
		}
		t.examples = append(t.examples, places)
	}
	return t
}

// judgeable says why no sequence can be asked for on the joint; "" where one can.
func judgeable(j *content.Joint) string {
	switch {
	case j == nil || j.Sequence == nil:
		return "the joint states no sequence"
	case j.Pattern.Count < 4:
		return "a joint of fewer than four fasteners has no crossing pattern"
	}
	if err := j.Sequence.Rule.Check(j.Pattern); err != nil {
		return "its sequence cannot be judged: " + err.Error()
	}
	return ""
}

// count is 1: what varies is only how the joint is drawn.
func (t *tightening) count() (int, string) { return 1, "" }

func (t *tightening) write(rnd *rand.Rand) (quiz.Item, error) {
	f := t.figure(rnd)
	n := t.joint.Pattern.Count
	it := quiz.Item{Signature: "one pass", Seconds: 40 + 5*n, Chance: t.chance, Figure: &quiz.Figure{Joint: f},
		Interaction: quiz.Interaction{Kind: quiz.Sequence, Options: t.lettered(f.Mirror, rnd.IntN(n))}}
	example := t.examples[rnd.IntN(len(t.examples))]
	ids, letters := make([]string, n), make([]string, n)
	for i, place := range example {
		o := it.Interaction.Options[place-1]
		ids[i], letters[i] = o.ID, o.Text
	}
	it.Key.Sequence = &quiz.KeySequence{Pattern: t.joint.Pattern, Rule: t.joint.Sequence.Rule, Example: ids}
	it.Stem = fmt.Sprintf("%s: the drawing shows its %d fasteners. In which order do you tighten them in one pass?", t.joint.Title, n)
	if t.joint.Sequence.Rule.Kind == bolting.Pinned {
		it.Stem = fmt.Sprintf("%s: the drawing shows its %d fasteners. In which order does the procedure have you tighten them?", t.joint.Title, n)
	}
	if at := t.joint.Pattern.StartAt; at > 0 {
		f.Start = it.Interaction.Options[at-1].ID
		it.Stem += " The marked one comes first."
	}
	it.Explain = t.rule() + " One right order: " + strings.Join(letters, " ") + "."
	return it, nil
}

// lettered letters the fasteners clockwise on the drawing, from the given one.
func (t *tightening) lettered(mirrored bool, from int) []quiz.Option {
	n := len(t.around)
	out := make([]quiz.Option, n)
	for i, rank := range t.around {
		if mirrored {
			rank = n - rank
		}
		out[i] = quiz.Option{ID: letter(i), Text: capital((rank + from) % n)}
	}
	return out
}

// rule says the rule in words.
func (v *jointView) rule() string {
	p, r := v.joint.Pattern, v.joint.Sequence.Rule
	switch {
	case r.Kind == bolting.Pinned:
		return "The procedure gives the order; turned or mirrored with the joint it is the same."
	case r.Kind == bolting.Circular:
		return "Go round the circle, each fastener to its neighbour."
	case p.Shape == bolting.Circle && p.Count%2 == 1:
		return fmt.Sprintf("Each next fastener stands %d places on.", (p.Count-1)/2)
	case p.Shape == bolting.Circle && p.Count%4 == 0 && p.Count > 4:
		return "Crosswise: the one opposite, then the pair a quarter turn off, then four that are not beside the last while any such are left."
	case p.Shape == bolting.Circle && p.Count > 4:
		return "Crosswise: the one opposite, then a pair that is not beside the last while any such is left."
	case p.Count == 4:
		return "Crosswise: one diagonal, then the other."
	}
	return "Crosswise: opposite pairs through the centre, from the middle outward."
}
