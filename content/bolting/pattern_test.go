package bolting

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestPatternCheck(t *testing.T) {
	square := []Point{{0, 0}, {0, 1}, {1, 1}, {1, 0}}
	for _, c := range []struct {
		p    Pattern
		says string
	}{
		{Pattern{Shape: Circle}, "count from 1"},
		{Pattern{Shape: Circle, Count: 201}, "count from 1"},
		{Pattern{Shape: Circle, Count: 8, StartAt: 9}, "start at fastener 9"},
		{Pattern{Shape: Circle, Count: 8, StartAt: -1}, "start at fastener -1"},
		{Pattern{Shape: Circle, Count: 4, Points: square}, "leave them out"},
		{Pattern{Shape: "star", Count: 4}, "circle, rectangle, oblong or free"},
		{Pattern{Count: 4}, "circle, rectangle, oblong or free"},
		{Pattern{Shape: Rectangle, Count: 6}, "write oblong"},
		{Pattern{Shape: Rectangle, Count: 4}, "one point"},
		{Pattern{Shape: Rectangle, Count: 4, Points: []Point{{0, 0}, {0, 1}, {1, 2}, {1, 0}}}, "no rectangle"},
		{Pattern{Shape: Rectangle, Count: 4, Points: []Point{{0, 1}, {2, 0}, {0, -1}, {-2, 0}}}, "no rectangle"}, // a rhombus
		{Pattern{Shape: Oblong, Count: 3, Points: square[:3]}, "write free"},
		{Pattern{Shape: Oblong, Count: 5, Points: square}, "one point"},
		{Pattern{Shape: Free, Count: 2, Points: []Point{{1, 1}, {1, 1}}}, "in one place"},
		{Pattern{Shape: Free, Count: 3, Points: []Point{{0, 0}, {100, 0}, {0.01, 0}}}, "points 1 and 3"},
		{Pattern{Shape: Free, Count: 1, Points: []Point{{math.NaN(), 0}}}, "finite"},
		{Pattern{Shape: Free, Count: 1, Points: []Point{{0, math.Inf(1)}}}, "finite"},
	} {
		if err := c.p.Check(); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%+v: got %v; want it to say %q", c.p, err, c.says)
		}
	}
	for _, p := range []Pattern{
		circleOf(1), circleOf(2), circleOf(200), {Shape: Circle, Count: 8, StartAt: 8},
		{Shape: Rectangle, Count: 4, Points: square},
		{Shape: Rectangle, Count: 4, Points: []Point{{0, 0}, {99.98, 0}, {100, 60}, {0, 59.99}}}, // read off a drawing
		{Shape: Free, Count: 1, Points: []Point{{5, 5}}},
		{Shape: Free, Count: 3, Points: []Point{{0, 0}, {4, 0}, {0, 3}}},
	} {
		if err := p.Check(); err != nil {
			t.Errorf("%+v: %v", p, err)
		}
	}
}

