package itemmodel

import (
	"fmt"
	"math/big"
	"math/rand/v2"

	"soloright/content"
	"soloright/quiz"
)

// loadSteps asks what one load step is. In the first variant it is the setting of a
// wrench, in the wrench's unit; the stem gives the target, and a step's tolerance is
// the same percentage of the step's value. In the second it is the percentage itself,
// which shows nothing and so can stand beside an item on the target.
var loadSteps = &model{name: "load-steps", version: 1, kinds: []content.FactKind{content.KindLoadSteps}, plan: named(planLoadSteps)}

// loadStepPlan holds both variants; the last step, the full target, is never asked for.
type loadStepPlan struct {
	set   *chooser
	joint *content.Joint
	asked []int // steps that are asked for, from 0
}

func planLoadSteps(src *quiz.Source, lead content.Fact) plan {
	j := src.Index.Joint(lead.Subject)
	if j == nil {
		return none("there is no such joint")
	}
	p := &loadStepPlan{set: &chooser{}, joint: j}
	for k, percent := range j.LoadSteps {
		if percent < 100 {
			p.asked = append(p.asked, k)
		}
	}
	if len(p.asked) == 0 {
		return none("there is no step before the full target")
	}
	if t, why := targetOf(src, lead.Subject); why == "" {
		p.addWrenches(src, t)
	}
	return p
}

func (p *loadStepPlan) addWrenches(src *quiz.Source, t target) {
	for _, w := range wrenches(src) {
		for _, k := range p.asked {
			if s, ok := t.on(w, p.joint.LoadSteps[k]); ok && s.sensible() {
				p.set.add(s, func() quiz.Item { return writeLoadStep(t, s, k) })
			}
		}
	}
}

func (p *loadStepPlan) count() (int, string) {
	n, _ := p.set.count()
	return n + len(p.asked), ""
}

func (p *loadStepPlan) write(rnd *rand.Rand) (quiz.Item, error) {
	if n, _ := p.set.count(); n > 0 && rnd.IntN(3) > 0 {
		return p.set.write(rnd)
	}
	return writePercent(p.joint, p.asked[rnd.IntN(len(p.asked))]), nil
}

// writePercent asks for the percentage. The chance mark is that of guessing among the tens.
func writePercent(j *content.Joint, k int) quiz.Item {
	percent := int64(j.LoadSteps[k])
	it := quiz.Item{Signature: fmt.Sprint(k+1, "|%"), Seconds: 45, Chance: oneOf(10), Interaction: quiz.Interaction{Kind: quiz.Numeric, Unit: "%"}}
	it.Stem = fmt.Sprintf("%s is tightened in load steps. What percentage of the target is the %s step?", j.Title, nth(k+1))
	key := &numberKey{exact: big.NewRat(percent, 1)}
	key.accept(key.exact, key.exact)
	for i, p := range j.LoadSteps {
		if i != k {
			key.mistake(big.NewRat(int64(p), 1), new(big.Rat), fmt.Sprintf("That is the %s step; the %s is %d %%.", nthOrLast(i+1, len(j.LoadSteps)), nth(k+1), percent))
		}
	}
	if k > 0 {
		key.mistake(big.NewRat(percent-int64(j.LoadSteps[k-1]), 1), new(big.Rat), "That is the rise from the step before.")
	}
	key.mistake(big.NewRat(100-percent, 1), new(big.Rat), "That is what is still missing after the step.")
	it.Key.Number = key.key("")
	it.Explain = fmt.Sprintf("The %s step is %d %% of the target.", nth(k+1), percent)
	return it
}

func writeLoadStep(t target, s setting, k int) quiz.Item {
	nth := nth(k + 1)
	it := quiz.Item{Signature: fmt.Sprint(k+1, "|", s.wrench.id()), Seconds: 120, Shows: []content.FactID{targetID(t)}}
	it.Stem = fmt.Sprintf("%s: the target is %s, and it is reached in the load steps that the procedure gives. You have %s. What do you set it to for the %s step?",
		t.joint.Title, t.words(), s.wrench.words(), nth)
	key := s.start()
	percent := t.joint.LoadSteps[k]
	full := quo(mul(s.Exact, big.NewRat(100, 1)), big.NewRat(int64(percent), 1))
	for i, p := range t.joint.LoadSteps {
		if i != k {
			s.slip(key, mul(full, big.NewRat(int64(p), 100)), fmt.Sprintf("That is the %s step, %d %%; the %s is %d %%.", nthOrLast(i+1, len(t.joint.LoadSteps)), p, nth, percent))
		}
	}
	if k > 0 {
		rise := percent - t.joint.LoadSteps[k-1]
		s.slip(key, mul(full, big.NewRat(int64(rise), 100)), fmt.Sprintf("That is the rise from the step before. A step is %d %% of the target, not of what is missing.", percent))
	}
	s.slip(key, sub(full, s.Exact), fmt.Sprintf("%d %% is what is set, not what is taken off.", percent))
	s.unitSlips(key, t.torque.Unit(), mul(t.torque.Value(), big.NewRat(int64(percent), 100)))
	s.ask(&it, key)
	it.Explain = fmt.Sprintf("The %s step is %d %% of %s, that is %s %s. %s", nth, percent, t.torque.Text(), about(s.Exact), s.wrench.Unit, s.result())
	return it
}

// nth writes a place in words.
func nth(n int) string {
	names := []string{"first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth"}
	if n >= 1 && n <= len(names) {
		return names[n-1]
	}
	return fmt.Sprintf("%d.", n)
}

// nthOrLast writes a place in words, the last one as such.
func nthOrLast(n, last int) string {
	if n == last {
		return "last"
	}
	return nth(n)
}
