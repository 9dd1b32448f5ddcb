package held

import "math"

// update moves the beta over facts and the spread of the standings to where the
// weights put them, and returns by how much they moved.
func (f *fitting) update() float64 {
	was := [3]float64{math.Log(f.facts.A / f.facts.B), math.Log(f.facts.A + f.facts.B), math.Log(f.spread)}
	var likely [][]float64
	for fact, l := range f.likely {
		if len(f.byFact[fact]) > 0 {
			likely = append(likely, l)
		}
	}
	if len(likely) == 0 {
		return 0
	}
	f.facts, _ = across(likely, f.facts)
	f.spread = f.spreadNow()
	is := [3]float64{math.Log(f.facts.A / f.facts.B), math.Log(f.facts.A + f.facts.B), math.Log(f.spread)}
	moved := 0.0
	for i := range is {
		moved = max(moved, math.Abs(is[i]-was[i]))
	}
	return moved
}

// spreadNow is the SD of the standings, with the weak prior's four people.
func (f *fitting) spreadNow() float64 {
	const priorPeople, priorVariance = 4, 0.25
	sum, n := priorPeople*priorVariance, priorPeople
	spoke := make([]bool, f.crew.People)
	for i, p := range f.crew.Pairs {
		spoke[p.Person] = spoke[p.Person] || f.of[i] >= 0
	}
	for p, w := range f.stands {
		if !spoke[p] {
			continue
		}
		n++
		for k, v := range w {
			sum += v * standingAt(k) * standingAt(k)
		}
	}
	return math.Sqrt(sum / float64(n))
}

// mostToChoose is how many facts the strength is chosen by: spread over all,
// they say as much as it takes.
const mostToChoose = 64

// chooseStrength sets κ so that 1/(κ + 1), the share of the variance that is the
// pairs' own, is what is to be expected of it over the strengths that the answers
// leave likely, in steps of a factor of √2 between ½ and 64.
func (f *fitting) chooseStrength() {
	some := f.chosenFacts()
	if len(some) == 0 {
		return
	}
	known := map[int]float64{}
	value := func(step int) float64 {
		v, ok := known[step]
		if !ok {
			v = f.evidence(strengthAt(step), some)
			known[step] = v
		}
		return v
	}
	best := f.climb(value)
	const far = 5 // a strength e⁻⁵ times as likely counts no more
	mean, sum := 0.0, 0.0
	add := func(step int) bool {
		w := math.Exp(value(step) - value(best))
		mean += w / (strengthAt(step) + 1)
		sum += w
		return w > math.Exp(-far)
	}
	for step := best; step <= most && add(step); step++ {
	}
	for step := best - 1; step >= least && add(step); step-- {
	}
	f.strength = sum/mean - 1
}

// The strengths that can be chosen, as steps from [strengthCentre].
const least, most = -6, 8

// climb goes uphill from the strength as it is.
func (f *fitting) climb(value func(step int) float64) int {
	step := int(math.Round(2 * math.Log2(f.strength/strengthCentre)))
	for {
		switch here := value(step); {
		case step < most && value(step+1) > here:
			step++
		case step > least && value(step-1) > here:
			step--
		default:
			return step
		}
	}
}

// chosenFacts are facts with answers, spread over all of them.
func (f *fitting) chosenFacts() []int {
	var facts []int
	for fact, pairs := range f.byFact {
		if len(pairs) > 0 {
			facts = append(facts, fact)
		}
	}
	stride := max(1, len(facts)/mostToChoose)
	var some []int
	for i := 0; i < len(facts); i += stride {
		some = append(some, facts[i])
	}
	return some
}

func strengthAt(step int) float64 { return strengthCentre * math.Pow(2, float64(step)/2) }

// evidence is how likely some facts' answers are at a strength, under the beta over
// facts that suits it best, as a logarithm, times the weak prior.
func (f *fitting) evidence(strength float64, facts []int) float64 {
	was := f.strength
	f.strength = strength
	f.tabulate()
	likely, scales := make([][]float64, len(facts)), make([]float64, len(facts))
	each(len(facts), func(n int) {
		var all product
		var said [levels]float64
		var stands [standings]float64
		for _, i := range f.byFact[facts[n]] {
			f.standingWithout(i, &stands)
			scales[n] += f.tables[f.of[i]].scale + toFact(&f.tables[f.of[i]].at, &stands, &said)
			all.times(said[:])
		}
		var scale float64
		likely[n], scale = fromLogs(all.logs(levels))
		scales[n] += scale
	})
	f.strength = was
	_, total := across(likely, f.facts)
	for _, v := range scales {
		total += v
	}
	return total + strengthPrior(strength, pairsWidth)
}

// fromLogs turns logarithms into likelihoods, highest 1, and the logarithm of what
// was left out.
func fromLogs(logs []float64) (likely []float64, scale float64) {
	top := math.Inf(-1)
	for _, v := range logs {
		top = max(top, v)
	}
	for j, v := range logs {
		logs[j] = math.Exp(v - top)
	}
	return logs, top
}