func TestRuleCheck(t *testing.T) {
	oblong := pointPatterns["two rows of 3"]
	lopsided := Pattern{Shape: Oblong, Count: 5, Points: []Point{{0, 0}, {4, 0}, {4, 2}, {2, 2}, {0, 2}}}
	centred := Pattern{Shape: Oblong, Count: 5, Points: []Point{{0, 0}, {4, 0}, {4, 2}, {0, 2}, {2, 1}}}
	free := Pattern{Shape: Free, Count: 4, Points: []Point{{0, 0}, {4, 0}, {4, 2}, {0, 2}}}
	for _, c := range []struct {
		p    Pattern
		r    Rule
		says string
	}{
		{circleOf(3), cross, "pin a sequence"},
		{circleOf(2), cross, "pin a sequence"},
		{circleOf(0), cross, "count from 1"},
		{free, cross, "pin a sequence"},
		{lopsided, cross, "pin a sequence"},
		{centred, cross, "pin a sequence"},
		{centred, Rule{Kind: Circular}, "pin a sequence"},
		{inLine(0.002), Rule{Kind: Circular}, "pin a sequence"},
		{inLine(-0.002), Rule{Kind: Circular}, "pin a sequence"},
		{Pattern{Shape: Oblong, Count: 6, StartAt: 1, Points: oblong.Points}, cross, "starts nearest the centre"},
		{circleOf(4), Rule{}, "cross, circular or pinned"},
		{circleOf(4), Rule{Kind: "star"}, "cross, circular or pinned"},
		{circleOf(4), Rule{Kind: Cross, Pinned: []int{1, 3, 2, 4}}, "write the kind pinned"},
		{circleOf(4), Rule{Kind: Circular, Means: Stamped}, "write the kind pinned"},
		{circleOf(4), Rule{Kind: Pinned, Pinned: []int{1, 3, 2, 4}}, "order-of-places or stamped"},
		{circleOf(4), Rule{Kind: Pinned, Means: "places", Pinned: []int{1, 3, 2, 4}}, "order-of-places or stamped"},
		{circleOf(4), Rule{Kind: Pinned, Means: Stamped}, "list each once"},
		{circleOf(4), Rule{Kind: Pinned, Means: Stamped, Pinned: []int{1, 3, 2}}, "list each once"},
		{circleOf(4), Rule{Kind: Pinned, Means: Stamped, Pinned: []int{1, 3, 2, 2}}, "2 is named twice"},
		{circleOf(4), Rule{Kind: Pinned, Means: Stamped, Pinned: []int{1, 3, 2, 5}}, "no fastener 5"},
		{Pattern{Shape: Circle, Count: 4, StartAt: 2}, Rule{Kind: Pinned, Means: OrderOfPlaces, Pinned: []int{1, 3, 2, 4}}, "make them agree"},
	} {
		err := c.r.Check(c.p)
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%+v on %+v: got %v; want it to say %q", c.r, c.p, err, c.says)
			continue
		}
		if v := Judge(c.p, c.r, upTo(c.p.Count)); v.Right || v.Clause != ClauseRule || v.Reason != err.Error() {
			t.Errorf("%+v on %+v: %+v", c.r, c.p, v)
		}
		if _, werr := Write(c.p, c.r, nil); werr == nil || Next(c.p, c.r, nil) != nil {
			t.Errorf("%+v on %+v: a sequence is written", c.r, c.p)
		}
		if num, _ := Chance(c.p, c.r); num.Sign() != 0 {
			t.Errorf("%+v on %+v: Chance is %v", c.r, c.p, num)
		}
	}
	for _, p := range []Pattern{circleOf(1), circleOf(2), circleOf(3), free, lopsided} {
		for _, r := range []Rule{{Kind: Circular}, {Kind: Pinned, Means: Stamped, Pinned: upTo(p.Count)}} {
			if err := r.Check(p); err != nil {
				t.Errorf("%+v on %+v: %v", r, p, err)
			}
		}
	}
}

// inLine is a pattern of which two fasteners stand one behind the other, seen from
// the centre, to within the rounding of a drawing.
func inLine(off float64) Pattern {
	return Pattern{Shape: Free, Count: 5, Points: []Point{{10, 0}, {20, off}, {0, 10}, {-30, -off}, {0, -10}}}
}

