package bolting

import (
	"math"
	"slices"
)

// Symmetries returns the permutations of places that a rotation or reflection of
// the joint makes, the identity first: s[i] is the place to which place i+1 goes.
// A pinned start leaves those under which it stays in place. A pattern that Check
// refuses has none.
func Symmetries(p Pattern) [][]int {
	if p.Check() != nil {
		return nil
	}
	var all [][]int
	for _, s := range symmetries(p) {
		if p.StartAt > 0 && s[p.StartAt-1] != p.StartAt-1 {
			continue
		}
		for i := range s {
			s[i]++
		}
		all = append(all, s)
	}
	return all
}

// symmetries works from 0 and leaves the start alone.
func symmetries(p Pattern) [][]int {
	if p.Shape == Circle {
		return dihedral(p.Count)
	}
	return planar(measure(p.Points))
}

func dihedral(n int) [][]int {
	var all [][]int
	for _, way := range []int{1, -1} {
		for turn := range n {
			s := make([]int, n)
			for i := range s {
				s[i] = ((turn+way*i)%n + n) % n
			}
			if n > 2 || len(all) < n { // on one or two places a reflection is a rotation
				all = append(all, s)
			}
		}
	}
	return all
}

// planar finds the rotations and reflections about the centre that carry a set of
// points into itself: each carries the outermost point to one as far out.
func planar(g *geometry) [][]int {
	identity := make([]int, len(g.at))
	for i := range identity {
		identity[i] = i
	}
	all := [][]int{identity}
	far := slices.Index(g.radius, g.size)
	angle := func(i int) float64 { return math.Atan2(g.at[i].Y, g.at[i].X) }
	for to := range g.at {
		if !g.same(g.radius[to], g.size) {
			continue
		}
		for _, way := range []float64{1, -1} {
			if s, ok := g.carry(angle(to)-way*angle(far), way); ok {
				all = addNew(all, s)
			}
		}
	}
	return all
}

// carry turns the points by an angle, after mirroring them in the x axis where way
// is −1, and returns where each lands; ok is false where one lands on none.
func (g *geometry) carry(angle, way float64) (s []int, ok bool) {
	sin, cos := math.Sincos(angle)
	for _, p := range g.at {
		y := way * p.Y
		to := g.find(Point{p.X*cos - y*sin, p.X*sin + y*cos})
		if to < 0 || slices.Contains(s, to) {
			return nil, false
		}
		s = append(s, to)
	}
	return s, true
}

func addNew(all [][]int, s []int) [][]int {
	for _, have := range all {
		if slices.Equal(have, s) {
			return all
		}
	}
	return append(all, s)
}
