package bolting

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// setting is a pattern with a rule that can judge it.
type setting struct {
	Pattern Pattern
	Rule    Rule
}

// settings draws patterns of every shape with rules of every kind.
func settings() *rapid.Generator[setting] {
	return rapid.Custom(func(t *rapid.T) setting {
		var s setting
		if rapid.Bool().Draw(t, "circle") {
			s.Pattern = circleOf(rapid.IntRange(4, 32).Draw(t, "count"))
		} else {
			names := []string{"rectangle", "square", "two rows of 3", "two rows of 4", "oblong, tips", "two rows of 5", "slanted rows of 3"}
			s.Pattern = pointPatterns[rapid.SampledFrom(names).Draw(t, "pattern")]
			s.Pattern.Points = turned(s.Pattern.Points, rapid.Float64Range(0, 7).Draw(t, "turn"))
		}
		switch s.Rule.Kind = rapid.SampledFrom([]RuleKind{Cross, Circular, Pinned}).Draw(t, "kind"); s.Rule.Kind {
		case Pinned:
			s.Rule.Pinned = rapid.Permutation(upTo(s.Pattern.Count)).Draw(t, "table")
			s.Rule.Means = rapid.SampledFrom([]string{OrderOfPlaces, Stamped}).Draw(t, "means")
		default:
			if rapid.IntRange(0, 3).Draw(t, "pin the start") == 0 && s.Pattern.Shape != Oblong {
				s.Pattern.StartAt = rapid.IntRange(1, s.Pattern.Count).Draw(t, "start")
			}
		}
		return s
	})
}

func turned(points []Point, angle float64) []Point {
	sin, cos := math.Sincos(angle)
	out := make([]Point, len(points))
	for i, p := range points {
		out[i] = Point{p.X*cos - p.Y*sin + 17, p.X*sin + p.Y*cos - 5}
	}
	return out
}

func upTo(n int) []int {
	s := make([]int, n)
	for i := range s {
		s[i] = i + 1
	}
	return s
}

func source(t *rapid.T) *rand.Rand {
	return rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
}

// TestWriteIsRight: every sequence written is right, begins where pinned, and every
// step of it is among those that Next offers.
func TestWriteIsRight(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := settings().Draw(t, "setting")
		seq, err := Write(s.Pattern, s.Rule, source(t))
		if err != nil {
			t.Fatal(err)
		}
		if v := Judge(s.Pattern, s.Rule, seq); !cmp.Equal(v, Verdict{Right: true}) {
			t.Fatalf("%v: %+v", seq, v)
		}
		if at := s.Pattern.StartAt; at > 0 && seq[0] != at {
			t.Fatalf("%v does not start at %d", seq, at)
		}
		for i := range seq {
			if !slices.Contains(Next(s.Pattern, s.Rule, seq[:i]), seq[i]) {
				t.Fatalf("%v: Next does not offer %d", seq[:i], seq[i])
			}
		}
		if more := Next(s.Pattern, s.Rule, seq); len(more) > 0 {
			t.Fatalf("%v goes on to %v", seq, more)
		}
	})
}

// TestNoDeadEnds: the first break of any sequence comes after a prefix that can be
// finished, and from there no way of going on with the breaking fastener is right.
func TestNoDeadEnds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := settings().Draw(t, "setting")
		seq := disturbed(t, s)
		v := Judge(s.Pattern, s.Rule, seq)
		if v.Right {
			return
		}
		rnd := source(t)
		whole := slices.Clone(seq[:v.At])
		for len(whole) < s.Pattern.Count {
			may := Next(s.Pattern, s.Rule, whole)
			if len(may) == 0 {
				t.Fatalf("%v: dead end at %v", seq, whole)
			}
			if len(whole) == v.At && slices.Contains(may, seq[v.At]) {
				t.Fatalf("%v breaks at %d, and Next offers it", seq, v.At)
			}
			whole = append(whole, may[rnd.IntN(len(may))])
		}
		if !Judge(s.Pattern, s.Rule, whole).Right {
			t.Fatalf("%v is offered step by step and is wrong", whole)
		}
	})
}

// disturbed draws a right sequence with a few fasteners changed over, sometimes none.
func disturbed(t *rapid.T, s setting) []int {
	seq, err := Write(s.Pattern, s.Rule, source(t))
	if err != nil {
		t.Fatal(err)
	}
	for range rapid.IntRange(0, 3).Draw(t, "changes") {
		i := rapid.IntRange(0, len(seq)-1).Draw(t, "i")
		j := rapid.IntRange(0, len(seq)-1).Draw(t, "j")
		seq[i], seq[j] = seq[j], seq[i]
	}
	return seq
}

