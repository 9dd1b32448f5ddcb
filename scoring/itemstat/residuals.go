package itemstat

import "math"

// Misfit says how the answers to a column scatter about a model: 1 as the model
// expects, above 1 more, below 1 less (Wright and Masters 1982, Rating Scale Analysis).
type Misfit struct {
	Infit  Figure // mean square weighted by information: moved by people near the difficulty
	Outfit Figure // unweighted: moved by surprises far from it
}

// Misfits returns the mean squares of every column under those parameters, each
// person's ability being the weighted-likelihood estimate from his own answers.
// That estimate follows the answers, so mean squares lie a little below 1 for
// short forms. A figure needs [NeedRasch] answers. The error is a [*RefusedError]:
// part marks, nobody, parameters that [Estimate] refuses or of another number of columns.
func Misfits(m *Matrix, params []Param) ([]Misfit, error) {
	return GradedMisfits(m, graded(params))
}

// GradedMisfits is [Misfits] for columns with part marks: what scatters is the
// category, and its variance is the model's.
func GradedMisfits(m *Matrix, columns []Graded) ([]Misfit, error) {
	p, err := placed(m, columns)
	if err != nil {
		return nil, err
	}
	squares, variance, z := make([]float64, p.columns), make([]float64, p.columns), make([]float64, p.columns)
	abilities := newWarm(p.inUse(columns))
	var replies []reply
	var met []int
	for i, w := range p.weight {
		replies, met = replies[:0], met[:0]
		p.each(i, func(j, category int) {
			replies = append(replies, reply{columns[j].Slope, columns[j].Steps, category})
			met = append(met, j)
		})
		able, _ := abilities.estimate(met, replies)
		if !able.Known() {
			return nil, refuse(able.NotYet, "ability of row group %d", i)
		}
		for a, r := range replies {
			mean, v, _ := moments3(r.slope, r.steps, able.Value)
			d, j := float64(r.category)-mean, met[a]
			squares[j] += w * d * d
			variance[j] += w * v
			if v > 0 {
				z[j] += w * d * d / v
			} else if d != 0 {
				z[j] = math.Inf(1)
			}
		}
	}
	out := make([]Misfit, p.columns)
	for j := range out {
		n := p.met[j]
		out[j].Infit = from(NeedRasch, n, func() Figure { return number(squares[j]/variance[j], n) })
		out[j].Outfit = from(NeedRasch, n, func() Figure { return number(z[j]/float64(n), n) })
	}
	return out, nil
}

// inUse returns the columns, and a plain one in the place of each that nobody met:
// that one may hold anything.
func (p *patterns) inUse(columns []Graded) []Graded {
	out := make([]Graded, len(columns))
	for j, g := range columns {
		if p.met[j] > 0 {
			out[j] = g
		} else {
			out[j] = Param{1, 0}.Graded()
		}
	}
	return out
}
