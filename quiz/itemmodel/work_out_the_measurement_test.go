package itemmodel

import (
	"math/big"
	"slices"
	"strings"
	"testing"

	"soloright/content"
	"soloright/quiz"
)

// shownReadings takes the readings from the stem by their names.
func shownReadings(t failer, s *content.Setting, stem string) []*big.Rat {
	t.Helper()
	unit := s.Near.Unit().String()
	var out []*big.Rat
	_, readings, _ := strings.Cut(stem, "The readings: ") // the datum may be named like a reading
	for _, name := range s.Readings {
		_, after, ok := strings.Cut(readings, name+" ")
		if !ok {
			t.Fatalf("no reading %q: %s", name, stem)
		}
		number, _, _ := strings.Cut(after, " "+unit)
		out = append(out, ratOf(t, number))
	}
	return out
}

// oracleWorkOut works the readings out by the words of the file format.
func oracleWorkOut(way string, rs []*big.Rat) *big.Rat {
	sorted := slices.Clone(rs)
	slices.SortFunc(sorted, func(a, b *big.Rat) int { return a.Cmp(b) })
	swing := new(big.Rat).Sub(sorted[len(sorted)-1], sorted[0])
	sum := new(big.Rat)
	for _, r := range rs {
		sum.Add(sum, r)
	}
	switch way {
	case "half-range":
		return swing.Mul(swing, big.NewRat(1, 2))
	case "range":
		return swing
	case "difference":
		return new(big.Rat).Sub(rs[0], rs[1])
	case "sum":
		return sum
	case "mean":
		return sum.Mul(sum, big.NewRat(1, int64(len(rs))))
	}
	return nil
}

func TestWorkOutTheMeasurement(t *testing.T) {
	src := fixture(t)
	sides := map[content.FactID]map[bool]int{}
	eachItem(t, workOut, src, scaled(400), func(lead content.Fact, it quiz.Item) {
		s := src.Index.Setting(lead.Subject)
		rs := shownReadings(t, s, it.Stem)
		resolution := ratOf(t, strings.Fields(s.Resolution.Text())[0])
		for _, r := range rs {
			if q := new(big.Rat).Quo(r, resolution); !q.IsInt() || r.Sign() < 0 {
				t.Errorf("reading %s is no whole number of %s: %s", r.RatString(), s.Resolution.Text(), it.Stem)
			}
		}
		want := oracleWorkOut(string(s.WorkOut), rs)
		if got := it.Key.Number.Accept; len(got) != 1 || got[0].Lo != want.RatString() || got[0].Hi != want.RatString() {
			t.Errorf("accepts %v, want %s: %s", got, want.RatString(), it.Stem)
		}
		if it.Interaction.Unit != s.Near.Unit().String() {
			t.Errorf("unit beside the box is %q", it.Interaction.Unit)
		}
		checkMistakes(t, it)
		in := s.Limit.Max == nil || want.Cmp(ratOf(t, strings.Fields(s.Limit.Max.Text())[0])) <= 0
		in = in && (s.Limit.Min == nil || want.Cmp(ratOf(t, strings.Fields(s.Limit.Min.Text())[0])) >= 0)
		if sides[lead.ID] == nil {
			sides[lead.ID] = map[bool]int{}
		}
		sides[lead.ID][in]++
	})
	if len(sides) != 5 {
		t.Errorf("items on %d settings, want 5", len(sides))
	}
	for id, n := range sides {
		if n[true] == 0 || n[false] == 0 {
			t.Errorf("%s: %d results within the limits and %d outside, want some of each", id, n[true], n[false])
		}
	}
}

// Not halving is the mistake that is made with a run-out; it has its own feedback.
func TestNotHalvedIsForeseen(t *testing.T) {
	src := fixture(t)
	eachItem(t, workOut, src, scaled(100), func(lead content.Fact, it quiz.Item) {
		s := src.Index.Setting(lead.Subject)
		if s.WorkOut != content.HalfRange {
			return
		}
		whole := oracleWorkOut("range", shownReadings(t, s, it.Stem)).RatString()
		if !slices.ContainsFunc(it.Key.Number.Mistakes, func(m quiz.Mistake) bool { return m.Interval.Lo == whole && m.Interval.Hi == whole }) {
			t.Errorf("%s is not foreseen: %s", whole, it.Stem)
		}
	})
}
