package itemmodel

import (
	"fmt"
	"math/big"
	"math/rand/v2"

	"soloright/content"
	"soloright/content/torque"
	"soloright/quiz"
)

// startAgain is what is done where the next hole lies past the maximum.
const startAgain = "slacken fully and start again"

// bringTheHolesRound asks what is done when a joint is at its target and the holes
// do not line up: turn on in the tightening direction to the next aligned angle, 0
// where one is aligned already; where that would pass the maximum, slacken fully and
// start again; never back off to a hole. The maximum must be known. With a maximum
// angle the answer is a number of degrees, with a maximum torque a choice.
var bringTheHolesRound = &model{name: "bring-the-holes-round", version: 1, kinds: []content.FactKind{content.KindAlign}, plan: named(planHoles)}

func planHoles(src *quiz.Source, lead content.Fact) plan {
	j := src.Index.Joint(lead.Subject)
	switch {
	case j == nil || j.Align == nil:
		return none("the joint states no alignment")
	case j.Align.MaxAngle != nil:
		return planAngleHoles(j)
	case j.Align.MaxTorque != nil:
		return planTorqueHoles(src, lead, j)
	}
	return none("the joint states no maximum")
}

// angleHoles is the geometry of a joint with a maximum angle.
type angleHoles struct {
	joint   *content.Joint
	step    *big.Rat // the angles shown are whole numbers of it, in degrees
	every   int64    // steps from hole to hole
	most    *big.Rat // the maximum, degrees beyond target
	passing int64    // the first number of steps that passes it
}

func planAngleHoles(j *content.Joint) plan {
	every, err := j.Align.Every.In(torque.Degree)
	limit, err2 := j.Align.MaxAngle.In(torque.Degree)
	if err != nil || err2 != nil || every.Sign() <= 0 {
		return none("the angles of the alignment are not angles")
	}
	h := &angleHoles{joint: j, most: limit, step: quo(every, big.NewRat(12, 1))}
	for _, step := range []int64{5, 1} {
		if n := quo(every, big.NewRat(step, 1)); n.IsInt() && n.Cmp(big.NewRat(4, 1)) >= 0 {
			h.step = big.NewRat(step, 1)
			break
		}
	}
	h.every = floor(quo(every, h.step))
	h.passing = floor(quo(limit, h.step)) + 1
	return h
}

func (h *angleHoles) count() (int, string) { return int(min(h.every, quiz.MaxCount)), "" }

func (h *angleHoles) write(rnd *rand.Rand) (quiz.Item, error) { return h.item(h.draw(rnd)), nil }

// draw picks how many steps ahead the next hole is: a third of the time so far that
// the maximum would be passed, one in eight of the others aligned already.
func (h *angleHoles) draw(rnd *rand.Rand) int64 {
	if far := h.every - h.passing; far > 0 && rnd.IntN(3) == 0 {
		return h.passing + rnd.Int64N(far)
	}
	near := min(h.every, h.passing) - 1
	if near < 1 || rnd.IntN(8) == 0 {
		return 0
	}
	return 1 + rnd.Int64N(near)
}

func (h *angleHoles) degrees(steps int64) *big.Rat { return mul(h.step, big.NewRat(steps, 1)) }

// item is the item with the next hole so many steps ahead. Its chance mark is that
// of somebody who picks one of the two angles shown, nothing, or starting again.
func (h *angleHoles) item(ahead int64) quiz.Item {
	a, pitch := h.degrees(ahead), h.degrees(h.every)
	back := sub(pitch, a)
	it := quiz.Item{Signature: plain(a), Seconds: 75, Stem: h.stem(a, back)}
	it.Interaction = quiz.Interaction{Kind: quiz.Numeric, Unit: "°", Options: []quiz.Option{{ID: letter(0), Text: startAgain}}}
	it.Chance = oneOf(4)
	k := &numberKey{exact: a}
	limit := plain(h.most) + "°"
	if ahead >= h.passing {
		k.span(a, a, "That would pass the maximum, "+limit+" beyond target.")
		h.backings(k, back)
		it.Key.Number = k.key(letter(0))
		it.Explain = fmt.Sprintf("The next hole is %s° on, past the maximum of %s: slacken fully and start again.", plain(a), limit)
		return it
	}
	k.accept(a, a)
	if ahead > 0 {
		h.backings(k, back)
	}
	k.span(add(a, pitch), add(a, pitch), "That is the hole after the next: stop at the first one that lines up.")
	k.span(pitch, pitch, "That is the angle from hole to hole, not the angle to the next hole.")
	it.Key.Number = k.key("")
	it.Feedback = []quiz.Feedback{{Option: letter(0), Text: "Turning on is within the maximum, " + limit + " beyond target."}}
	it.Explain = fmt.Sprintf("Turn on in the tightening direction to the next hole: %s°. That is within the maximum of %s.", plain(a), limit)
	if ahead == 0 {
		it.Feedback[0].Text = "The holes line up already: there is nothing to do."
		it.Explain = "The holes line up at the target: turn no further."
	}
	return it
}

