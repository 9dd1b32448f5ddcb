package itemmodel

import (
	"math/big"
	"math/rand/v2"
	"slices"
	"strconv"
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

// waysOut are the ways of working out that are mistaken for each other, likely ones first.
var waysOut = []content.WorkOut{content.Range, content.HalfRange, content.Difference, content.Mean, content.Sum}

// ticks counts in the largest step of which every result of n readings is a whole
// number: 1/(2n) of the gauge's resolution. Whole numbers keep it exact and fast.
type ticks struct {
	n, digits, scale int64 // the resolution is digits / scale
}

func (r *readings) ticks() ticks {
	scale := int64(1)
	for range r.show.places {
		scale *= 10
	}
	return ticks{int64(len(r.setting.Readings)), r.show.digits, scale}
}

// of turns resolutions into ticks.
func (t ticks) of(k int64) int64 { return 2 * t.n * k }

// text writes ticks as big.Rat.RatString does.
func (t ticks) text(v int64) string {
	a, b := v*t.digits, 2*t.n*t.scale
	x, y := max(a, -a), b
	for y != 0 {
		x, y = y, x%y
	}
	if a, b = a/x, b/x; b == 1 {
		return strconv.FormatInt(a, 10)
	}
	return strconv.FormatInt(a, 10) + "/" + strconv.FormatInt(b, 10)
}

// comesTo works the readings out in one of the ways.
func (t ticks) comesTo(way content.WorkOut, ks []int64) int64 {
	sum := int64(0)
	for _, k := range ks {
		sum += k
	}
	swing := slices.Max(ks) - slices.Min(ks)
	switch way {
	case content.HalfRange:
		return t.n * swing
	case content.Range:
		return t.of(swing)
	case content.Difference:
		return t.of(ks[0] - ks[1])
	case content.Sum:
		return t.of(sum)
	case content.Mean:
		return 2 * sum
	}
	return t.of(ks[0])
}

func (r *readings) item(ks []int64) quiz.Item {
	s, t := r.setting, r.ticks()
	it := quiz.Item{Seconds: 90, Chance: neverByChance}
	parts, numbers := make([]string, len(ks)), make([]string, len(ks))
	for i, k := range ks {
		numbers[i] = r.show.number(k)
		parts[i] = s.Readings[i] + " " + numbers[i] + " " + r.show.unit
	}
	it.Signature = strings.Join(numbers, "|")
	it.Stem = "You measure the " + inside(s.Title) + ", from " + s.Datum + ". The readings: " + strings.Join(parts, ", ") + ". What does it come to?"
	exact := t.comesTo(s.WorkOut, ks)
	text := t.text(exact)
	it.Key.Number = &quiz.KeyNumber{Exact: text, Accept: []quiz.Interval{{Lo: text, Hi: text}}, Mistakes: r.mistakes(t, exact, ks)}
	it.Interaction = quiz.Interaction{Kind: quiz.Numeric, Unit: r.show.unit}
	it.Explain = s.Title + " is " + s.WorkOut.Words() + ": " + plain(big.NewRat(exact*t.digits, 2*t.n*t.scale)) + " " + r.show.unit + "."
	return it
}

// mistakes are the other ways and single readings, none twice and none right. A mean
// that the gauge cannot show is taken with what it may be rounded to.
func (r *readings) mistakes(t ticks, exact int64, ks []int64) []quiz.Mistake {
	var out []quiz.Mistake
	taken := append(make([][2]int64, 0, 10), [2]int64{exact, exact})
	way := r.setting.WorkOut.Words()
	add := func(v, width int64, what string) {
		lo, hi := v-width, v+width
		if !slices.ContainsFunc(taken, func(o [2]int64) bool { return lo <= o[1] && o[0] <= hi }) {
			taken = append(taken, [2]int64{lo, hi})
			out = append(out, quiz.Mistake{Interval: quiz.Interval{Lo: t.text(lo), Hi: t.text(hi)}, Because: "That is " + what + "; what counts is " + way + "."})
		}
	}
	for _, w := range waysOut {
		v, width := t.comesTo(w, ks), int64(0)
		if w == content.Mean && v%t.n != 0 {
			width = t.n // half a resolution
		}
		if w != r.setting.WorkOut {
			add(v, width, w.Words())
		}
	}
	add(t.of(slices.Max(ks)), 0, "the largest reading")
	add(t.of(slices.Min(ks)), 0, "the smallest reading")
	add(t.of(ks[1]-ks[0]), 0, "the second reading less the first")
	return out
}
