package itemstat

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
	p, err := group(m)
	if err != nil {
		return nil, err
	}
	if len(params) != p.columns {
		return nil, refuse(OutOfRange, "%d parameters for %d columns", len(params), p.columns)
	}
	squares, variance, z := make([]float64, p.columns), make([]float64, p.columns), make([]float64, p.columns)
	for i, w := range p.weight {
		answers, columns := p.answers(i, params)
		able, err := Estimate(answers, 0, 1)
		if err != nil {
			return nil, err
		}
		if !able.WLE.Known() {
			return nil, refuse(able.WLE.NotYet, "ability of row group %d", i)
		}
		for a, answer := range answers {
			chance := logistic(answer.Slope * (able.WLE.Value - answer.Difficulty))
			v := chance * (1 - chance)
			d := indicator(answer.Right) - chance
			j := columns[a]
			squares[j] += w * d * d
			variance[j] += w * v
			z[j] += w * d * d / v
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

func (p *patterns) answers(i int, params []Param) (answers []Answer, columns []int) {
	p.each(i, func(j int, right bool) {
		answers = append(answers, Answer{params[j], right})
		columns = append(columns, j)
	})
	return answers, columns
}
