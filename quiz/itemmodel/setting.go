package itemmodel

import (
	"math/big"

	"soloright/content/torque"
	"soloright/quiz"
)

// fit says whether a wrench serves for a setting.
type fit int

// The fits. A doubtful wrench is never put before a technician: the setting is so
// near the end of its scale, or its graduation so near the width of the band, that
// rounding decides; or its nearest mark lies outside the band.
const (
	fits fit = iota
	outOfRange
	tooCoarse
	doubtful
)

// setting is a torque to be set on a wrench; numbers are in the wrench's unit.
type setting struct {
	torque.Setting
	wrench wrench
	band   *[2]*big.Rat // nil where the joint states no tolerance
	fit    fit
}

// settingOf decides exactly: a target outside the range, or a graduation wider than
// the tolerance band, and it is not this wrench. Limits are inclusive. It reports
// false where the wrench does not measure what the target is.
func settingOf(w wrench, target torque.Quantity, band *[2]torque.Quantity) (setting, bool) {
	s := setting{Setting: w.Set(target, band), wrench: w}
	if s.Reason == torque.Unfit {
		return s, false
	}
	if band != nil {
		lo, err1 := band[0].In(w.Unit)
		hi, err2 := band[1].In(w.Unit)
		if err1 != nil || err2 != nil {
			return s, false
		}
		s.band = &[2]*big.Rat{lo, hi}
	}
	s.fit = s.judge()
	return s, true
}

func (s setting) judge() fit {
	for _, room := range []*big.Rat{sub(s.Exact, s.wrench.Min), sub(s.wrench.Max, s.Exact)} {
		if room.Sign() != 0 && abs(room).Cmp(s.wrench.Graduation) < 0 {
			return doubtful
		}
	}
	if s.band != nil && s.Reason != torque.OutOfRange {
		share := quo(s.wrench.Graduation, sub(s.band[1], s.band[0]))
		if share.Cmp(big.NewRat(9, 10)) > 0 && share.Cmp(big.NewRat(11, 10)) < 0 {
			return doubtful
		}
	}
	switch {
	case s.OutsideBand:
		return doubtful
	case s.Reason == torque.OutOfRange:
		return outOfRange
	case s.Reason == torque.TooCoarse:
		return tooCoarse
	}
	return fits
}

// start makes the key of the setting: the nearest mark (at a tie both), on a
// display everything within half its last digit. The first mistakes are the exact
// value left unrounded, and the mark on the other side of it.
func (s setting) start() *numberKey {
	k := &numberKey{exact: s.Exact}
	u := s.wrench.Unit.String()
	if s.fit != fits {
		k.mistake(s.Exact, quo(s.wrench.Graduation, big.NewRat(2, 1)), "Rightly worked out, but this wrench cannot be set to it: "+s.reason())
		return k
	}
	for _, in := range s.Accept {
		k.accept(in.Lo, in.Hi)
	}
	if !s.wrench.digital() {
		s.roundings(k, u)
	}
	return k
}

func (s setting) roundings(k *numberKey, u string) {
	below, above := s.wrench.marks(s.Exact)
	if below.Cmp(above) == 0 {
		k.span(sub(below, s.wrench.Graduation), sub(below, s.wrench.Graduation), "That is the next mark down: the exact value lies on a mark.")
		return
	}
	if !k.span(below, below, "You rounded down. The exact value, "+about(s.Exact)+" "+u+", is nearer to the mark above.") {
		k.span(above, above, "You rounded up. The exact value, "+about(s.Exact)+" "+u+", is nearer to the mark below.")
	}
	lo, hi := s.Exact, s.Exact
	for places := range 3 {
		if d, ok := new(big.Rat).SetString(torque.Decimal(s.Exact, places)); ok && d.Cmp(below) > 0 && d.Cmp(above) < 0 {
			lo, hi = least(lo, d), most(hi, d)
		}
	}
	k.span(lo, hi, "Rightly worked out, but the wrench has no mark there: set the nearest mark.")
}

