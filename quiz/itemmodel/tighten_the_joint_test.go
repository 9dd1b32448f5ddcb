package itemmodel

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"soloright/content"
	"soloright/content/bolting"
	"soloright/quiz"
)

// crossing judges the beginning of a sequence of places by the crossing rule, as the
// laws of marking word it. It knows nothing of package bolting's judge: neighbours and
// opposites are found on the circle by counting, elsewhere by measuring.
type crossing struct {
	p bolting.Pattern
	r bolting.Rule
}

// right reports whether the places, counted from 1, are a right beginning.
func (c crossing) right(seq []int) bool {
	if c.p.StartAt > 0 && len(seq) > 0 && seq[0] != c.p.StartAt {
		return false
	}
	switch {
	case c.r.Kind == bolting.Pinned:
		return c.inTable(seq)
	case c.p.Shape == bolting.Circle && c.p.Count%2 == 1:
		return c.oddCircle(seq)
	case c.p.Shape == bolting.Circle:
		return c.evenCircle(seq)
	}
	return c.outward(seq)
}

// apart is how many places lie between two on the circle, the shorter way.
func (c crossing) apart(a, b int) int {
	d := (a - b + c.p.Count) % c.p.Count
	return min(d, c.p.Count-d)
}

func (c crossing) oddCircle(seq []int) bool {
	for i := 1; i < len(seq); i++ {
		if c.apart(seq[i], seq[i-1]) != (c.p.Count-1)/2 {
			return false
		}
	}
	return true
}

func (c crossing) evenCircle(seq []int) bool {
	n, size := c.p.Count, 2
	if n%4 == 0 {
		size = 4
	}
	for i := 1; i < len(seq); i++ {
		switch {
		case i%2 == 1 && c.apart(seq[i], seq[i-1]) != n/2: // (a)
			return false
		case size == 4 && i%4 == 2 && c.apart(seq[i], seq[i-2]) != n/4: // (b)
			return false
		case n >= 6 && c.apart(seq[i], seq[i-1]) == 1: // (d)
			return false
		case i%size == 0 && c.besideThoughFree(seq[:i], seq[i], size): // (c)
			return false
		}
	}
	return true
}

// group lists the places of the group of a place.
func (c crossing) group(place, size int) []int {
	out := make([]int, size)
	for k := range size {
		out[k] = (place-1+k*c.p.Count/size)%c.p.Count + 1
	}
	return out
}

func (c crossing) beside(a, b, size int) bool {
	for _, x := range c.group(a, size) {
		for _, y := range c.group(b, size) {
			if c.apart(x, y) == 1 {
				return true
			}
		}
	}
	return false
}

// besideThoughFree reports whether the group of next is beside the last one while an
// unused group that is not remains.
func (c crossing) besideThoughFree(done []int, next, size int) bool {
	last := done[len(done)-1]
	if !c.beside(last, next, size) {
		return false
	}
	for place := 1; place <= c.p.Count; place++ {
		if !slices.Contains(done, place) && !c.beside(last, place, size) {
			return true
		}
	}
	return false
}

func (c crossing) distance(a, b int) float64 {
	if c.p.Shape == bolting.Circle { // the chord, in radii
		return 2 * math.Sin(math.Pi*float64(c.apart(a, b))/float64(c.p.Count))
	}
	at := c.p.Points
	return math.Hypot(at[a-1].X-at[b-1].X, at[a-1].Y-at[b-1].Y)
}

// outward: opposite pairs through the centre, the distance from it never falling.
func (c crossing) outward(seq []int) bool {
	at := c.p.Places()
	var x, y float64
	for _, p := range at {
		x, y = x+p.X/float64(len(at)), y+p.Y/float64(len(at))
	}
	from := func(place int) float64 { return math.Hypot(at[place-1].X-x, at[place-1].Y-y) }
	for i, place := range seq {
		if i%2 == 1 && math.Abs(c.distance(place, seq[i-1])-2*from(place)) > 0.01 {
			return false
		}
		for other := 1; other <= c.p.Count; other++ {
			if !slices.Contains(seq[:i], other) && from(other) < from(place)-0.01 {
				return false
			}
		}
	}
	return true
}

// inTable reports whether the places follow the table, turned or mirrored with the
// joint: as far as they go, each is as far from each as in the table.
func (c crossing) inTable(seq []int) bool {
	table := slices.Clone(c.r.Pinned)
	if c.r.Means == "stamped" {
		for place, turn := range c.r.Pinned {
			table[turn-1] = place + 1
		}
	}
	if c.p.StartAt > 0 {
		return slices.Equal(seq, table[:len(seq)])
	}
	return c.carries(table, seq)
}

