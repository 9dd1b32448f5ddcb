package itemmodel

import (
	"math/rand/v2"

	"soloright/content"
	"soloright/quiz"
)

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

// telling makes a choice say what its stem and each of its texts give away.
func telling(src *quiz.Source, c *choicePlan) *choicePlan {
	told := map[string][]content.FactID{}
	for _, text := range c.rights {
		told[text] = toldOnce(src, text)
	}
	for _, w := range c.wrong {
		told[w.Text] = toldOnce(src, w.Text)
	}
	c.shows = union(c.shows, toldOnce(src, c.stem)...)
	c.tells = func(text string) []content.FactID { return told[text] }
	return c
}
