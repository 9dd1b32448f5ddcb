package held

import "soloright/scoring/itemstat"

// thirds is into how many parts a level that is uncertain is cut: one beta does
// not have the shape of many.
const thirds = 3

// borrowed is the prior of a pair before its own answers, from what is known of
// its level and its standing: its mean is uncertain, so it is three betas, one for
// each third of what the mean may be, each with the mean and the variance of h
// there; one where the mean is known well enough.
func borrowed(level, stands []float64, strength float64) []itemstat.Part {
	looseness := 1 / (strength + 1) // the share of the variance that is the pair's own
	var at [wide]float64
	for j, w := range level {
		if w < negligible {
			continue
		}
		for k, v := range stands {
			at[j+perShift*k] += w * v
		}
	}
	normalise(at[:])
	var whole moments
	for e, w := range at {
		whole.add(e, w)
	}
	if whole.between() < 0.05*whole.inner*looseness {
		return []itemstat.Part{whole.part(looseness)}
	}
	parts := make([]itemstat.Part, 0, thirds)
	var m moments
	left := 1.0 / thirds
	for e, w := range at {
		for w > left && len(parts) < thirds-1 {
			m.add(e, left)
			parts = append(parts, m.part(looseness))
			m, w, left = moments{}, w-left, 1.0/thirds
		}
		m.add(e, w)
		left -= w
	}
	return append(parts, m.part(looseness))
}

// moments are sums over what the mean of a pair may be.
type moments struct{ weight, mean, square, inner float64 }

func (m *moments) add(e int, w float64) {
	v := wideShare[e]
	m.weight += w
	m.mean += w * v
	m.square += w * v * v
	m.inner += w * v * (1 - v)
}

// between is the variance of the mean.
func (m moments) between() float64 { return m.square/m.weight - m.mean*m.mean/m.weight/m.weight }

// part is the beta with the mean and the variance of h.
func (m moments) part(looseness float64) itemstat.Part {
	return itemstat.Part{Beta: matched(m.mean/m.weight, m.inner/m.weight*looseness+m.between()), Weight: m.weight}
}