// TestReasons: what a technician is told.
func TestReasons(t *testing.T) {
	two := pointPatterns["two rows of 3"]
	for _, c := range []struct {
		p    Pattern
		r    Rule
		seq  []int
		want Verdict
	}{
		{circleOf(8), cross, []int{1, 3, 5, 7, 2, 4, 6, 8}, Verdict{At: 1, Pair: [2]int{1, 3}, Clause: "a",
			Reason: "3 after 1: the second of a pair stands opposite the first; 5 was next"}},
		{circleOf(12), cross, []int{1, 7, 2, 8, 3, 9, 4, 10, 5, 11, 6, 12}, Verdict{At: 2, Pair: [2]int{7, 2}, Clause: "b",
			Reason: "2 after 7: the second pair of a four stands a quarter turn from the first; 4–10 was next"}},
		{circleOf(16), cross, []int{1, 9, 5, 13, 14, 6, 10, 2, 3, 11, 7, 15, 16, 8, 12, 4}, Verdict{At: 4, Pair: [2]int{13, 14}, Clause: "c",
			Reason: "14 after 13: its group is beside the last one while the group of 3–11 was still free"}},
		{circleOf(10), cross, []int{1, 6, 7, 2, 3, 8, 4, 9, 5, 10}, Verdict{At: 2, Pair: [2]int{6, 7}, Clause: "c",
			Reason: "7 after 6: its group is beside the last one while 3–8 was still free"}},
		{circleOf(8), cross, []int{1, 5, 3, 7, 8, 4, 6, 2}, Verdict{At: 4, Pair: [2]int{7, 8}, Clause: "d",
			Reason: "8 after 7: they are neighbours, and no fastener directly follows its neighbour"}},
		{circleOf(5), cross, []int{1, 2, 3, 4, 5}, Verdict{At: 1, Pair: [2]int{1, 2}, Clause: "step",
			Reason: "2 after 1: the next of 5 stands 2 places on, either way; 3 or 4 was next"}},
		{circleOf(5), cross, []int{1, 3, 2, 5, 4}, Verdict{At: 2, Pair: [2]int{3, 2}, Clause: "step",
			Reason: "2 after 3: the next of 5 stands 2 places on, either way; 5 was next"}},
		{circleOf(5), cross, []int{1, 4, 3, 2, 5}, Verdict{At: 2, Pair: [2]int{4, 3}, Clause: "step",
			Reason: "3 after 4: the next of 5 stands 2 places on, either way; 2 was next"}},
		{two, cross, []int{2, 3, 1, 4, 5, 6}, Verdict{At: 1, Pair: [2]int{2, 3}, Clause: "a",
			Reason: "3 after 2: the second of a pair stands opposite the first through the centre; 5 was next"}},
		{two, cross, []int{1, 4, 2, 5, 3, 6}, Verdict{At: 0, Pair: [2]int{0, 1}, Clause: "outward",
			Reason: "1 first: work from the centre outward: 2–5, nearer the centre, was still free"}},
		{circleOf(4), Rule{Kind: Circular}, []int{1, 2, 4, 3}, Verdict{At: 2, Pair: [2]int{2, 4}, Clause: "around",
			Reason: "4 after 2: go round in one direction, each fastener to its neighbour"}},
		{circleOf(4), Rule{Kind: Pinned, Means: OrderOfPlaces, Pinned: []int{1, 3, 2, 4}}, []int{1, 2, 3, 4}, Verdict{At: 1, Pair: [2]int{1, 2}, Clause: "table",
			Reason: "2 after 1: the sequence of the procedure goes on to 3 here"}},
		{circleOf(4), cross, []int{1, 3, 2, 2}, Verdict{At: 3, Pair: [2]int{0, 2}, Clause: "each", Reason: "fastener 2 is named twice"}},
		{circleOf(4), cross, []int{1, 3, 2, 5}, Verdict{At: 3, Pair: [2]int{0, 5}, Clause: "each", Reason: "there is no fastener 5: they are numbered 1 to 4"}},
		{circleOf(4), cross, []int{0, 3, 2, 4}, Verdict{At: 0, Pair: [2]int{0, 0}, Clause: "each", Reason: "there is no fastener 0: they are numbered 1 to 4"}},
		{circleOf(4), cross, []int{1, 3, 2}, Verdict{At: 3, Clause: "each", Reason: "fastener 4 is missing"}},
		{circleOf(4), cross, nil, Verdict{Clause: "each", Reason: "fastener 1 is missing"}},
		{circleOf(4), cross, []int{1, 3, 2, 4, 1}, Verdict{At: 4, Pair: [2]int{0, 1}, Clause: "each", Reason: "fastener 1 is named twice"}},
	} {
		if got := Judge(c.p, c.r, c.seq); !cmp.Equal(got, c.want) {
			t.Errorf("%v: %s", c.seq, cmp.Diff(c.want, got))
		}
	}
}

func TestNextOfNonsense(t *testing.T) {
	for _, prefix := range [][]int{{0}, {5}, {1, 1}, {1, 2}, {-3}, {1, 3, 2, 4, 1}} {
		if got := Next(circleOf(4), cross, prefix); got != nil {
			t.Errorf("%v goes on to %v", prefix, got)
		}
	}
	if got := Next(circleOf(8), cross, []int{1, 5, 1, 5}); got != nil {
		t.Errorf("a fastener twice goes on to %v", got)
	}
}

