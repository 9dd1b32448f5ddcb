package itemmodel

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
	"strings"

	"soloright/content"
	"soloright/content/bolting"
	"soloright/quiz"
)

// jointView is what the drawings of one joint have in common.
type jointView struct {
	joint  *content.Joint
	around []int // by place from 0: how many places on round the drawing, clockwise
	turns  []int // degrees by which it may be turned
	flips  bool  // whether it may be mirrored
}

// viewOf works out how a joint may be drawn. A circle is turned by any multiple of
// 15°, another pattern by right angles. It is mirrored only where nobody can tell:
// where the pattern is its own mirror image, and the rule does not know left from right.
func viewOf(j *content.Joint) *jointView {
	v := &jointView{joint: j, around: roundTheDrawing(j.Pattern), turns: []int{0, 90, 180, 270}}
	if j.Pattern.Shape == bolting.Circle {
		v.turns = nil
		for turn := 0; turn < 360; turn += 15 {
			v.turns = append(v.turns, turn)
		}
	}
	v.flips = mirrorsOntoItself(j.Pattern)
	if s := j.Sequence; s != nil && s.Rule.Kind == bolting.Pinned && j.Pattern.StartAt > 0 {
		v.flips = false // such a table counts only as it stands
	}
	return v
}

// figure turns and mirrors the drawing at random.
func (v *jointView) figure(rnd *rand.Rand) *quiz.JointFigure {
	return &quiz.JointFigure{Title: v.joint.Title, Pattern: v.joint.Pattern,
		Rotation: v.turns[rnd.IntN(len(v.turns))], Mirror: rnd.IntN(2) == 0 && v.flips}
}

// roundTheDrawing ranks the places clockwise by their angle from the middle.
func roundTheDrawing(p bolting.Pattern) []int {
	places := p.Places()
	var x, y float64
	for _, at := range places {
		x, y = x+at.X/float64(len(places)), y+at.Y/float64(len(places))
	}
	order := make([]int, len(places))
	for i := range order {
		order[i] = i
	}
	angle := func(i int) float64 { // clockwise from 12 o'clock, to a thousandth of a degree
		a := math.Atan2(places[i].X-x, places[i].Y-y) * 180 / math.Pi
		return math.Mod(math.Round(a*1000)+360000, 360000)
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(angle(a), angle(b)) })
	rank := make([]int, len(order))
	for at, i := range order {
		rank[i] = at
	}
	return rank
}

// mirrorsOntoItself reports whether a reflection carries the pattern into itself: one
// of its symmetries turns a triangle of places the other way round.
func mirrorsOntoItself(p bolting.Pattern) bool {
	p.StartAt = 0
	places := p.Places()
	turn := func(s []int, k int) float64 {
		a, b, c := places[s[0]-1], places[s[1]-1], places[s[k]-1]
		return (b.X-a.X)*(c.Y-a.Y) - (b.Y-a.Y)*(c.X-a.X)
	}
	all := bolting.Symmetries(p)
	for k := 2; k < len(places); k++ {
		if was := turn(all[0], k); math.Abs(was) > 1e-6 {
			return slices.ContainsFunc(all, func(s []int) bool { return turn(s, k)*was < 0 })
		}
	}
	return true // all in one line
}

// capital is the letter that stands beside a fastener.
func capital(i int) string { return strings.ToUpper(letter(i)) }
