package itemstat

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// columnAt is one column at the parameters of the moment.
type columnAt struct {
	a, d         int // places of its slope (−1 where it is fixed) and of its first step among the parameters
	slope        float64
	nodes        []float64
	prob, people []float64 // by category and node: chance, and people expected
}

// addTo puts in the column's part. With S(v) the chance of category v or
// above, the people there less those expected, n(v) − n·S(v), are the gradient by step intercept v,
// and n·(S(max(v, w)) − S(v)·S(w)) is the information of two of them; by
// the slope both gain a factor θ and are summed over the steps.
func (c columnAt) addTo(out *point, lost *loss) {
	n := len(c.nodes)
	steps := len(c.prob)/n - 1
	above, seen, with := make([]float64, steps), make([]float64, steps), make([]float64, steps)
	for i, theta := range c.nodes {
		chance, count := 0.0, 0.0
		for v := steps - 1; v >= 0; v-- {
			chance += c.prob[(v+1)*n+i]
			count += c.people[(v+1)*n+i]
			above[v], seen[v] = chance, count
		}
		met := count + c.people[i]
		variance := 0.0
		for v := range steps {
			out.gradient[c.d+v] += seen[v] - met*above[v]
			with[v] = 0 // covariance of the category and having reached v
			for w := range steps {
				cov := above[max(v, w)] - above[v]*above[w]
				with[v] += cov
				if w >= v {
					out.add(c.d+v, c.d+w, met*cov)
				}
			}
			variance += with[v]
		}
		if c.a >= 0 {
			for v := range steps {
				out.gradient[c.a] += theta * (seen[v] - met*above[v])
				out.add(c.a, c.d+v, theta*met*with[v])
			}
			out.add(c.a, c.a, theta*theta*met*variance)
		}
		lost.add(i, c, met, with, variance)
	}
}

// loss is the information that is lost because abilities are not known, near
// enough to guide steps. By Louis's formula (1982, Journal of the Royal
// Statistical Society B 44, 226–233) it is the variance of the score under each person's
// posterior; here that is the posterior variance v = 1/(1 + information of the columns met)
// times the square of the score's slope by θ. For a column's slope that slope is residual − θ·h, h the
// slope times the category's variance, and the residuals of one person are tied: weighted
// by the slopes they add up to θ at the posterior's top. People are taken to have met columns independently.
type loss struct {
	nodes, people []float64
	slope, step   []*mat.VecDense // by node: h of everybody by parameter, of the slopes and of the steps
	own           [][]lone        // by node and parameter
	information   []float64       // about θ, by node, per person
}

// lone is what stands in a parameter's own place only.
type lone struct{ variance, square float64 }

func newLoss(q quadrature, people float64, parameters int) *loss {
	l := &loss{nodes: q.node, people: make([]float64, len(q.node)), information: make([]float64, len(q.node))}
	for i, w := range q.weight {
		l.people[i] = people * w
		l.slope, l.step = append(l.slope, mat.NewVecDense(parameters, nil)), append(l.step, mat.NewVecDense(parameters, nil))
		l.own = append(l.own, make([]lone, parameters))
	}
	return l
}

func (l *loss) add(i int, c columnAt, met float64, with []float64, variance float64) {
	share := min(1, met/math.Max(l.people[i], 1e-12))
	l.information[i] += share * c.slope * c.slope * variance
	for v, cov := range with {
		h := c.slope * cov
		l.step[i].SetVec(c.d+v, share*h)
		l.own[i][c.d+v] = lone{0, share * (1 - share) * h * h}
	}
	if c.a >= 0 {
		h := c.slope * variance
		l.slope[i].SetVec(c.a, l.slope[i].AtVec(c.a)+share*h)
		l.own[i][c.a].variance += share * variance
		l.own[i][c.a].square += share * (1 - share) * h * h
	}
}

// from returns info less the loss. It costs parameters² × nodes.
func (l *loss) from(info *mat.SymDense, slopes int) *mat.SymDense {
	out := mat.NewSymDense(info.SymmetricDim(), nil)
	out.CopySym(info)
	var both mat.VecDense
	for i, people := range l.people {
		v := 1 / (1 + l.information[i])
		pull := l.nodes[i] * (1 - v)
		both.AddScaledVec(l.step[i], pull, l.slope[i])
		out.SymRankOne(out, -people*v, &both)
		if slopes > 0 {
			out.SymRankOne(out, people*v*v, l.slope[i])
		}
		for p, own := range l.own[i] {
			lost := own.square
			if p < slopes {
				lost = own.variance + own.square*(pull*pull-v)
			}
			out.SetSym(p, p, out.At(p, p)-people*v*lost)
		}
	}
	return out
}
