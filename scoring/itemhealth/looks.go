package itemhealth

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"soloright/scoring/itemstat"
)

// Least and most of what flags ask for. The numbers that measurement of people
// asks for (30 for a correlation, 20 for distractors) are itemstat's; these are
// our own choice.
const (
	needNobody  = 25   // from here the interval of 0 misses lies under a tenth
	needTimes   = 10   // times of a family
	needLike    = 3    // families of the model to compare with
	farSlower   = 2.0  // times the middle of its like
	byLuckAlone = 0.05 // at most, for a flag to be raised
	needGroup   = 5    // people in the smaller of two groups
	oddLuck     = 0.01 // at most, for a difference of two small groups to be raised
)

// nobodyMisses: everybody has full marks, and so many that few others would miss it.
// That is a count and no test.
func nobodyMisses(h *Health) *test {
	t := &test{flag: Flag{Kind: NobodyMisses, N: h.People}}
	t.raised = h.People >= needNobody && h.Difficulty.Known() && h.Difficulty.Value == 1
	t.flag.Sentence = fmt.Sprintf("None of %d people missed it; at most %s would (90 %% interval). It tells nobody apart.", h.People, percent(1-h.Difficulty.Lo))
	return t
}

// betterMiss: the 90 % interval of the item-total correlation lies wholly below 0,
// from 30 answers. Its p-value is that of Fisher's z, one-sided. weight is by how
// much the answers count for less because some are of one person.
func betterMiss(h *Health, weight float64) *test {
	r := h.ItemTotal
	if !r.Known() {
		return nil
	}
	z := math.Atanh(r.Value) * math.Sqrt(float64(r.N)/weight-3)
	t := &test{flag: Flag{Kind: BetterMiss, N: r.N, Luck: distuv.UnitNormal.CDF(z)}, raised: r.Hi < 0}
	t.flag.Sentence = fmt.Sprintf("Who does better elsewhere misses it more: correlation %s, 90 %% interval %s to %s, %d answers of %d people. A wrong key, or a second right answer?",
		signed(r.Value), signed(r.Lo), signed(r.Hi), r.N, h.People)
	return t
}

// likeTimes are the medians of the families of each model.
func likeTimes(columns []*column) map[string][]likeTime {
	out := map[string][]likeTime{}
	for _, c := range columns {
		if ts := c.times(); len(ts) >= needTimes {
			out[c.Model] = append(out[c.Model], likeTime{c, middle(ts)})
		}
	}
	return out
}

type likeTime struct {
	of     *column
	median float64
}

func (c *column) times() []float64 {
	var out []float64
	for _, m := range c.first {
		if m.seconds > 0 {
			out = append(out, m.seconds)
		}
	}
	slices.Sort(out)
	return out
}

// middle is the median of sorted times.
func middle(ts []float64) float64 {
	n := len(ts)
	return (ts[(n-1)/2] + ts[n/2]) / 2
}

// slow: the median is more than twice that of the other families of the model
// (the median of their medians), by the sign test.
func slow(c *column, like map[string][]likeTime) *test {
	ts := c.times()
	var ref []float64
	for _, l := range like[c.Model] {
		if l.of.Lead != c.Lead {
			ref = append(ref, l.median)
		}
	}
	if len(ts) < needTimes || len(ref) < needLike {
		return nil
	}
	slices.Sort(ref)
	limit, over := farSlower*middle(ref), 0
	for _, t := range ts {
		if t > limit {
			over++
		}
	}
	p := atLeast(over, len(ts), 0.5)
	t := &test{flag: Flag{Kind: Slow, N: len(ts), Luck: p}, raised: p <= byLuckAlone}
	t.flag.Sentence = fmt.Sprintf("Half of %d people take %.0f s or longer; on %d other facts the middle of this kind of item is %.0f s.", len(ts), middle(ts), len(ref), middle(ref))
	return t
}

// atLeast is P(X ≥ k) of a binomial X.
func atLeast(k, n int, p float64) float64 {
	if k <= 0 {
		return 1
	}
	return 1 - distuv.Binomial{N: float64(n), P: p}.CDF(float64(k-1))
}

// nobodyTakes: a wrong option offered to 20 people or more that nobody took, and
// so many wrong answers to others that luck would not pass it over: the chance
// that it is in none of them if wrong options draw alike.
func nobodyTakes(c *column) []*test {
	var out []*test
	for _, f := range c.offers() {
		if f.right || len(f.to) < itemstat.NeedChoices {
			continue
		}
		taken, missed, luck := false, 0, 1.0
		for _, p := range f.to {
			wrong, ticked := c.first[p].wrongs()
			taken = taken || f.taken[p]
			if ticked > 0 {
				missed++
				luck *= float64(wrong-ticked) / float64(wrong)
			}
		}
		if taken {
			luck = 1
		}
		t := &test{flag: Flag{Kind: NobodyTakes, N: len(f.to), Luck: luck, Option: f.text}, raised: !taken && luck <= byLuckAlone}
		t.flag.Sentence = fmt.Sprintf("“%s” was offered to %d people and taken by none, while %d of them took another wrong answer.", f.text, len(f.to), missed)
		out = append(out, t)
	}
	return out
}

// wrongs counts the wrong options of a meeting, and those chosen.
func (m meeting) wrongs() (offered, chosen int) {
	for _, o := range m.options {
		if !o.Right {
			offered++
			chosen += asInt(o.Chosen)
		}
	}
	return offered, chosen
}

// percent writes a share in whole percent, rounded up where it is not 0.
func percent(x float64) string { return fmt.Sprintf("%.0f %%", math.Ceil(100*x-1e-9)) }

// signed writes a number with two places and a minus sign that is one.
func signed(x float64) string {
	if x < 0 {
		return fmt.Sprintf("−%.2f", -x)
	}
	return fmt.Sprintf("%.2f", x)
}
