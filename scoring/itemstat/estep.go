package itemstat

import (
	"math"
	"sync"
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

// expected is what one pass over the patterns gives.
type expected struct {
	logLik     float64
	met, right []float64 // expected people by column and node
}

// eStep computes expected counts of people at the nodes.
type eStep struct {
	p       *patterns
	q       quadrature
	place   [][]int32 // place[b][code] is the code's row in the tables, −1 where it does not occur
	codes   [][]uint8 // the codes that occur, by block
	prob    []float64 // chance of right by column and node
	table   [][]float64
	workers []*worker
}

type worker struct {
	lo, hi int // patterns
	like   []float64
	sum    [][]float64 // posterior weight by block, code and node
	logLik float64
}

func newEStep(p *patterns, q quadrature, workers int) *eStep {
	e := &eStep{p: p, q: q, place: make([][]int32, p.blocks), codes: make([][]uint8, p.blocks),
		prob: make([]float64, p.columns*len(q.node)), table: make([][]float64, p.blocks)}
	for b := range e.place {
		e.place[b] = make([]int32, 243)
		for c := range e.place[b] {
			e.place[b][c] = -1
		}
	}
	for i := range p.weight {
		for b, code := range p.row(i) {
			if code != 0 && e.place[b][code] < 0 {
				e.place[b][code] = int32(len(e.codes[b]))
				e.codes[b] = append(e.codes[b], code)
			}
		}
	}
	for b := range e.table {
		e.table[b] = make([]float64, len(e.codes[b])*len(q.node))
	}
	workers = max(1, min(workers, len(p.weight)))
	for w := range workers {
		k := &worker{lo: w * len(p.weight) / workers, hi: (w + 1) * len(p.weight) / workers,
			like: make([]float64, len(q.node)), sum: make([][]float64, p.blocks)}
		for b := range k.sum {
			k.sum[b] = make([]float64, len(e.table[b]))
		}
		e.workers = append(e.workers, k)
	}
	return e
}

// least keeps the product of a block's chances above 0.
const least = 1e-60

// run works out the expected counts under those slopes and intercepts.
func (e *eStep) run(slope, intercept []float64) expected {
	n := len(e.q.node)
	for j := range slope {
		for i, theta := range e.q.node {
			e.prob[j*n+i] = logistic(slope[j]*theta + intercept[j])
		}
	}
	e.fillTables()
	var wait sync.WaitGroup
	for _, w := range e.workers {
		wait.Go(func() { w.run(e) })
	}
	wait.Wait()
	return e.collect()
}

func (e *eStep) fillTables() {
	n := len(e.q.node)
	for b, codes := range e.codes {
		for c, code := range codes {
			row := e.table[b][c*n : (c+1)*n]
			for i := range row {
				row[i] = 1
			}
			for place := range codeWidth {
				d := codeDigit(code, place)
				if d == 0 {
					continue
				}
				probs := e.prob[(b*codeWidth+place)*n:][:n]
				for i, p := range probs {
					if d == 1 {
						p = 1 - p
					}
					row[i] *= max(least, p)
				}
			}
		}
	}
}

func (w *worker) run(e *eStep) {
	n := len(e.q.node)
	w.logLik = 0
	for b := range w.sum {
		clear(w.sum[b])
	}
	like := w.like[:n]
	for i := w.lo; i < w.hi; i++ {
		row := e.p.row(i)
		copy(like, e.q.weight)
		for b, code := range row {
			if code != 0 {
				multiply(like, e.table[b][int(e.place[b][code])*n:])
			}
		}
		sum, scale := total(like), 0.0
		if sum < 1e-250 {
			sum, scale = e.inLogs(row, like)
		}
		w.logLik += e.p.weight[i] * (math.Log(sum) + scale)
		share := e.p.weight[i] / sum
		for q := range like {
			like[q] *= share
		}
		for b, code := range row {
			if code != 0 {
				addTo(w.sum[b][int(e.place[b][code])*n:], like)
			}
		}
	}
}

// inLogs works out the likelihood of a pattern that is too small for a float64,
// divided by exp(scale).
func (e *eStep) inLogs(row []uint8, like []float64) (sum, scale float64) {
	n := len(like)
	scale = math.Inf(-1)
	for i := range like {
		l := math.Log(e.q.weight[i])
		for b, code := range row {
			if code != 0 {
				l += math.Log(e.table[b][int(e.place[b][code])*n+i])
			}
		}
		like[i] = l
		scale = max(scale, l)
	}
	for i := range like {
		like[i] = math.Exp(like[i] - scale)
		sum += like[i]
	}
	return sum, scale
}

func multiply(dst, by []float64) {
	by = by[:len(dst)]
	for i := range dst {
		dst[i] *= by[i]
	}
}

func addTo(dst, what []float64) {
	dst = dst[:len(what)]
	for i := range what {
		dst[i] += what[i]
	}
}

func total(xs []float64) float64 {
	sum := 0.0
	for _, x := range xs {
		sum += x
	}
	return sum
}

func (e *eStep) collect() expected {
	n := len(e.q.node)
	out := expected{met: make([]float64, len(e.prob)), right: make([]float64, len(e.prob))}
	for _, w := range e.workers {
		out.logLik += w.logLik
		for b, codes := range e.codes {
			for c, code := range codes {
				sums := w.sum[b][c*n : (c+1)*n]
				for place := range codeWidth {
					at := (b*codeWidth + place) * n
					switch codeDigit(code, place) {
					case 2:
						addTo(out.right[at:], sums)
						addTo(out.met[at:], sums)
					case 1:
						addTo(out.met[at:], sums)
					}
				}
			}
		}
	}
	return out
}

func logistic(x float64) float64 { return 1 / (1 + math.Exp(-x)) }