func TestPlaces(t *testing.T) {
	for i, want := range []Point{{0, 1}, {1, 0}, {0, -1}, {-1, 0}} { // clockwise from 12 o'clock
		got := circleOf(4).Places()[i]
		if math.Hypot(got.X-want.X, got.Y-want.Y) > 1e-12 {
			t.Errorf("place %d: got %v, want %v", i+1, got, want)
		}
	}
	p := pointPatterns["rectangle"]
	p.Places()[0].X = 77
	if p.Points[0].X == 77 {
		t.Error("Places hands out the pattern's own points")
	}
}

// TestSymmetries: the orders of the symmetry groups, as in any geometry book.
func TestSymmetries(t *testing.T) {
	for _, c := range []struct {
		p    Pattern
		want int
	}{
		{circleOf(1), 1}, {circleOf(2), 2}, {circleOf(3), 6}, {circleOf(8), 16}, {circleOf(24), 48},
		{Pattern{Shape: Circle, Count: 8, StartAt: 3}, 2}, {Pattern{Shape: Circle, Count: 5, StartAt: 1}, 2},
		{pointPatterns["rectangle"], 4}, {pointPatterns["square"], 8}, {pointPatterns["two rows of 3"], 4},
		{pointPatterns["oblong, tips"], 4}, {pointPatterns["a row"], 2}, {pointPatterns["slanted rows of 3"], 4},
		{Pattern{Shape: Free, Count: 3, Points: []Point{{0, 0}, {4, 0}, {0, 3}}}, 1},
		{Pattern{Shape: Free, Count: 3, Points: []Point{{0, 0}, {4, 0}, {2, 3}}}, 2},
		{Pattern{Shape: Free, Count: 4, Points: []Point{{0, 0}, {4, 0}, {5, 2}, {1, 2}}}, 2}, // a parallelogram
		{Pattern{Shape: Free, Count: 5, Points: circleOf(5).Places()}, 10},
		{Pattern{Shape: Free, Count: 1, Points: []Point{{3, 3}}}, 1},
		{Pattern{Shape: Circle, Count: 0}, 0},
	} {
		all := Symmetries(c.p)
		if len(all) != c.want {
			t.Errorf("%+v: got %d symmetries, want %d", c.p, len(all), c.want)
		}
		if len(all) > 0 && !cmp.Equal(all[0], upTo(c.p.Count)) {
			t.Errorf("%+v: the first symmetry is %v", c.p, all[0])
		}
		for _, s := range all {
			if at, why := notPermutation(c.p.Count, s); at >= 0 {
				t.Errorf("%+v: %v: %s", c.p, s, why)
			}
			if !keepsDistances(c.p, s) {
				t.Errorf("%+v: %v is no rotation or reflection", c.p, s)
			}
		}
	}
}

func keepsDistances(p Pattern, s []int) bool {
	at := p.Places()
	apart := func(i, j int) float64 { return math.Hypot(at[i].X-at[j].X, at[i].Y-at[j].Y) }
	for i := range s {
		for j := range s {
			if math.Abs(apart(i, j)-apart(s[i]-1, s[j]-1)) > 1e-9*(1+apart(i, j)) {
				return false
			}
		}
	}
	return true
}

func TestJSON(t *testing.T) {
	for _, s := range []string{
		`{"shape":"circle","count":12}`,
		`{"shape":"circle","count":8,"start_at":1}`,
		`{"shape":"rectangle","count":4,"points":[{"x":0,"y":0},{"x":100,"y":0},{"x":100,"y":60},{"x":0,"y":60}]}`,
	} {
		var p Pattern
		if err := json.Unmarshal([]byte(s), &p); err != nil {
			t.Fatal(err)
		}
		if back, err := json.Marshal(p); err != nil || string(back) != s {
			t.Errorf("got %s, %v; want %s", back, err, s)
		}
	}
	for _, s := range []string{`{"kind":"cross"}`, `{"kind":"pinned","pinned":[1,3,2,4],"means":"stamped"}`} {
		var r Rule
		if err := json.Unmarshal([]byte(s), &r); err != nil {
			t.Fatal(err)
		}
		if back, err := json.Marshal(r); err != nil || string(back) != s {
			t.Errorf("got %s, %v; want %s", back, err, s)
		}
	}
}
