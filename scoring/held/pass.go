package held

import "math"

// pass lets every pair speak once, fact by fact, and then sums up for people.
func (f *fitting) pass() {
	f.tabulate()
	prior := levelWeights(f.facts)
	each(f.crew.Facts, func(fact int) { f.passFact(fact, prior) })
	first := f.standingPrior()
	sums := make([]product, f.crew.People)
	for i, p := range f.crew.Pairs {
		if f.of[i] >= 0 {
			sums[p.Person].times(f.told[i][:])
		}
	}
	f.stands = make([][]float64, f.crew.People)
	for p := range f.stands {
		sums[p].times(first[:])
		f.stands[p] = sums[p].logs(standings)
		weigh(f.stands[p])
	}
}

// passFact works out the level of a fact, and what its pairs tell their people.
func (f *fitting) passFact(fact int, prior []float64) {
	pairs := f.byFact[fact]
	said := make([][levels]float64, len(pairs))
	without := make([][standings]float64, len(pairs))
	var all product
	for n, i := range pairs {
		f.standingWithout(i, &without[n])
		toFact(&f.tables[f.of[i]].at, &without[n], &said[n])
		all.times(said[n][:])
	}
	f.likely[fact], _ = fromLogs(all.logs(levels))
	level := make([]float64, levels)
	for j, l := range f.likely[fact] {
		level[j] = prior[j] * max(l, 1e-280)
	}
	normalise(level)
	f.level[fact] = level
	for n, i := range pairs {
		var others [levels]float64
		for j, w := range level {
			others[j] = w / said[n][j]
		}
		normalise(others[:])
		if f.last {
			f.prior[i] = borrowed(others[:], without[n][:], f.strength)
		}
		toPerson(&f.tables[f.of[i]].at, &others, &f.told[i])
	}
}

// standingWithout is where a pair's person stands by all other pairs.
func (f *fitting) standingWithout(pair int, w *[standings]float64) {
	all := f.stands[f.crew.Pairs[pair].Person]
	for k := range w {
		w[k] = all[k] / f.told[pair][k]
	}
	normalise(w[:])
}

// negligible is the weight below which a point changes no digit that is shown,
// unlikely how likely the least likely point is taken to be: so a product of many
// can be kept without a logarithm for each.
const (
	negligible = 1e-6
	unlikely   = 1e-15
)

// toFact is how likely each level makes a pair's answers; scale is the logarithm of
// what was left out to make the highest 1.
func toFact(t *[wide]float64, stands *[standings]float64, out *[levels]float64) (scale float64) {
	*out = [levels]float64{}
	for k, w := range stands {
		if w > negligible {
			for j, l := range t[perShift*k : perShift*k+levels] {
				out[j] += w * l
			}
		}
	}
	return highestOne(out[:])
}

// toPerson is how likely each standing makes a pair's answers.
func toPerson(t *[wide]float64, level *[levels]float64, out *[standings]float64) {
	*out = [standings]float64{}
	for j, w := range level {
		if w > negligible {
			for k := range out {
				out[k] += w * t[j+perShift*k]
			}
		}
	}
	highestOne(out[:])
}

func highestOne(w []float64) (scale float64) {
	top := 0.0
	for _, v := range w {
		top = max(top, v)
	}
	for i := range w {
		w[i] = max(w[i]/top, unlikely)
	}
	return math.Log(top)
}

// product multiplies likelihoods point by point, too many for a float.
type product struct {
	now, log []float64
	n        int
}

func (p *product) times(w []float64) {
	if p.now == nil {
		p.now, p.log = make([]float64, len(w)), make([]float64, len(w))
		for i := range p.now {
			p.now[i] = 1
		}
	}
	for i, v := range w {
		p.now[i] *= v
	}
	if p.n++; p.n%16 == 0 { // 16 of the unlikely are still above the least float
		p.settle()
	}
}

func (p *product) settle() {
	for i, v := range p.now {
		p.log[i] += math.Log(v)
		p.now[i] = 1
	}
}

// logs returns the logarithms of the product; of n points where there is nothing in it.
func (p *product) logs(n int) []float64 {
	if p.now == nil {
		return make([]float64, n)
	}
	p.settle()
	return p.log
}
