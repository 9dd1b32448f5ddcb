package itemmodel

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"

	"soloright/content"
	"soloright/content/bolting"
	"soloright/quiz"
)

// whichFastenerNext shows a joint on which some fasteners are tight, in order, and asks
// which comes next, among one that may and others that break the rule. It gives fresh
// items where tightening the whole joint is one and the same item.
//
// Two beginnings that a rotation or reflection of the joint carries into each other are
// one item; it is written with the one whose places come first, and the drawing is
// turned and mirrored at random.
var whichFastenerNext = &model{name: "which-fastener-next", version: 1, kinds: []content.FactKind{content.KindSequence}, plan: drawn(planNextFastener)}

// beginningsTried is how many right sequences are cut off to find beginnings.
const beginningsTried = 48

// longestBeginning is how many fasteners are tight at most.
const longestBeginning = 7

// beginning is a right beginning of a pass, and what may and may not follow it.
type beginning struct {
	tight []int // places from 1, in order
	right int
	wrong []content.Wrong // letters, each with the clause it breaks
}

// nexts holds the beginnings of one joint.
type nexts struct {
	*jointView
	lead   content.Fact
	labels []string // by place; they do not change, so that an item's words do not depend on the drawing
	all    []beginning
}

func planNextFastener(src *quiz.Source, lead content.Fact) plan {
	j := src.Index.Joint(lead.Subject)
	if why := judgeable(j); why != "" {
		return none(why)
	}
	x := &nexts{jointView: viewOf(j), lead: lead}
	for place := range j.Pattern.Count {
		x.labels = append(x.labels, capital(x.around[place]))
	}
	rnd := rand.New(rand.NewPCG(2, 2)) // it decides only which beginnings are asked about
	seen := map[string]bool{}
	for range beginningsTried {
		sequence, err := bolting.Write(j.Pattern, j.Sequence.Rule, rnd)
		if err != nil {
			return none("its sequence cannot be written: " + err.Error())
		}
		for n := 1; n <= min(longestBeginning, j.Pattern.Count-3); n++ {
			tight := x.first(sequence[:n+1])
			if key := fmt.Sprint(tight); !seen[key] {
				seen[key] = true
				x.add(tight[:n], tight[n])
			}
		}
	}
	if len(x.all) == 0 {
		return none("no beginning leaves two fasteners that break the rule")
	}
	return x
}

// first is the least of the sequences into which the symmetries of the joint carry one.
func (x *nexts) first(sequence []int) []int {
	best := slices.Clone(sequence)
	for _, s := range bolting.Symmetries(x.joint.Pattern) {
		moved := make([]int, len(sequence))
		for i, place := range sequence {
			moved[i] = s[place-1]
		}
		if slices.Compare(moved, best) < 0 {
			best = moved
		}
	}
	return best
}

// add adds a beginning where at least two of the others may not follow it.
func (x *nexts) add(tight []int, right int) {
	p, r := x.joint.Pattern, x.joint.Sequence.Rule
	may := bolting.Next(p, r, tight)
	b := beginning{tight: tight, right: right}
	for place := 1; place <= p.Count; place++ {
		if slices.Contains(tight, place) || slices.Contains(may, place) {
			continue
		}
		v := bolting.Judge(p, r, completed(append(slices.Clone(tight), place), p.Count))
		b.wrong = append(b.wrong, content.Wrong{Text: x.labels[place-1], Because: x.breaks(v.Clause, tight, place)})
	}
	if len(b.wrong) >= fewestWrong {
		x.all = append(x.all, b)
	}
}

// completed adds the places that a beginning leaves out.
func completed(places []int, n int) []int {
	for place := 1; place <= n; place++ {
		if !slices.Contains(places, place) {
			places = append(places, place)
		}
	}
	return places
}

// breaks says which clause the fastener breaks, by the letters on the drawing.
func (x *nexts) breaks(clause string, tight []int, place int) string {
	last, it := x.labels[tight[len(tight)-1]-1], x.labels[place-1]
	switch clause {
	case bolting.ClauseOpposite:
		return fmt.Sprintf("%s does not stand opposite %s, the first of this pair.", it, last)
	case bolting.ClauseQuarter:
		return fmt.Sprintf("%s begins the second pair of a four, and that stands a quarter turn from the first.", it)
	case bolting.ClauseGroup:
		return fmt.Sprintf("%s is beside the ones just tightened, and others that are not are still free.", it)
	case bolting.ClauseFollow:
		return fmt.Sprintf("%s is the neighbour of %s, which has just been tightened.", it, last)
	case bolting.ClauseStep:
		return fmt.Sprintf("%s does not stand %d places from %s.", it, (x.joint.Pattern.Count-1)/2, last)
	case bolting.ClauseOutward:
		return fmt.Sprintf("%s lies further out, and one nearer the middle is still free.", it)
	case bolting.ClauseAround:
		return fmt.Sprintf("%s is not the next one round from %s.", it, last)
	}
	return fmt.Sprintf("The procedure does not go on to %s from %s.", it, last)
}

func (x *nexts) count() (int, string) {
	sum := 0
	for _, b := range x.all {
		sum += choose(len(b.wrong), min(3, len(b.wrong)))
	}
	return min(sum, quiz.MaxCount), ""
}

func (x *nexts) write(rnd *rand.Rand) (quiz.Item, error) {
	b := x.all[rnd.IntN(len(x.all))]
	var d decision
	for _, i := range some(rnd, len(b.wrong), min(3, len(b.wrong))) {
		d.verdicts = append(d.verdicts, verdict{b.wrong[i].Text, b.wrong[i].Because, true})
	}
	d.right = len(d.verdicts)
	d.verdicts = append(d.verdicts, verdict{text: x.labels[b.right-1]})
	tight := make([]string, len(b.tight))
	for i, place := range b.tight {
		tight[i] = x.labels[place-1]
	}
	d.seconds = 45
	d.stem = fmt.Sprintf("%s, one pass: %s. Which of these may come next?", x.joint.Title, tightWords(tight))
	d.explain = fmt.Sprintf("%s After %s may come %s.", x.rule(), tight[len(tight)-1], x.labels[b.right-1])
	parts := make([]string, len(d.verdicts)-1)
	for i := range parts {
		parts[i] = d.verdicts[i].text
	}
	d.signature = signature(strings.Join(tight, "")+">"+x.labels[b.right-1], parts)
	it := d.shuffled(x.lead, rnd)
	f := x.figure(rnd)
	f.Labels, f.Tight = x.labels, b.tight
	it.Figure = &quiz.Figure{Joint: f}
	return it, nil
}

// tightWords lists the letters in the order of tightening.
func tightWords(letters []string) string {
	if len(letters) == 1 {
		return letters[0] + " is tight"
	}
	return strings.Join(letters[:len(letters)-1], ", ") + " and " + letters[len(letters)-1] + " are tight, in this order"
}
