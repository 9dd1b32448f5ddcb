package bolting

import (
	"fmt"
	"math"
)

// Shape is the shape of a bolt pattern.
type Shape string

// The shapes.
const (
	Circle    Shape = "circle"    // equally spaced on a circle; needs no points
	Rectangle Shape = "rectangle" // four in a rectangle
	Oblong    Shape = "oblong"    // longer rectangles and oblongs
	Free      Shape = "free"      // anything else: its sequence is pinned
)

// MaxCount is the greatest number of fasteners of a pattern.
const MaxCount = 200

// Point is the centre of a fastener in drawing units, y upward.
type Point struct {
	X float64 `json:"x"`
	Y float64 `json:"y"`
}

// Pattern is where the fasteners of a joint stand. Points are given for every
// shape but the circle. StartAt is the place at which every sequence begins, 0
// where it may begin anywhere.
type Pattern struct {
	Shape   Shape   `json:"shape"`
	Count   int     `json:"count"`
	Points  []Point `json:"points,omitempty"`
	StartAt int     `json:"start_at,omitempty"`
}

// near is how far apart, as a share of the pattern's size, two lengths may be and
// still count as equal: drawings are read off to about a thousandth, and fasteners
// stand much further apart than that.
const near = 1e-3

// Check returns what is impossible about the pattern and what to write instead,
// or nil.
func (p Pattern) Check() error {
	if p.Count < 1 || p.Count > MaxCount {
		return fmt.Errorf("a pattern of %d fasteners: write a count from 1 to %d", p.Count, MaxCount)
	}
	if p.StartAt < 0 || p.StartAt > p.Count {
		return fmt.Errorf("start at fastener %d of %d: write a place from 1 to %d, or leave it out", p.StartAt, p.Count, p.Count)
	}
	switch p.Shape {
	case Circle:
		return p.checkCircle()
	case Rectangle:
		return p.checkRectangle()
	case Oblong:
		if p.Count < 4 {
			return fmt.Errorf("an oblong of %d fasteners: it has 4 or more; write free for fewer", p.Count)
		}
		return p.checkPoints()
	case Free:
		return p.checkPoints()
	}
	return fmt.Errorf("shape %q is not known: write circle, rectangle, oblong or free", string(p.Shape))
}

func (p Pattern) checkCircle() error {
	if len(p.Points) > 0 {
		return fmt.Errorf("a circle has %d points: leave them out, they follow from the count", len(p.Points))
	}
	return nil
}

func (p Pattern) checkRectangle() error {
	if p.Count != 4 {
		return fmt.Errorf("a rectangle of %d fasteners: a rectangle has 4; write oblong for more", p.Count)
	}
	if err := p.checkPoints(); err != nil {
		return err
	}
	g := measure(p.Points)
	for i := range p.Points {
		if !g.same(g.radius[i], g.radius[0]) || g.opposite[i] < 0 {
			return fmt.Errorf("the 4 points are no rectangle: its diagonals must be equal and halve each other; mend the points or write free")
		}
	}
	return nil
}

func (p Pattern) checkPoints() error {
	if len(p.Points) != p.Count {
		return fmt.Errorf("%d fasteners and %d points: give each fastener one point", p.Count, len(p.Points))
	}
	for i, a := range p.Points {
		if !finite(a.X) || !finite(a.Y) {
			return fmt.Errorf("point %d is not at a finite place: write ordinary coordinates", i+1)
		}
	}
	g := measure(p.Points)
	for i, a := range p.Points {
		for j, b := range p.Points[:i] {
			if g.size == 0 || g.same(0, math.Hypot(a.X-b.X, a.Y-b.Y)) {
				return fmt.Errorf("points %d and %d are in one place: move one", j+1, i+1)
			}
		}
	}
	return nil
}

func finite(v float64) bool { return !math.IsNaN(v) && math.Abs(v) <= 1e9 }

// Places returns where the fasteners stand, place 1 first: for a circle on the
// unit circle, clockwise from 12 o'clock; otherwise a copy of Points.
func (p Pattern) Places() []Point {
	if p.Shape != Circle {
		return append([]Point(nil), p.Points...)
	}
	places := make([]Point, max(0, min(p.Count, MaxCount)))
	for i := range places {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(len(places)))
		places[i] = Point{sin, cos}
	}
	return places
}