// carries looks for an isometry of the joint that takes the table to the sequence.
func (c crossing) carries(table, seq []int) bool {
	for n := 1; n <= len(seq); n++ {
		if !c.sameDistances(seq[:n], table[:n]) {
			return false
		}
	}
	if len(seq) == len(table) {
		return true
	}
	for place := 1; place <= c.p.Count; place++ {
		if !slices.Contains(seq, place) && c.carries(table, append(slices.Clip(seq), place)) {
			return true
		}
	}
	return false
}

// sameDistances reports whether the last place is as far from the others in both lists.
func (c crossing) sameDistances(a, b []int) bool {
	last := len(a) - 1
	for i := range last {
		if math.Abs(c.distance(a[last], a[i])-c.distance(b[last], b[i])) > 0.01 {
			return false
		}
	}
	return true
}

// placesOf are the places, counted from 1, of option ids.
func placesOf(it quiz.Item, ids []string) []int {
	out := make([]int, len(ids))
	for i, id := range ids {
		out[i] = slices.IndexFunc(it.Interaction.Options, func(o quiz.Option) bool { return o.ID == id }) + 1
	}
	return out
}

func truthOfTightening(t failer, p *content.Procedure, it quiz.Item) truth {
	j := rawJoint(p, it)
	f := it.Figure.Joint
	if len(it.Interaction.Options) != j.Pattern.Count || f.Title != j.Title || fmt.Sprint(f.Pattern) != fmt.Sprint(j.Pattern) {
		t.Fatalf("the drawing is not of %s", j.Title)
	}
	c := crossing{j.Pattern, j.Sequence.Rule}
	return truth{judge: func(ids []string) bool { return c.right(placesOf(it, ids)) }}
}

// The letters run clockwise on the drawing as it is turned and mirrored, and A stands
// anywhere: they say nothing of the order.
func TestLettersRunClockwise(t *testing.T) {
	first := map[string]bool{}
	for _, src := range sources(t) {
		for _, f := range src.Index.Of(content.KindSequence) {
			if n, _ := tightenTheJoint.Count(src, f); n == 0 {
				continue
			}
			for seed := range scaled(100) {
				it, err := tightenTheJoint.Write(src, f, random(seed))
				if err != nil {
					t.Fatal(err)
				}
				first[it.Interaction.Options[0].Text] = true
				if turns := clockwiseTurns(it); math.Abs(turns-1) > 1e-6 {
					t.Fatalf("the letters go round %.2f times: %v", turns, it.Interaction.Options)
				}
			}
		}
	}
	if len(first) < 4 {
		t.Errorf("place 1 has the letters %v only", first)
	}
}

// clockwiseTurns adds up the angle from letter to letter on the drawing, and back to A.
func clockwiseTurns(it quiz.Item) float64 {
	f := it.Figure.Joint
	at := f.Pattern.Places()
	var x, y float64
	for _, p := range at {
		x, y = x+p.X/float64(len(at)), y+p.Y/float64(len(at))
	}
	options := slices.Clone(it.Interaction.Options)
	angle := map[string]float64{}
	for i, o := range options {
		dx := at[i].X - x
		if f.Mirror {
			dx = -dx
		}
		angle[o.Text] = math.Atan2(dx, at[i].Y-y) // clockwise from 12 o'clock; turning it all changes nothing
	}
	slices.SortFunc(options, func(a, b quiz.Option) int { return strings.Compare(a.Text, b.Text) })
	sum := 0.0
	for i, o := range options {
		next := options[(i+1)%len(options)].Text
		sum += math.Mod(angle[next]-angle[o.Text]+2*math.Pi, 2*math.Pi)
	}
	return sum / (2 * math.Pi)
}