// reason says why it is not this wrench.
func (s setting) reason() string {
	u := s.wrench.Unit.String()
	if s.fit == tooCoarse {
		return "the tolerance band is only " + about(sub(s.band[1], s.band[0])) + " " + u + " wide, and the marks are " + plain(s.wrench.Graduation) + " " + u + " apart."
	}
	return about(s.Exact) + " " + u + " lies outside its range, " + s.wrench.rangeWords() + "."
}

// result says in half a sentence what is set, for the explanation.
func (s setting) result() string {
	u := s.wrench.Unit.String()
	if s.fit != fits {
		return "It is not this wrench: " + s.reason()
	}
	if s.wrench.digital() {
		places, _ := s.wrench.Graduation.FloatPrec()
		return "On the display that is " + torque.Decimal(s.Exact, places) + " " + u + "."
	}
	if len(s.Accept) == 2 {
		return "It lies halfway between two marks: " + plain(s.Accept[0].Lo) + " and " + plain(s.Accept[1].Lo) + " " + u + " are both right."
	}
	return "The nearest mark is " + plain(s.Accept[0].Lo) + " " + u + "."
}

// ask fills in the interaction, the key and the feedback of the option. The
// chance mark is that of somebody who takes "not this wrench" one time in five, as
// often as it is the key, and else any mark of the scale.
func (s setting) ask(it *quiz.Item, k *numberKey) {
	it.Interaction = quiz.Interaction{Kind: quiz.Numeric, Unit: s.wrench.Unit.String(), Options: []quiz.Option{{ID: letter(0), Text: notThisWrench}}}
	if s.fit != fits {
		it.Key.Number = k.key(letter(0))
		it.Chance = quiz.Chance{Mean: quiz.Frac(1, 5), Full: quiz.Frac(1, 5)}
		return
	}
	it.Key.Number = k.key("")
	serves := "This wrench serves: " + about(s.Exact) + " " + s.wrench.Unit.String() + " lies within its range"
	if s.band != nil {
		serves += ", and its graduation is not wider than the tolerance band"
	}
	it.Feedback = []quiz.Feedback{{Option: letter(0), Text: serves + "."}}
	marks := add(quo(sub(s.wrench.Max, s.wrench.Min), s.wrench.Graduation), big.NewRat(1, 1))
	full := quiz.Fraction{Rat: quo(big.NewRat(int64(4*len(k.right)), 5), marks)}
	it.Chance = quiz.Chance{Mean: full, Full: full}
}

// slip adds a wrong value and what it may be rounded to as a mistake: half a
// graduation or half a percent either way, whichever is more, but a tenth at most.
func (s setting) slip(k *numberKey, v *big.Rat, because string) {
	half := quo(s.wrench.Graduation, big.NewRat(2, 1))
	w := most(half, quo(abs(v), big.NewRat(200, 1)))
	k.mistake(v, least(w, quo(abs(v), big.NewRat(10, 1))), because)
}

// sensible reports whether a wrench may be put before a technician: no doubtful
// one, and none that is three times too small or too large.
func (s setting) sensible() bool { return s.fit != doubtful && s.wrench.nearly(s.Exact) }

// nearly reports whether v is less than three times the greatest value of the wrench
// and more than a third of the least.
func (w wrench) nearly(v *big.Rat) bool {
	three := big.NewRat(3, 1)
	return v.Cmp(mul(w.Max, three)) < 0 && mul(v, three).Cmp(w.Min) > 0
}

// outside reports whether v lies outside the band, or off the exact value where there is none.
func (s setting) outside(v *big.Rat) bool {
	if s.band == nil {
		return v.Cmp(s.Exact) != 0
	}
	return v.Cmp(s.band[0]) < 0 || v.Cmp(s.band[1]) > 0
}
