package itemstat

import "math"

// weightedLikelihood solves score + I′/(2I) = 0. For answers far apart that
// equation may have several roots; the one of the highest weighted likelihood,
// likelihood × √information, on a grid is then refined. The grid is finer than the
// steepest column is wide.
func weightedLikelihood(replies []reply) (est, se Figure) {
	span := newGrid()
	for _, r := range replies {
		span.widen(r.slope, r.steps)
	}
	best, top := span.lo, math.Inf(-1)
	for i := range span.nodes() {
		theta := span.node(i)
		_, info, _ := scoreAt(replies, theta)
		if l := logLikelihood(replies, theta) + math.Log(info)/2; l > top {
			best, top = theta, l
		}
	}
	return refined(replies, best, span.width())
}

// refined looks for the root within a width of best.
func refined(replies []reply, best, width float64) (est, se Figure) {
	return atTheta(replies, root(best-width, best+width, func(x float64) float64 {
		s, info, third := scoreAt(replies, x)
		return -(s + third/(2*info))
	}))
}

// grid is the range in which Warm's estimate lies, and how fine to look.
type grid struct{ lo, hi, steepest float64 }

func newGrid() grid { return grid{math.Inf(1), math.Inf(-1), 0} }

func (g *grid) widen(slope float64, steps []float64) {
	a := math.Abs(slope)
	g.steepest = max(g.steepest, a)
	for _, b := range steps {
		g.lo, g.hi = max(-farthest, min(g.lo, b-8/a)), min(farthest, max(g.hi, b+8/a))
	}
}

func (g *grid) steps() float64     { return math.Ceil(max(20, min(400, 3*g.steepest*(g.hi-g.lo)))) }
func (g *grid) nodes() int         { return int(g.steps()) + 1 }
func (g *grid) width() float64     { return (g.hi - g.lo) / g.steps() }
func (g *grid) node(i int) float64 { return g.lo + float64(i)*g.width() }
func (g *grid) coarse(r []reply) bool {
	own := newGrid()
	for _, x := range r {
		own.widen(x.slope, x.steps)
	}
	return own.width() < g.width()*(1-same)
}

// warm holds what many people's estimates need of their columns at the nodes of
// one grid, so that each costs additions only.
type warm struct {
	grid
	log, info          [][]float64 // by column: of each category and node, and of each node
	likelihood, around []float64
}

func newWarm(columns []Graded) *warm {
	w := &warm{grid: newGrid(), log: make([][]float64, len(columns)), info: make([][]float64, len(columns))}
	for _, g := range columns {
		w.widen(g.Slope, g.Steps)
	}
	n := w.nodes()
	for j, g := range columns {
		r := reply{slope: g.Slope, steps: g.Steps}
		for r.category = range len(g.Steps) + 1 {
			for i := range n {
				w.log[j] = append(w.log[j], r.log(w.node(i)))
			}
		}
		for i := range n {
			w.info[j] = append(w.info[j], g.Information(w.node(i)))
		}
	}
	w.likelihood, w.around = make([]float64, n), make([]float64, n)
	return w
}

// estimate is [weightedLikelihood] of the replies to those columns.
func (w *warm) estimate(columns []int, replies []reply) (est, se Figure) {
	if w.coarse(replies) {
		return weightedLikelihood(replies)
	}
	clear(w.likelihood)
	clear(w.around)
	n := len(w.around)
	for i, j := range columns {
		addTo(w.likelihood, w.log[j][replies[i].category*n:][:n])
		addTo(w.around, w.info[j])
	}
	best, top := w.lo, math.Inf(-1)
	for i, l := range w.likelihood {
		if l += math.Log(w.around[i]) / 2; l > top {
			best, top = w.node(i), l
		}
	}
	return refined(replies, best, w.width())
}
