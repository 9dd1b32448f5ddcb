package drawing

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"soloright/content/bolting"
	"soloright/quiz"
)

// point is a place on the drawing, y downward as SVG has it.
type point struct{ x, y float64 }

// spread puts the places of a joint on the drawing, turned and mirrored as the
// figure says, the furthest at the given reach from the centre. It also returns
// the least distance between two places.
func spread(f *quiz.JointFigure, reach float64) (pts []point, apart float64) {
	raw := f.Pattern.Places()
	cx, cy := middle(raw)
	far := 0.0
	for _, p := range raw {
		far = math.Max(far, math.Hypot(p.X-cx, p.Y-cy))
	}
	if far == 0 {
		far = 1
	}
	sin, cos := math.Sincos(float64(f.Rotation) * math.Pi / 180)
	for _, p := range raw {
		x, y := (p.X-cx)/far*reach, -(p.Y-cy)/far*reach
		if f.Mirror {
			x = -x
		}
		pts = append(pts, point{x*cos - y*sin, x*sin + y*cos})
	}
	apart = math.Inf(1)
	for i := range pts {
		for j := range i {
			apart = math.Min(apart, math.Hypot(pts[i].x-pts[j].x, pts[i].y-pts[j].y))
		}
	}
	return pts, apart
}

// middle is the centre of the box round all points.
func middle(pts []bolting.Point) (x, y float64) {
	x1, y1, x2, y2 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, p := range pts {
		x1, x2 = math.Min(x1, p.X), math.Max(x2, p.X)
		y1, y2 = math.Min(y1, p.Y), math.Max(y2, p.Y)
	}
	return (x1 + x2) / 2, (y1 + y2) / 2
}

// outline draws the edge of the cover round its fasteners: a circle with its
// bore, or the hull of the places with rounded corners.
func (d *svg) outline(f *quiz.JointFigure, pts []point, r float64) {
	if f.Pattern.Shape == bolting.Circle {
		d.raw(`<circle class="paper edge1" r="214"/><circle class="edge1" r="92"/><circle class="axis" r="%s"/>`, num(reach))
		return
	}
	const letters = 30 // the letters stand inside the edge
	d.raw(`<path class="hull" stroke-width="%s" d="%s"/>`, num(2*(r+letters)), polygon(hull(pts)))
	d.raw(`<path class="hullin" stroke-width="%s" d="%s"/>`, num(2*(r+letters)-4), polygon(hull(pts)))
}

// hexagon is the path of a hexagon with the given reach to its corners.
func hexagon(c point, r float64) string {
	corners := make([]point, 6)
	for i := range corners {
		sin, cos := math.Sincos(float64(i) * math.Pi / 3)
		corners[i] = point{c.x + r*cos, c.y + r*sin}
	}
	return polygon(corners)
}

// polygon is the closed path through the points.
func polygon(pts []point) string {
	var b strings.Builder
	for i, p := range pts {
		op := "L"
		if i == 0 {
			op = "M"
		}
		fmt.Fprintf(&b, "%s%s %s", op, num(p.x), num(p.y))
	}
	return b.String() + "Z"
}

// hull is the convex hull of the points, by Andrew's monotone chain.
func hull(pts []point) []point {
	sorted := slices.SortedFunc(slices.Values(pts), func(a, b point) int {
		return cmp.Or(cmp.Compare(a.x, b.x), cmp.Compare(a.y, b.y))
	})
	lower := chain(sorted)
	slices.Reverse(sorted)
	upper := chain(sorted)
	return append(lower[:len(lower)-1], upper[:len(upper)-1]...)
}

func chain(pts []point) []point {
	var out []point
	for _, p := range pts {
		for len(out) > 1 && turn(out[len(out)-2], out[len(out)-1], p) <= 0 {
			out = out[:len(out)-1]
		}
		out = append(out, p)
	}
	return out
}

func turn(a, b, c point) float64 { return (b.x-a.x)*(c.y-a.y) - (b.y-a.y)*(c.x-a.x) }
