package itemmodel

import (
	"math/rand/v2"
	"strings"

	"soloright/content"
	"soloright/quiz"
)

// The models on joints and inspections that ask for one statement among what the
// procedure states to be wrong.
var (
	checkPass = &model{name: "check-pass", version: 1, kinds: []content.FactKind{content.KindCheckPass}, plan: planCheckPass}

	tightenAgain = &model{name: "tighten-again", version: 1, kinds: []content.FactKind{content.KindAgain}, plan: planAgain}

	cleanWith = &model{name: "clean-with", version: 1, kinds: []content.FactKind{content.KindClean}, plan: planClean}

	symptomToCause = &model{name: "symptom-to-cause", version: 1, kinds: []content.FactKind{content.KindCause}, plan: planCause}
)

func planCheckPass(src *quiz.Source, lead content.Fact) plan {
	j := src.Index.Joint(lead.Subject)
	stem := j.Title + ": every fastener has had its last load step in the sequence. What do you do before you put the wrench away?"
	return telling(src, newChoice(lead, stem, j.CheckPass.Do, j.CheckPass.Not))
}

func planAgain(src *quiz.Source, lead content.Fact) plan {
	j := src.Index.Joint(lead.Subject)
	return telling(src, newChoice(lead, j.Title+": the joint is tightened and checked. When is it tightened again?", j.Again.When, j.Again.Not))
}

// planCause takes its wrong answers only from what the fault is stated not to be: the
// other causes of the same fault are right as well, and those of other faults are not
// stated to be wrong here.
func planCause(src *quiz.Source, lead content.Fact) plan {
	f := src.Index.Fault(lead.Subject)
	for _, c := range f.Causes {
		if c.ID == lead.Sub {
			return telling(src, newChoice(lead, sentence(f.Symptom)+" What do you look for?", c.Text, f.Not))
		}
	}
	return none("there is no such cause")
}

// planClean has two variants: what a feature may be cleaned with, and what never.
func planClean(src *quiz.Source, lead content.Fact) plan {
	n := src.Index.Inspection(lead.Subject)
	what := featureOf(src, n)
	nots := make([]string, len(n.Clean.Not))
	for i, w := range n.Clean.Not {
		nots[i] = w.Text
	}
	may := newChoiceAny(lead, sentence(what+" – you clean it for inspection")+" What may you use?", n.Clean.With, n.Clean.Not)
	never := newChoiceAny(lead, sentence(what+" – you clean it for inspection")+" What must you not use?", nots,
		stated(n.Clean.With, func(int) string { return "That is permitted: clean with " + strings.Join(n.Clean.With, " or ") + "." }))
	return eitherOf(variant{"may", telling(src, may), true}, variant{"never", telling(src, never), false})
}

// telling makes a choice say what its stem and each of its texts give away.
func telling(src *quiz.Source, c *choicePlan) *choicePlan {
	told := map[string][]content.FactID{}
	for _, text := range c.rights {
		told[text] = toldBy(src, text, nil)
	}
	for _, w := range c.wrong {
		told[w.Text] = toldBy(src, w.Text, nil)
	}
	c.shows = union(c.shows, toldBy(src, c.stem, nil)...)
	c.tells = func(text string) []content.FactID { return told[text] }
	return c
}

// variant is one of several choices that a fact may be asked with. Its wrong options
// are dangerous on a critical fact, or only lose the mark.
type variant struct {
	name      string
	plan      *choicePlan
	dangerous bool
}

// variants holds those that can be written, each as likely as any other.
type variants []variant

// eitherOf keeps the variants with enough wrong answers; with none the reason of the
// first is given.
func eitherOf(all ...variant) plan {
	var vs variants
	for _, v := range all {
		if n, _ := v.plan.count(); n > 0 {
			vs = append(vs, v)
		}
	}
	if len(vs) == 0 {
		_, why := all[0].plan.count()
		return none(why)
	}
	return vs
}

func (vs variants) count() (int, string) {
	sum := 0
	for _, v := range vs {
		n, _ := v.plan.count()
		sum += n
	}
	return min(sum, quiz.MaxCount), ""
}

func (vs variants) write(rnd *rand.Rand) (quiz.Item, error) {
	v := vs[rnd.IntN(len(vs))]
	it, err := v.plan.write(rnd)
	it.Signature = v.name + "|" + it.Signature
	for i := range it.Key.Options {
		it.Key.Options[i].Dangerous = it.Key.Options[i].Dangerous && v.dangerous
	}
	return it, err
}