// TestVerdictsTurnWithTheJoint: under every rotation and reflection the verdict is
// the same, and the breaking pair moves along.
func TestVerdictsTurnWithTheJoint(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := settings().Draw(t, "setting")
		seq := disturbed(t, s)
		v := Judge(s.Pattern, s.Rule, seq)
		for _, sym := range Symmetries(s.Pattern) {
			w := Judge(s.Pattern, s.Rule, carried(sym, seq))
			if w.Right != v.Right || w.At != v.At || w.Clause != v.Clause {
				t.Fatalf("%v: %+v; %v: %+v", seq, v, carried(sym, seq), w)
			}
			if !v.Right && (w.Pair[1] != sym[v.Pair[1]-1] || v.Pair[0] > 0 && w.Pair[0] != sym[v.Pair[0]-1]) {
				t.Fatalf("%v breaks at %v, %v at %v", seq, v.Pair, carried(sym, seq), w.Pair)
			}
		}
	})
}

// TestVerdictsNameThePair: At is the place of the second of the pair, and the
// sentence begins with it.
func TestVerdictsNameThePair(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := settings().Draw(t, "setting")
		seq := disturbed(t, s)
		v := Judge(s.Pattern, s.Rule, seq)
		if v.Right {
			return
		}
		if v.Pair[1] != seq[v.At] || v.At > 0 && v.Pair[0] != seq[v.At-1] || v.At == 0 && v.Pair[0] != 0 {
			t.Fatalf("%v: %+v", seq, v)
		}
		if v.Clause == "" || !strings.Contains(v.Reason, ": ") {
			t.Fatalf("%v: %+v", seq, v)
		}
	})
}

// TestAnythingIsJudged: whatever the pattern and the sequence, there is a verdict,
// and a wrong one has its clause and its reason.
func TestAnythingIsJudged(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := Pattern{
			Shape:   rapid.SampledFrom([]Shape{Circle, Rectangle, Oblong, Free, "", "star"}).Draw(t, "shape"),
			Count:   rapid.IntRange(-1, 7).Draw(t, "count"),
			StartAt: rapid.SampledFrom([]int{0, 0, 0, 1, -1, 9}).Draw(t, "start"),
		}
		grid := rapid.Custom(func(t *rapid.T) Point {
			return Point{float64(rapid.IntRange(-1, 1).Draw(t, "x")), float64(rapid.IntRange(-1, 1).Draw(t, "y"))}
		})
		if p.Shape != Circle {
			p.Points = rapid.SliceOfNDistinct(grid, max(0, p.Count), max(0, p.Count), rapid.ID).Draw(t, "points")
		}
		r := Rule{Kind: rapid.SampledFrom([]RuleKind{Cross, Circular, Pinned, "star"}).Draw(t, "kind")}
		if r.Kind == Pinned {
			r.Pinned, r.Means = rapid.SliceOfN(rapid.IntRange(0, 7), 0, 7).Draw(t, "table"), Stamped
			if rapid.Bool().Draw(t, "good table") && p.Count > 0 {
				r.Pinned = rapid.Permutation(upTo(p.Count)).Draw(t, "permutation")
			}
		}
		seq := rapid.SliceOfN(rapid.IntRange(-1, 8), 0, 8).Draw(t, "sequence")
		if rapid.Bool().Draw(t, "permutation") && p.Count > 0 {
			seq = rapid.Permutation(upTo(p.Count)).Draw(t, "sequence")
		}
		v := Judge(p, r, seq)
		if v.Right != (v.Clause == "") || v.Right != (v.Reason == "") || v.At < 0 || v.At > len(seq) {
			t.Fatalf("%+v %+v %v: %+v", p, r, seq, v)
		}
		Next(p, r, seq[:len(seq)/2])
		if num, den := Chance(p, r); num.Cmp(den) > 0 || v.Right && num.Sign() == 0 {
			t.Fatalf("%+v %+v: %v of %v", p, r, num, den)
		}
	})
}

// TestRightSequencesAreAllReached: walking through Next meets every right sequence
// of small patterns, once each.
func TestRightSequencesAreAllReached(t *testing.T) {
	for _, p := range []Pattern{circleOf(4), circleOf(5), circleOf(6), circleOf(7), circleOf(8), pointPatterns["rectangle"], pointPatterns["two rows of 3"]} {
		for _, r := range []Rule{cross, {Kind: Circular}, {Kind: Pinned, Means: OrderOfPlaces, Pinned: upTo(p.Count)}} {
			found := int64(0)
			var walk func([]int)
			walk = func(prefix []int) {
				if len(prefix) == p.Count {
					found++
					return
				}
				may := Next(p, r, prefix)
				if len(may) == 0 {
					t.Fatalf("%v %v: dead end at %v", p, r, prefix)
				}
				for _, next := range may {
					walk(append(slices.Clip(prefix), next))
				}
			}
			walk(nil)
			if num, _ := Chance(p, r); num.Int64() != found {
				t.Errorf("%v %v: %d reached, Chance says %v", p, r, found, num)
			}
		}
	}
}