// ASME PCC-1 legacy cross pattern, bolts numbered round the circle (8, 12 and 16 seen
// in secondary copies, 4 from memory), and what must fail (laws of marking): the oracle
// and the item's key agree on them.
func TestPublishedSequencesOnItems(t *testing.T) {
	for _, c := range []struct {
		n    int
		seq  []int
		want bool
	}{
		{4, []int{1, 3, 2, 4}, true},
		{8, []int{1, 5, 3, 7, 2, 6, 4, 8}, true},
		{12, []int{1, 7, 4, 10, 2, 8, 5, 11, 3, 9, 6, 12}, true},
		{16, []int{1, 9, 5, 13, 3, 11, 7, 15, 2, 10, 6, 14, 4, 12, 8, 16}, true},
		{5, []int{1, 3, 5, 2, 4}, true}, {6, []int{1, 4, 2, 5, 3, 6}, true}, {6, []int{1, 4, 6, 3, 5, 2}, true},
		{10, []int{1, 6, 3, 8, 5, 10, 2, 7, 4, 9}, true},
		{8, []int{1, 5, 3, 7, 8, 4, 6, 2}, false}, {8, []int{1, 3, 5, 7, 2, 4, 6, 8}, false}, {6, []int{1, 4, 5, 2, 3, 6}, false},
		{12, []int{1, 7, 2, 8, 3, 9, 4, 10, 5, 11, 6, 12}, false},
		{16, []int{1, 9, 5, 13, 14, 6, 10, 2, 3, 11, 7, 15, 16, 8, 12, 4}, false}, {8, []int{1, 2, 3, 4, 5, 6, 7, 8}, false},
	} {
		j := content.Joint{ID: "j", Title: "Flange", Pattern: bolting.Pattern{Shape: bolting.Circle, Count: c.n}, Sequence: &content.Sequence{Rule: bolting.Rule{Kind: bolting.Cross}}}
		src := quiz.NewSource(&content.Procedure{Joints: []content.Joint{j}}, "")
		lead, _ := src.Index.Fact("sequence/j")
		it, err := tightenTheJoint.Write(src, lead, random(c.n))
		if err != nil {
			t.Fatal(err)
		}
		if got := (crossing{j.Pattern, j.Sequence.Rule}).right(c.seq); got != c.want {
			t.Errorf("%d: %v is %v by the oracle, want %v", c.n, c.seq, got, c.want)
		}
		k := it.Key.Sequence
		if got := bolting.Judge(k.Pattern, k.Rule, c.seq).Right; got != c.want {
			t.Errorf("%d: %v is %v by the key, want %v", c.n, c.seq, got, c.want)
		}
	}
}

// lopsided is a joint without symmetry whose table starts at a pinned fastener.
func lopsided() *quiz.Source {
	j := content.Joint{ID: "j", Title: "Cover", Fastener: "screw", Tighten: content.Tighten{By: content.ToStop},
		Pattern:  bolting.Pattern{Shape: bolting.Free, Count: 5, StartAt: 2, Points: []bolting.Point{{X: -50, Y: 0}, {X: -10, Y: 30}, {X: 60, Y: 20}, {X: 45, Y: -30}, {X: -20, Y: -25}}},
		Sequence: &content.Sequence{Rule: bolting.Rule{Kind: bolting.Pinned, Means: bolting.OrderOfPlaces, Pinned: []int{2, 4, 1, 3, 5}}}}
	return quiz.NewSource(&content.Procedure{Joints: []content.Joint{j}}, "")
}

// A joint that is not its own mirror image is never drawn mirrored: the drawing would be
// of another joint. A pinned start stands marked on it.
func TestLopsidedJoint(t *testing.T) {
	src := lopsided()
	lead, _ := src.Index.Fact("sequence/j")
	for _, m := range []quiz.Model{tightenTheJoint, whichFastenerNext} {
		for seed := range 100 {
			it, err := m.Write(src, lead, random(seed))
			if err != nil {
				t.Fatal(err)
			}
			f := it.Figure.Joint
			if f.Mirror || f.Rotation%90 != 0 {
				t.Fatalf("%s: drawn mirrored or askew: %+v", m.Name(), f)
			}
			if m == tightenTheJoint && (f.Start != "b" || it.Key.Sequence.Example[0] != "b" || !strings.Contains(it.Stem, "The marked one comes first.")) {
				t.Fatalf("start %q, example %v: %s", f.Start, it.Key.Sequence.Example, it.Stem)
			}
			if m == whichFastenerNext && f.Tight[0] != 2 {
				t.Fatalf("the beginning %v does not start at fastener 2", f.Tight)
			}
		}
	}
}

func TestMirrorsOntoItself(t *testing.T) {
	for _, c := range []struct {
		p    bolting.Pattern
		want bool
	}{
		{bolting.Pattern{Shape: bolting.Circle, Count: 7}, true},
		{lopsided().Procedure.Joints[0].Pattern, false},
		{bolting.Pattern{Shape: bolting.Free, Count: 4, Points: []bolting.Point{{X: -2, Y: 1}, {X: 2, Y: 1}, {X: 3, Y: -1}, {X: -1, Y: -1}}}, false}, // a parallelogram turns into itself only
		{bolting.Pattern{Shape: bolting.Free, Count: 3, Points: []bolting.Point{{X: 0, Y: 2}, {X: 1, Y: 0}, {X: -1, Y: 0}}}, true},
	} {
		if got := mirrorsOntoItself(c.p); got != c.want {
			t.Errorf("%+v: %v, want %v", c.p, got, c.want)
		}
	}
}
