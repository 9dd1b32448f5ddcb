package itemstat

import "math"

// part is a part of the patterns with its sums.
type part struct {
	e             *eStep
	lo, hi        int       // patterns
	head, headSum []float64 // of the leading entries that a run of patterns shares
	like          []float64
	sum           []float64 // posterior weight by entry and node
	logLik        float64
	product       float64 // of likelihoods whose logarithm is not in logLik yet
}

func (w *part) run() {
	w.logLik, w.product = 0, 1
	clear(w.sum)
	for i := w.lo; i < w.hi; {
		end := i + 1
		for end < w.hi && w.e.p.shared[end] >= w.e.head {
			end++
		}
		w.alike(i, end)
		i = end
	}
	w.logLik += math.Log(w.product)
}

// alike goes over patterns that share their head.
func (w *part) alike(lo, hi int) {
	p := w.e.p
	row := p.row(lo)
	head := row[:min(w.e.head, len(row))]
	copy(w.head, w.e.q.weight)
	for _, t := range head {
		multiply(w.head, w.e.entry(t))
	}
	clear(w.headSum)
	for i := lo; i < hi; i++ {
		tail := p.row(i)[len(head):]
		sum, scale := w.likelihood(tail), 0.0
		if sum < 1e-250 {
			sum, scale = w.e.inLogs(p.row(i), w.like)
		}
		w.seen(p.weight[i], sum, scale)
		w.share(tail, p.weight[i]/sum)
	}
	for _, t := range head {
		addTo(w.sums(t), w.headSum)
	}
}

// seen adds a pattern to the log-likelihood. One logarithm does for several: most
// rows are one person's, and a logarithm is dear.
func (w *part) seen(weight, sum, scale float64) {
	if weight != 1 || scale != 0 {
		w.logLik += weight * (math.Log(sum) + scale)
		return
	}
	w.product *= sum
	if w.product < 1e-50 { // sums are above 1e-250
		w.logLik += math.Log(w.product)
		w.product = 1
	}
}

func (w *part) sums(entry int32) []float64 {
	n := len(w.like)
	return w.sum[int(entry)*n:][:n]
}

// likelihood leaves the joint chance of a pattern and each node in like and
// returns its sum.
func (w *part) likelihood(tail []int32) float64 {
	from := w.head
	for len(tail) > 3 {
		product2(w.like, from, w.e.entry(tail[0]), w.e.entry(tail[1]))
		from, tail = w.like, tail[2:]
	}
	switch len(tail) {
	case 3:
		return product3(w.like, from, w.e.entry(tail[0]), w.e.entry(tail[1]), w.e.entry(tail[2]))
	case 2:
		product2(w.like, from, w.e.entry(tail[0]), w.e.entry(tail[1]))
	case 1:
		product2(w.like, from, w.e.entry(tail[0]), w.e.one)
	default:
		copy(w.like, from)
	}
	return total(w.like)
}

// share adds like times by to the head and to every entry of the tail.
func (w *part) share(tail []int32, by float64) {
	if len(tail) == 3 { // the usual length where everybody met 40 columns
		share4(w.headSum, w.sums(tail[0]), w.sums(tail[1]), w.sums(tail[2]), w.like, by)
		return
	}
	like, sum := w.like, w.headSum[:len(w.like)]
	for i, x := range like {
		x *= by
		like[i] = x
		sum[i] += x
	}
	for len(tail) > 1 {
		addTo2(w.sums(tail[0]), w.sums(tail[1]), like)
		tail = tail[2:]
	}
	for _, t := range tail {
		addTo(w.sums(t), like)
	}
}

// posterior leaves the joint chances of pattern i and the nodes in like, up to a
// factor, and returns their sum.
func (w *part) posterior(i int) float64 {
	copy(w.head, w.e.q.weight)
	sum := w.likelihood(w.e.p.row(i))
	if sum < 1e-250 {
		sum, _ = w.e.inLogs(w.e.p.row(i), w.like)
	}
	return sum
}

// inLogs works out the likelihood of a pattern that is too small for a float64,
// divided by exp(scale).
func (e *eStep) inLogs(row []int32, like []float64) (sum, scale float64) {
	scale = math.Inf(-1)
	for i := range like {
		l := math.Log(e.q.weight[i])
		for _, t := range row {
			l += math.Log(e.entry(t)[i])
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

func product2(dst, from, a, b []float64) {
	from, a, b = from[:len(dst)], a[:len(dst)], b[:len(dst)]
	for i := range dst {
		dst[i] = from[i] * a[i] * b[i]
	}
}

// product3 returns the sum of the products, too, added in two strands, which a
// processor follows at once.
func product3(dst, from, a, b, c []float64) float64 {
	var even, odd float64
	n := len(dst)
	from, a, b, c = from[:n], a[:n], b[:n], c[:n]
	i := 0
	for ; i < n-1; i += 2 {
		x, y := from[i]*a[i]*(b[i]*c[i]), from[i+1]*a[i+1]*(b[i+1]*c[i+1])
		dst[i], dst[i+1] = x, y
		even += x
		odd += y
	}
	if i < n {
		dst[i] = from[i] * a[i] * (b[i] * c[i])
		even += dst[i]
	}
	return even + odd
}

func addTo(dst, what []float64) {
	dst = dst[:len(what)]
	for i := range what {
		dst[i] += what[i]
	}
}

func addTo2(a, b, what []float64) {
	a, b = a[:len(what)], b[:len(what)]
	for i, x := range what {
		a[i] += x
		b[i] += x
	}
}

// share4 adds what times by to four sums.
func share4(a, b, c, d, what []float64, by float64) {
	a, b, c, d = a[:len(what)], b[:len(what)], c[:len(what)], d[:len(what)]
	for i, x := range what {
		x *= by
		a[i] += x
		b[i] += x
		c[i] += x
		d[i] += x
	}
}

// total adds in four strands, which a processor follows at once.
func total(xs []float64) float64 {
	var a, b, c, d float64
	for len(xs) >= 4 {
		a += xs[0]
		b += xs[1]
		c += xs[2]
		d += xs[3]
		xs = xs[4:]
	}
	for _, x := range xs {
		a += x
	}
	return a + b + (c + d)
}
