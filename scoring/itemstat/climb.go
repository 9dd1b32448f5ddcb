package itemstat

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// surface is a function to be brought to its highest point.
type surface interface{ at(x []float64) point }

// point is a place on a surface.
type point struct {
	x, gradient []float64
	value       float64
	prior       float64       // the part of value that a prior gave
	info        *mat.SymDense // positive definite: roughly the negative second derivatives
	// sharper works out a matrix nearer to them, and perhaps not definite; may be nil.
	sharper func() *mat.SymDense
}

func newPoint(x []float64) point {
	return point{x: x, gradient: make([]float64, len(x)), info: mat.NewSymDense(len(x), nil)}
}

// add adds to the information of two parameters, i before j.
func (p *point) add(i, j int, info float64) {
	raw := p.info.RawSymmetric()
	raw.Data[i*raw.Stride+j] += info
}

func (p *point) finite() bool { return finite(p.value) && finite(p.gradient...) }

// summit is where a climb ended.
type summit struct {
	point
	past      history
	cycles    int
	gain      float64 // still expected
	converged bool
}

// memory is how many past steps correct the next one.
const memory = 12

// climb goes up from x by steps of limited-memory BFGS, whose first guess at the
// curvature is the point's own information, until the gain still expected is below the tolerance.
// It may begin with steps taken on a surface of the same shape.
func climb(s surface, x []float64, tolerance float64, maxCycles int, past ...step) summit {
	here := summit{point: s.at(x), cycles: 1, gain: math.Inf(1)}
	for here.finite() {
		step, ok := history(past).direction(&here.point)
		if !ok || !finite(step...) {
			return here // no information left in some direction
		}
		slope := floats.Dot(step, here.gradient)
		if slope <= 0 && len(past) > 0 {
			past = nil // the correction has gone stale
			continue
		}
		here.gain = slope / 2
		if here.gain <= tolerance {
			here.converged, here.past = true, past
			return here
		}
		next, used, ok := search(s, &here.point, step, slope, maxCycles-here.cycles)
		here.cycles += used
		if !ok {
			if len(past) > 0 && here.cycles < maxCycles {
				past = nil
				continue
			}
			return here
		}
		past = history(past).with(&here.point, &next)
		here.point = next
	}
	return here
}

// search halves the step until the value rises by a part of what the slope promises.
func search(s surface, from *point, step []float64, slope float64, most int) (next point, used int, ok bool) {
	length := 1.0
	if longest := floats.Norm(step, math.Inf(1)); longest > 3 {
		length = 3 / longest // logits: no step goes from one end of the scale to the other
	}
	for used < min(most, 30) {
		x := make([]float64, len(step))
		floats.AddScaledTo(x, from.x, length, step)
		next = s.at(x)
		used++
		// Near the top the rise drowns in the rounding of the value.
		rounding := 1e-14 * math.Abs(from.value)
		if next.finite() && next.value >= from.value+1e-4*length*slope-rounding {
			return next, used, true
		}
		length /= 2
	}
	return next, used, false
}

// history holds past steps with the change of gradient over each, newest last.
type history []step

type step struct{ step, change []float64 }

// times are the steps on a surface so many times as high.
func (h history) times(factor float64) history {
	out := make(history, len(h))
	for i, s := range h {
		out[i] = step{s.step, slices.Clone(s.change)}
		floats.Scale(factor, out[i].change)
	}
	return out
}

func (h history) with(from, to *point) history {
	moved, change := make([]float64, len(from.x)), make([]float64, len(from.x))
	floats.SubTo(moved, to.x, from.x)
	floats.SubTo(change, from.gradient, to.gradient)
	if floats.Dot(moved, change) <= 1e-12*floats.Norm(moved, 2)*floats.Norm(change, 2) {
		return h
	}
	if len(h) == memory {
		h = h[1:]
	}
	return append(h, step{moved, change})
}

// direction is the two-loop recursion (Nocedal 1980).
func (h history) direction(p *point) ([]float64, bool) {
	d := append([]float64(nil), p.gradient...)
	alpha := make([]float64, len(h))
	for i := len(h) - 1; i >= 0; i-- {
		alpha[i] = floats.Dot(h[i].step, d) / floats.Dot(h[i].step, h[i].change)
		floats.AddScaled(d, -alpha[i], h[i].change)
	}
	var chol mat.Cholesky
	if (p.sharper == nil || !chol.Factorize(p.sharper())) && !chol.Factorize(p.info) {
		return nil, false
	}
	var solved mat.VecDense
	if err := chol.SolveVecTo(&solved, mat.NewVecDense(len(d), d)); err != nil {
		return nil, false
	}
	copy(d, solved.RawVector().Data)
	for i := range h {
		beta := floats.Dot(h[i].change, d) / floats.Dot(h[i].step, h[i].change)
		floats.AddScaled(d, alpha[i]-beta, h[i].step)
	}
	return d, true
}