// TestWriteReachesAll: 12 right sequences on 6 bolts, and each comes.
func TestWriteReachesAll(t *testing.T) {
	seen := map[string]int{}
	rnd := rand.New(rand.NewPCG(1, 2))
	for range 600 {
		seq, err := Write(circleOf(6), cross, rnd)
		if err != nil {
			t.Fatal(err)
		}
		b, _ := json.Marshal(seq)
		seen[string(b)]++
	}
	if len(seen) != 12 {
		t.Errorf("%d different sequences: %v", len(seen), seen)
	}
}

// TestWriteIsFixedBySeed: the same source of randomness, the same sequence.
func TestWriteIsFixedBySeed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, seed := settings().Draw(t, "setting"), rapid.Uint64().Draw(t, "seed")
		a, _ := Write(s.Pattern, s.Rule, rand.New(rand.NewPCG(seed, 1)))
		b, _ := Write(s.Pattern, s.Rule, rand.New(rand.NewPCG(seed, 1)))
		if !slices.Equal(a, b) {
			t.Fatalf("%v and %v", a, b)
		}
	})
}

// TestPinnedStart halves or fixes the right sequences by what may come first.
func TestPinnedStart(t *testing.T) {
	for _, c := range []struct {
		p    Pattern
		r    Rule
		want int64
	}{
		{Pattern{Shape: Circle, Count: 8, StartAt: 3}, cross, 64 / 8},
		{Pattern{Shape: Circle, Count: 6, StartAt: 6}, cross, 12 / 6},
		{Pattern{Shape: Circle, Count: 5, StartAt: 2}, cross, 2},
		{Pattern{Shape: Circle, Count: 9, StartAt: 2}, Rule{Kind: Circular}, 2},
		{Pattern{Shape: Circle, Count: 5, StartAt: 1}, Rule{Kind: Pinned, Means: OrderOfPlaces, Pinned: []int{1, 3, 5, 2, 4}}, 1},
		{Pattern{Shape: Oblong, Count: 6, StartAt: 5, Points: pointPatterns["two rows of 3"].Points}, cross, 8},
	} {
		num, _ := Chance(c.p, c.r)
		right := int64(0)
		permutations(c.p.Count, false, func(s []int) {
			if Judge(c.p, c.r, s).Right {
				right++
			}
		})
		if num.Int64() != c.want || right != c.want {
			t.Errorf("%+v %+v: Chance %v, judged %d, want %d", c.p, c.r, num, right, c.want)
		}
	}
	v := Judge(Pattern{Shape: Circle, Count: 4, StartAt: 2}, cross, []int{1, 3, 2, 4})
	want := Verdict{Pair: [2]int{0, 1}, Clause: ClauseStart, Reason: "1 first: the sequence starts at fastener 2"}
	if !cmp.Equal(v, want) {
		t.Errorf("got %+v, want %+v", v, want)
	}
	// A pinned table counts up to rotation and reflection, unless the start is pinned.
	five := Rule{Kind: Pinned, Means: OrderOfPlaces, Pinned: []int{1, 2, 4, 3, 5}}
	mirrored := []int{1, 5, 3, 4, 2}
	if !Judge(circleOf(5), five, mirrored).Right || Judge(Pattern{Shape: Circle, Count: 5, StartAt: 1}, five, mirrored).Right {
		t.Error("a mirrored table is judged wrongly")
	}
}

func BenchmarkJudge24(b *testing.B) {
	seq := readPublished(b, OrderOfPlaces)[4].Sequence
	for b.Loop() {
		if !Judge(circleOf(24), cross, seq).Right {
			b.Fatal("wrong")
		}
	}
}

func BenchmarkJudgePinned24(b *testing.B) {
	seq := readPublished(b, OrderOfPlaces)[4].Sequence
	r := Rule{Kind: Pinned, Means: OrderOfPlaces, Pinned: seq}
	for b.Loop() {
		if !Judge(circleOf(24), r, seq).Right {
			b.Fatal("wrong")
		}
	}
}

func BenchmarkJudgeOblong10(b *testing.B) {
	p := pointPatterns["two rows of 5"]
	seq, _ := Write(p, cross, rand.New(rand.NewPCG(1, 1)))
	for b.Loop() {
		if !Judge(p, cross, seq).Right {
			b.Fatal("wrong")
		}
	}
}

func BenchmarkWrite24(b *testing.B) {
	rnd := rand.New(rand.NewPCG(1, 1))
	for b.Loop() {
		if _, err := Write(circleOf(24), cross, rnd); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkChance24(b *testing.B) {
	for b.Loop() {
		Chance(circleOf(24), cross)
	}
}
