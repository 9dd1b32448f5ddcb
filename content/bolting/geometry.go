package bolting

import (
	"cmp"
	"math"
	"slices"
)

// geometry is what the rules ask of points: measured from their common centre.
type geometry struct {
	at       []Point   // relative to the centre
	radius   []float64 // distance from the centre
	size     float64   // the greatest radius
	opposite []int     // index of the point opposite through the centre; −1 where none
	ring     []int     // 0 for the points nearest the centre, 1 for the next, …
}

// measure works out the geometry of points.
func measure(points []Point) *geometry {
	g := &geometry{at: slices.Clone(points)}
	var c Point
	for _, p := range points {
		c.X += p.X / float64(len(points))
		c.Y += p.Y / float64(len(points))
	}
	for i, p := range points {
		g.at[i] = Point{p.X - c.X, p.Y - c.Y}
		g.radius = append(g.radius, math.Hypot(p.X-c.X, p.Y-c.Y))
		g.size = max(g.size, g.radius[i])
	}
	for i := range g.at {
		g.opposite = append(g.opposite, g.find(Point{-g.at[i].X, -g.at[i].Y}))
	}
	g.ring = g.rings()
	return g
}

// same reports whether two lengths are equal to within near of the size.
func (g *geometry) same(a, b float64) bool { return math.Abs(a-b) <= near*g.size }

// find returns the index of the point at q, −1 where none is.
func (g *geometry) find(q Point) int {
	for i, p := range g.at {
		if g.same(0, math.Hypot(p.X-q.X, p.Y-q.Y)) {
			return i
		}
	}
	return -1
}

// rings numbers the distances from the centre. Distances that differ by less than
// near from the one before them are one ring.
func (g *geometry) rings() []int {
	order := make([]int, len(g.at))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Compare(g.radius[a], g.radius[b]) })
	ring := make([]int, len(order))
	for k := 1; k < len(order); k++ {
		ring[order[k]] = ring[order[k-1]]
		if !g.same(g.radius[order[k]], g.radius[order[k-1]]) {
			ring[order[k]]++
		}
	}
	return ring
}

// symmetric reports whether every point has an opposite other than itself.
func (g *geometry) symmetric() bool {
	for i, o := range g.opposite {
		if o < 0 || o == i || g.opposite[o] != i {
			return false
		}
	}
	return true
}

// around lists the points clockwise round the centre from the first one; ok is
// false where two stand in one direction or one in the centre.
func (g *geometry) around() (order []int, ok bool) {
	for i := range g.at {
		if g.same(0, g.radius[i]) {
			return nil, false
		}
		order = append(order, i)
	}
	from := func(i int) float64 { // clockwise angle from point 0, 0 to 2π
		a := math.Atan2(g.at[0].Y, g.at[0].X) - math.Atan2(g.at[i].Y, g.at[i].X)
		if a < -near {
			a += 2 * math.Pi
		}
		return a
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Compare(from(a), from(b)) })
	for k := 1; k < len(order); k++ {
		if from(order[k])-from(order[k-1]) < near {
			return nil, false
		}
	}
	return order, true
}
