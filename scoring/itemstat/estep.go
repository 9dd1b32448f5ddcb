package itemstat

import (
	"math"
	"sync"
	"sync/atomic"
)

// quadrature holds ability nodes and the standard normal weights on them.
type quadrature struct{ node, weight []float64 }

// newQuadrature spaces the nodes evenly from −6 to 6. For a smooth likelihood
// that rule converges faster than any power of the spacing.
func newQuadrature(nodes int) quadrature {
	q := quadrature{make([]float64, nodes), make([]float64, nodes)}
	sum := 0.0
	for i := range q.node {
		q.node[i] = -6 + 12*float64(i)/float64(nodes-1)
		q.weight[i] = math.Exp(-q.node[i] * q.node[i] / 2)
		sum += q.weight[i]
	}
	for i := range q.weight {
		q.weight[i] /= sum
	}
	return q
}

// expected is what one pass over the patterns gives: the log-likelihood, and the
// people expected at each node by column and category, placed as eStep.prob is.
type expected struct {
	logLik float64
	people []float64
}

// eStep computes expected counts of people at the nodes.
type eStep struct {
	p       *patterns
	q       quadrature
	first   []int     // column j's chances begin at first[j]
	prob    []float64 // chance of a category by column, category and node
	table   []float64 // product of the chances of an entry's states, by entry and node
	one     []float64
	head    int // leading entries whose product neighbours share
	parts   []*part
	workers int
}

func newEStep(p *patterns, q quadrature, workers int) *eStep {
	n := len(q.node)
	e := &eStep{p: p, q: q, first: make([]int, p.columns), table: make([]float64, len(p.states)*n), head: p.bestHead(), workers: max(1, workers)}
	for range n {
		e.one = append(e.one, 1)
	}
	cells := 0
	for j, k := range p.cats {
		e.first[j] = cells * n
		cells += k
	}
	e.prob = make([]float64, cells*n)
	parts := p.parts()
	for w := range parts {
		e.parts = append(e.parts, &part{e: e, lo: w * len(p.weight) / parts, hi: (w + 1) * len(p.weight) / parts,
			head: make([]float64, n), headSum: make([]float64, n), like: make([]float64, n), sum: make([]float64, len(e.table))})
	}
	return e
}

// parts is in how many the patterns are gone over. The patterns alone decide it,
// so that a result does not depend on the number of processors; a part has sums of its own,
// which have to be worth their while.
func (p *patterns) parts() int { return max(1, min(8, len(p.entries)/(8*len(p.states)))) }

// bestHead is the number of leading entries to work out once for all neighbours
// that share them, by the count of vector operations.
func (p *patterns) bestHead() int {
	best, least := 0, math.MaxInt
	for head := range 6 {
		cost := 0
		for i, shared := range p.shared {
			n := len(p.row(i))
			cost += max(0, n-head)
			if shared < head {
				cost += min(n, head) + 1
			}
		}
		if cost < least {
			best, least = head, cost
		}
	}
	return best
}

// run works out the expected counts under those slopes and step intercepts
// (a column's log odds of category k against k−1 are slope·θ + step k).
func (e *eStep) run(slope, step []float64) expected {
	e.prepare(slope, step)
	var wait sync.WaitGroup
	var next atomic.Int32
	for range min(e.workers, len(e.parts)) {
		wait.Go(func() {
			for i := int(next.Add(1)) - 1; i < len(e.parts); i = int(next.Add(1)) - 1 {
				e.parts[i].run()
			}
		})
	}
	wait.Wait()
	return e.collect()
}

// prepare works out the chances of categories and of entries.
func (e *eStep) prepare(slope, step []float64) {
	n := len(e.q.node)
	for j, k := range e.p.cats {
		chances(slope[j], step[:k-1], e.q.node, e.prob[e.first[j]:e.first[j]+k*n])
		step = step[k-1:]
	}
	e.fillTable()
}

// chances fills prob, by category and node, by the generalized partial credit
// model (Muraki 1992, Applied Psychological Measurement 16, 159–176).
func chances(slope float64, step, nodes, prob []float64) {
	n := len(nodes)
	for i, theta := range nodes {
		if len(step) == 1 {
			prob[i], prob[n+i] = logistic(-slope*theta-step[0]), logistic(slope*theta+step[0])
			continue
		}
		log, top := 0.0, 0.0
		for k, d := range step {
			log += slope*theta + d
			prob[(k+1)*n+i] = log
			top = max(top, log)
		}
		prob[i] = math.Exp(-top)
		sum := prob[i]
		for k := range step {
			at := (k+1)*n + i
			prob[at] = math.Exp(prob[at] - top)
			sum += prob[at]
		}
		for k := range len(step) + 1 {
			prob[k*n+i] /= sum
		}
	}
}

// least keeps the product of an entry's chances, at most eight, above 0.
const least = 1e-37

func (e *eStep) fillTable() {
	n := len(e.q.node)
	for i, states := range e.p.states {
		row := e.table[i*n : (i+1)*n]
		for q := range row {
			row[q] = 1
		}
		for _, s := range states {
			for q, p := range e.prob[e.first[s.column]+int(s.category)*n:][:n] {
				row[q] *= max(least, p)
			}
		}
	}
}

func (e *eStep) entry(i int32) []float64 {
	n := len(e.q.node)
	return e.table[int(i)*n:][:n]
}

func (e *eStep) collect() expected {
	n := len(e.q.node)
	out := expected{people: make([]float64, len(e.prob))}
	for _, w := range e.parts {
		out.logLik += w.logLik
		for i, states := range e.p.states {
			for _, s := range states {
				addTo(out.people[e.first[s.column]+int(s.category)*n:], w.sum[i*n:(i+1)*n])
			}
		}
	}
	return out
}

func logistic(x float64) float64 { return 1 / (1 + math.Exp(-x)) }
