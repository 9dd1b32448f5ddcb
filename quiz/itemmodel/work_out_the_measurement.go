package itemmodel

import (
	"fmt"
	"math/big"
	"math/rand/v2"
	"slices"
	"strings"

	"soloright/content"
	"soloright/quiz"
)

// workOut gives the readings of a measurement and asks what it comes to: half of the
// largest less the smallest, the first less the second, and so on. The way must be
// known. The key is exact; the mistakes are the other ways of working it out.
var workOut = &model{name: "work-out-the-measurement", version: 1, kinds: []content.FactKind{content.KindWorkOut}, plan: planReadings}

// readings makes up the readings of one setting, in whole numbers of the gauge's
// resolution.
type readings struct {
	setting *content.Setting
	gauge   gauge // of the result; for half of a range it counts half resolutions
	show    gauge // of one reading
	near    int64
}

func planReadings(src *quiz.Source, lead content.Fact) plan {
	s := src.Index.Setting(lead.Subject)
	if s == nil {
		return none("there is no such setting")
	}
	unit := s.Near.Unit()
	resolution, err := s.Resolution.In(unit)
	if err != nil || len(s.Readings) < 2 {
		return none("it has fewer than two readings, or its resolution does not fit them")
	}
	r := &readings{setting: s, near: floor(quo(s.Near.Value(), resolution))}
	r.show, _ = gaugeOf(s.Limit, unit, resolution)
	result := resolution
	if s.WorkOut == content.HalfRange {
		result = quo(resolution, big.NewRat(2, 1))
	}
	var ok bool
	if r.gauge, ok = gaugeOf(s.Limit, unit, result); !ok {
		return none("no readings can be made up round its limits")
	}
	return r
}

// count gives a lower bound: the results that are made up, each of which many sets
// of readings come to.
func (r *readings) count() (int, string) {
	n := 0
	for _, z := range r.gauge.zones {
		n += int(min(zone{max(z.from, 1), z.to}.size(), 1<<16))
	}
	return n, ""
}

func (r *readings) write(rnd *rand.Rand) (quiz.Item, error) { return r.item(r.draw(rnd)), nil }

// draw makes readings up: first what they come to, on either side of the limits or
// on one, then readings near the plausible one that come to it.
func (r *readings) draw(rnd *rand.Rand) []int64 {
	k, _ := r.gauge.draw(rnd)
	k = max(k, 1)
	n := len(r.setting.Readings)
	switch r.setting.WorkOut {
	case content.Difference:
		first := r.near + r.jitter(rnd, r.near)
		if r.near >= 0 && first < k {
			first = k + 1 + rnd.Int64N(4)
		}
		return []int64{first, first - k}
	case content.Sum:
		return r.spread(rnd, k, n)
	case content.Mean:
		return r.spread(rnd, k*int64(n), n)
	}
	return r.swing(rnd, k, n)
}

// swing makes n readings whose largest less the smallest is k.
func (r *readings) swing(rnd *rand.Rand, k int64, n int) []int64 {
	low := r.near - rnd.Int64N(k+1)
	if r.near >= 0 {
		low = max(low, 0)
	}
	out := make([]int64, n)
	for i := range out {
		out[i] = low + rnd.Int64N(k+1)
	}
	i, j := rnd.IntN(n), rnd.IntN(n-1)
	if j >= i {
		j++
	}
	out[i], out[j] = low, low+k
	return out
}

// spread makes n readings with the given sum.
func (r *readings) spread(rnd *rand.Rand, sum int64, n int) []int64 {
	out := make([]int64, n)
	left := sum
	for i := range n - 1 {
		share := left / int64(n-i)
		out[i] = share + r.jitter(rnd, share)
		left -= out[i]
	}
	out[n-1] = left
	return out
}

// jitter is a twentieth of v, either way, at least one, and no more than the limits
// are apart: a bore of 110 mm does not come 5 mm larger, nor four readings of one gap
// with 10 mm between them.
func (r *readings) jitter(rnd *rand.Rand, v int64) int64 {
	by := max(min(v/20, r.gauge.zones[within].size()), 1)
	return rnd.Int64N(2*by+1) - by
}

// comesTo works the readings out in one of the ways, in resolutions.
func comesTo(way content.WorkOut, ks []int64) *big.Rat {
	sum := int64(0)
	for _, k := range ks {
		sum += k
	}
	swing := slices.Max(ks) - slices.Min(ks)
	switch way {
	case content.HalfRange:
		return big.NewRat(swing, 2)
	case content.Range:
		return big.NewRat(swing, 1)
	case content.Difference:
		return big.NewRat(ks[0]-ks[1], 1)
	case content.Sum:
		return big.NewRat(sum, 1)
	case content.Mean:
		return big.NewRat(sum, int64(len(ks)))
	}
	return big.NewRat(ks[0], 1)
}

// waysOut are the ways of working out that are mistaken for each other, likely ones first.
var waysOut = []content.WorkOut{content.Range, content.HalfRange, content.Difference, content.Mean, content.Sum}

func (r *readings) item(ks []int64) quiz.Item {
	s := r.setting
	it := quiz.Item{Seconds: 90, Chance: neverByChance}
	parts, numbers := make([]string, len(ks)), make([]string, len(ks))
	for i, k := range ks {
		parts[i], numbers[i] = s.Readings[i]+" "+r.show.text(k), r.show.number(k)
	}
	it.Signature = strings.Join(numbers, "|")
	it.Stem = fmt.Sprintf("You measure the %s, from %s. The readings: %s. What does it come to?", inside(s.Title), s.Datum, strings.Join(parts, ", "))
	unit := big.NewRat(r.show.digits, 1)
	unit = quo(unit, pow10(r.show.places))
	exact := mul(comesTo(s.WorkOut, ks), unit)
	k := &numberKey{exact: exact}
	k.accept(exact, exact)
	r.mistakes(k, ks, unit)
	it.Key.Number = k.key("")
	it.Interaction = quiz.Interaction{Kind: quiz.Numeric, Unit: r.show.unit}
	it.Explain = fmt.Sprintf("%s is %s: %s %s.", s.Title, s.WorkOut.Words(), plain(exact), r.show.unit)
	return it
}

func (r *readings) mistakes(k *numberKey, ks []int64, unit *big.Rat) {
	way := r.setting.WorkOut
	for _, w := range waysOut {
		if w == way {
			continue
		}
		v, width := mul(comesTo(w, ks), unit), new(big.Rat)
		if n, exact := v.FloatPrec(); !exact || n > r.show.places+1 {
			width = quo(unit, big.NewRat(2, 1))
		}
		k.mistake(v, width, "That is "+w.Words()+"; what counts is "+way.Words()+".")
	}
	for _, one := range []struct {
		k    int64
		what string
	}{{slices.Max(ks), "the largest reading"}, {slices.Min(ks), "the smallest reading"}, {ks[1] - ks[0], "the second reading less the first"}} {
		v := mul(big.NewRat(one.k, 1), unit)
		k.span(v, v, "That is "+one.what+"; what counts is "+way.Words()+".")
	}
}
