package itemmodel

import (
	"math/big"
	"math/rand/v2"

	"soloright/content"
	"soloright/content/torque"
	"soloright/quiz"
)

// acceptTheReading gives an indicated reading, possibly in another unit than the
// manual's, and asks whether it is within a joint's tolerance band or a setting's
// limits, which must be known. Where there are two limits it is one reading: too
// low, within, too high. Where there is one it is a [ladder] of three.
var acceptTheReading = &model{name: "accept-the-reading", version: 1, kinds: []content.FactKind{content.KindTarget, content.KindSetting}, plan: named(planReading)}

// reading is what one fact may be asked with.
type reading struct {
	lead   content.Fact
	limit  content.Limit
	gauges []gauge // the manual's own unit first
	head   string  // how the stem begins
	shown  string  // how it goes on to one reading
	many   string  // and to three
	ask    string  // and ends, after three
}

func planReading(src *quiz.Source, lead content.Fact) plan {
	if lead.Kind == content.KindTarget {
		return targetReading(src, lead)
	}
	return settingReading(src, lead)
}

// plan is the reading, or why there is none.
func (r *reading) plan() plan {
	if len(r.gauges) == 0 {
		return none("no readings can be made up round its limits")
	}
	return r
}

func targetReading(src *quiz.Source, lead content.Fact) plan {
	j := src.Index.Joint(lead.Subject)
	if j == nil || j.Tighten.Tolerance == nil {
		return none("the joint states no tolerance")
	}
	of, shown, units := j.Tighten.Torque, ": you tighten with an indicating wrench. At the end of the pull it shows ", torqueUnits
	switch j.Tighten.By {
	case content.ByTorqueAngle:
		shown = ": first stage, before the turn by angle, with an indicating wrench. At the end of the pull it shows "
	case content.ByGap:
		of, shown, units = j.Tighten.Gap, ": the gap measures ", nil
	}
	if of == nil {
		return none("the joint states neither a torque nor a gap")
	}
	lo, hi, err := j.Tighten.Tolerance.Band(*of)
	if err != nil {
		return none("the tolerance does not fit the target")
	}
	r := &reading{lead: lead, limit: content.Limit{Min: &lo, Max: &hi}, head: j.Title, shown: shown}
	r.addGauges(of.Unit(), ownResolution(of.Value(), lo.Value(), hi.Value()), units)
	return r.plan()
}

func settingReading(src *quiz.Source, lead content.Fact) plan {
	s := src.Index.Setting(lead.Subject)
	if s == nil {
		return none("there is no such setting")
	}
	r := &reading{lead: lead, limit: s.Limit, head: s.Title + ", measured from " + s.Datum,
		shown: ": it comes to ", many: ": on three rebuilds it comes to ", ask: "Which do you accept?"}
	r.addGauges(s.Resolution.Unit(), s.Resolution.Value(), lengthUnits)
	return r.plan()
}

// The units in which a reading is given besides the manual's.
var (
	torqueUnits = []torque.Unit{torque.NewtonMetre, torque.PoundForceFoot, torque.PoundForceInch}
	lengthUnits = []torque.Unit{torque.Millimetre, torque.Inch}
)

// addGauges adds a gauge in the manual's unit and, where the unit is one of the
// others, one in each of these, fine enough to tell the limits apart.
func (r *reading) addGauges(own torque.Unit, resolution *big.Rat, others []torque.Unit) {
	r.addGauge(own, resolution)
	of := r.limit.Max
	if of == nil {
		of = r.limit.Min
	}
	for _, u := range others {
		if of == nil || u == own {
			continue
		}
		if v, err := of.In(u); err == nil { // another quantity has no such unit
			r.addGauge(u, finest(v, 100))
		}
	}
}

func (r *reading) addGauge(u torque.Unit, resolution *big.Rat) {
	if g, ok := gaugeOf(r.limit, u, resolution); ok && r.items(g) > 0 {
		r.gauges = append(r.gauges, g)
	}
}

func (r *reading) twoSided() bool { return r.limit.Min != nil && r.limit.Max != nil }

// items is how many items can be written with the gauge.
func (r *reading) items(g gauge) int {
	if r.twoSided() {
		return g.count()
	}
	return ladder{gauge: g, limit: r.limit}.count()
}

// ownResolution is the last digit of a display on which a target is readable to a
// hundredth or better, and finer where both limits then stand on a digit.
func ownResolution(of, lo, hi *big.Rat) *big.Rat {
	coarse := finest(of, 100)
	for r, share := coarse, 0; share < 3; share++ {
		if quo(lo, r).IsInt() && quo(hi, r).IsInt() {
			return r
		}
		r = quo(r, big.NewRat(10, 1))
	}
	return coarse
}

func (r *reading) count() (int, string) {
	n := 0
	for _, g := range r.gauges {
		n += r.items(g)
	}
	return min(n, quiz.MaxCount), ""
}

// write uses the manual's own unit half of the time.
func (r *reading) write(rnd *rand.Rand) (quiz.Item, error) {
	g := r.gauges[0]
	if len(r.gauges) > 1 && rnd.IntN(2) == 0 {
		g = r.gauges[1+rnd.IntN(len(r.gauges)-1)]
	}
	if r.twoSided() {
		return r.one(g, rnd).inOrder(r.lead), nil
	}
	stem := func(list string) string { return r.head + r.many + list + ". " + r.ask }
	return ladder{gauge: g, limit: r.limit}.decision(rnd, stem, sentence(r.lead.Text)).inOrder(r.lead), nil
}

// one is the decision on one reading. Accepting a reading outside is dangerous, and
// so is calling one too low that is too high: more torque goes on.
func (r *reading) one(g gauge, rnd *rand.Rand) decision {
	k, in := g.draw(rnd)
	is := [3]string{" is below the limits: ", " is within the limits: ", " is above the limits: "}[in]
	because := g.text(k) + is + r.limit.Words() + ", both included."
	return decision{
		stem:      r.head + r.shown + g.text(k) + ". What do you make of it?",
		explain:   because,
		signature: g.text(k),
		right:     in,
		seconds:   60,
		verdicts:  []verdict{{"too low", because, in == above}, {"within the limits: accept it", because, in != within}, {"too high", because, false}},
	}
}