// backings adds backing off to the last hole, with and without a sign.
func (h *angleHoles) backings(k *numberKey, back *big.Rat) {
	const never = "That is back to the last hole. Never back off: it takes the torque out of the joint."
	k.span(back, back, never)
	minus := new(big.Rat).Neg(back)
	k.span(minus, minus, never)
}

func (h *angleHoles) stem(ahead, back *big.Rat) string {
	title := h.joint.Title
	if ahead.Sign() == 0 {
		return title + ": at its target the holes line up. How many degrees more do you turn?"
	}
	clock, anti := ahead, back
	if h.joint.Align.Hand == "left" {
		clock, anti = back, ahead
	}
	return fmt.Sprintf("%s: at its target the holes do not line up. The thread is %s-hand. Seen from the side you tighten from, the nearest holes are %s° away clockwise and %s° away anticlockwise. How many degrees more do you turn?",
		title, h.hand(), plain(clock), plain(anti))
}

func (h *angleHoles) hand() string {
	if h.joint.Align.Hand == "left" {
		return "left"
	}
	return "right"
}

// torqueHoles is a joint with a maximum torque, read off as the holes line up.
type torqueHoles struct {
	lead  content.Fact
	joint *content.Joint
	gauge gauge
}

func planTorqueHoles(src *quiz.Source, lead content.Fact, j *content.Joint) plan {
	t, why := targetOf(src, j.ID)
	if why != "" {
		return none(why)
	}
	unit, resolution := j.Align.MaxTorque.Unit(), finest(j.Align.MaxTorque.Value(), 40)
	g, ok := gaugeOf(content.Limit{Max: j.Align.MaxTorque}, unit, resolution)
	from, err := t.torque.In(unit)
	if !ok || err != nil {
		return none("no reading can be made up round the maximum")
	}
	g.zones[within].from = max(g.zones[within].from, floor(quo(from, resolution))+1)
	if g.zones[within].size() == 0 {
		return none("the maximum is not above the target")
	}
	return &torqueHoles{lead, j, g}
}

func (h *torqueHoles) count() (int, string) { return h.gauge.count(), "" }

func (h *torqueHoles) write(rnd *rand.Rand) (quiz.Item, error) {
	k, in := h.gauge.draw(rnd)
	reading, limit := h.gauge.text(k), h.joint.Align.MaxTorque.Text()
	d := decision{seconds: 60, signature: reading, verdicts: []verdict{
		{"leave it there", reading + " is past the maximum of " + limit + ".", true},
		{"back off to the target torque", "Never back off: it takes the torque out of the joint and the holes out of line.", true},
		{"turn on to the hole after that", "Stop at the first hole that lines up; turning on only adds torque.", true},
		{startAgain, reading + " is within the maximum of " + limit + ": the joint is done.", false},
	}}
	d.stem = h.joint.Title + ": at its target torque the holes did not line up, so you turned on. They line up as the wrench shows " + reading + ". What do you do?"
	d.explain = reading + " is within the maximum of " + limit + " (limits are inclusive), so it stays as it is."
	if in == above {
		d.right = 3
		d.explain = reading + " is past the maximum of " + limit + ": slacken fully and start again."
	}
	return d.shuffled(h.lead, rnd), nil
}
