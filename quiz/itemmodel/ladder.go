package itemmodel

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"

	"soloright/content"
)

// ladder asks which of three readings are within a limit that has one end only. The
// options follow the order of the readings, from none to all, so that a guess is
// right one time in four and each reading between is a decision.
type ladder struct {
	gauge gauge
	limit content.Limit
}

// rungs is the number of readings of a ladder.
const rungs = 3

// outside is the zone past the limit.
func (l ladder) outside() zone {
	if l.limit.Max != nil {
		return l.gauge.zones[above]
	}
	return l.gauge.zones[below]
}

// count is how many sets of readings there are.
func (l ladder) count() int {
	in, out := l.gauge.zones[within].size(), l.outside().size()
	return choose(int(min(in+out, 1<<12)), rungs)
}

// draw makes up three distinct readings, rising; in is how many are within the limit,
// each number as likely as any other that can be.
func (l ladder) draw(rnd *rand.Rand) (ks []int64, in int) {
	inside, outside := l.gauge.zones[within], l.outside()
	least := max(0, rungs-outside.size())
	in = int(least + rnd.Int64N(min(rungs, inside.size())-least+1))
	ks = make([]int64, 0, rungs)
	if in > 0 && len(l.gauge.on) > 0 && rnd.IntN(3) == 0 {
		ks = append(ks, l.gauge.on[0])
	}
	ks = distinct(rnd, ks, inside, in)
	ks = distinct(rnd, ks, outside, rungs)
	slices.Sort(ks)
	return ks, in
}

// distinct draws readings from the zone until there are n.
func distinct(rnd *rand.Rand, ks []int64, z zone, n int) []int64 {
	for len(ks) < n {
		if k := z.from + rnd.Int64N(z.size()); !slices.Contains(ks, k) {
			ks = append(ks, k)
		}
	}
	return ks
}

// decision makes the options; stem gets the three readings as a list.
func (l ladder) decision(rnd *rand.Rand, stem func(list string) string, explain string) decision {
	ks, in := l.draw(rnd)
	if l.limit.Max == nil {
		slices.Reverse(ks) // the accepted ones first, so that option i is the first i
	}
	numbers := make([]string, rungs)
	for i, k := range ks {
		numbers[i] = l.gauge.number(k)
	}
	rising := slices.Clone(numbers)
	if l.limit.Max == nil {
		slices.Reverse(rising)
	}
	d := decision{stem: stem(l.list(rising)), explain: explain, signature: l.gauge.unit + "|" + strings.Join(rising, "|"), right: in, seconds: 75}
	for i := range rungs + 1 {
		d.verdicts = append(d.verdicts, verdict{text: l.option(numbers[:i]), because: l.because(numbers, i, in), dangerous: i > in})
	}
	return d
}

func (l ladder) option(accepted []string) string {
	switch len(accepted) {
	case 0:
		return "none of them"
	case rungs:
		return "all three"
	case 1:
		return "only " + l.list(accepted)
	}
	sorted := slices.Clone(accepted)
	if l.limit.Max == nil {
		slices.Reverse(sorted)
	}
	return "only " + l.list(sorted)
}

func (l ladder) list(numbers []string) string {
	n := len(numbers)
	if n == 1 {
		return numbers[0] + " " + l.gauge.unit
	}
	return strings.Join(numbers[:n-1], ", ") + " and " + numbers[n-1] + " " + l.gauge.unit
}

// because says of option i which reading decides against it.
func (l ladder) because(numbers []string, i, in int) string {
	if i > in {
		return fmt.Sprintf("%s %s is outside the limit: %s.", numbers[in], l.gauge.unit, l.limit.Words())
	}
	if i == in {
		return ""
	}
	return fmt.Sprintf("%s %s is within the limit: %s. Limits are inclusive.", numbers[in-1], l.gauge.unit, l.limit.Words())
}
