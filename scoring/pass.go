package scoring

import (
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"math/big"

	"soloright/content"
	"soloright/quiz"
)

// Shape is what the chance to pass a form depends on.
type Shape struct {
	Items     int                // in all
	Isolation int                // items that test a critical fact on isolation
	Critical  [][]content.FactID // for each other item that tests critical facts: which
}

// ShapeOf returns the shape of a form.
func ShapeOf(f *quiz.Form) Shape {
	s := Shape{Items: len(f.Items)}
	for i := range f.Items {
		var facts []content.FactID
		isolation := false
		for _, t := range f.Items[i].Facts {
			if t.Critical {
				facts = append(facts, t.Fact)
				isolation = isolation || t.Isolation
			}
		}
		switch {
		case isolation:
			s.Isolation++
		case len(facts) > 0:
			s.Critical = append(s.Critical, facts)
		}
	}
	return s
}

// PassProbability is the probability of passing a form of the shape for somebody
// who gets each item fully right with probability p (0 to 1), one as the other,
// and no mark on the rest: exact. Missing an item misses every critical fact that it
// tests. With confirming the whole rule holds: at or above the cut, with at most
// [MostToConfirm] critical facts missed and none on isolation, two fresh items
// for each missed one must be right, each with probability p. Without, no
// critical fact may be missed.
//
// It sums the binomial distribution of the items without critical facts over the
// ways to miss critical ones.
func PassProbability(s Shape, cut content.Cut, p *big.Rat, confirming bool) *big.Rat {
	need := (int(cut)*s.Items + 99) / 100
	rest := s.Items - s.Isolation - len(s.Critical)
	q := new(big.Rat).Sub(big.NewRat(1, 1), p)
	tail := tails(rest, p, q)
	sum := new(big.Rat)
	for lost, ways := range waysToMiss(s.Critical) {
		if lost.facts > 0 && !confirming {
			continue
		}
		right := s.Isolation + len(s.Critical) - lost.items
		t := new(big.Rat).SetInt64(ways)
		t.Mul(t, power(q, lost.items))
		t.Mul(t, power(p, right+2*lost.facts))
		sum.Add(sum, t.Mul(t, tail[min(max(0, need-right), rest+1)]))
	}
	return sum
}

// tails returns, for k from 0 to n+1, the probability of k or more right of n.
func tails(n int, p, q *big.Rat) []*big.Rat {
	out := make([]*big.Rat, n+2)
	out[n+1] = new(big.Rat)
	for k := n; k >= 0; k-- {
		t := new(big.Rat).SetInt(new(big.Int).Binomial(int64(n), int64(k)))
		t.Mul(t, power(p, k))
		t.Mul(t, power(q, n-k))
		out[k] = t.Add(t, out[k+1])
	}
	return out
}

func power(p *big.Rat, n int) *big.Rat {
	e := big.NewInt(int64(n))
	num, den := new(big.Int).Exp(p.Num(), e, nil), new(big.Int).Exp(p.Denom(), e, nil)
	return new(big.Rat).SetFrac(num, den)
}

// lost counts the items missed and the critical facts missed by them.
type lost struct{ items, facts int }

// missed is a set of at most two facts, in order; "" for none.
type missed struct {
	items int
	facts [MostToConfirm]content.FactID
}

// waysToMiss counts the ways to miss some of the items so that at most two
// critical facts are missed in all.
func waysToMiss(items [][]content.FactID) map[lost]int64 {
	states := map[missed]int64{{}: 1}
	for _, facts := range items {
		next := map[missed]int64{}
		for m, n := range states {
			next[m] += n
			if with, ok := m.and(facts); ok {
				next[with] += n
			}
		}
		states = next
	}
	out := map[lost]int64{}
	for m, n := range states {
		l := lost{items: m.items}
		for _, f := range m.facts {
			if f != "" {
				l.facts++
			}
		}
		out[l] += n
	}
	return out
}

func (m missed) and(facts []content.FactID) (missed, bool) {
	m.items++
	for _, f := range facts {
		switch {
		case m.facts[0] == f || m.facts[1] == f:
		case m.facts[0] == "":
			m.facts[0] = f
		case m.facts[1] == "":
			m.facts[1] = f
		default:
			return m, false
		}
	}
	if m.facts[1] != "" && m.facts[1] < m.facts[0] {
		m.facts[0], m.facts[1] = m.facts[1], m.facts[0]
	}
	return m, true
}

// Forecast says how likely persons of three levels pass forms of a blueprint.
type Forecast struct {
	Forms int // how many sample forms it is the mean of
	Rows  []ForecastRow
	Warn  bool // who holds .95 passes less often than .90
}

// ForecastRow is one level. Its probabilities are rounded to float64.
type ForecastRow struct {
	Holds float64 // the share of items that such a person gets right
	Pass  float64 // under the whole rule, the mean over the sample forms
	Least float64 // on the sample form that is hardest to pass
	Plain float64 // without the confirming step, the mean
}

// PassTable assembles sample forms by the blueprint, with seeds grown from the
// given one, and returns the chance to pass them of persons who get .80, .90 and
// .95 of the items right, see [PassProbability]. Its error is that of
// [quiz.Assemble].
func PassTable(bank *quiz.Bank, bp content.Blueprint, seed quiz.Seed, forms int) (Forecast, error) {
	out := Forecast{Forms: forms}
	shapes := make([]Shape, forms)
	for i := range shapes {
		f, err := quiz.Assemble(bank, bp, quiz.History{}, seedAt(seed, i))
		if err != nil {
			return Forecast{}, fmt.Errorf("assemble a sample form: %w", err)
		}
		shapes[i] = ShapeOf(f)
	}
	for _, level := range []int64{80, 90, 95} {
		row := forecastRow(shapes, bp.Cut, big.NewRat(level, 100))
		out.Rows = append(out.Rows, row)
		out.Warn = level == 95 && row.Pass < 0.90
	}
	return out, nil
}

func forecastRow(shapes []Shape, cut content.Cut, p *big.Rat) ForecastRow {
	row := ForecastRow{Least: 1}
	row.Holds, _ = p.Float64()
	for _, s := range shapes {
		whole, _ := PassProbability(s, cut, p, true).Float64()
		plain, _ := PassProbability(s, cut, p, false).Float64()
		row.Pass += whole / float64(len(shapes))
		row.Plain += plain / float64(len(shapes))
		row.Least = min(row.Least, whole)
	}
	return row
}

// seedAt grows the seed of sample i: SHA-256 of the seed and i.
func seedAt(seed quiz.Seed, i int) quiz.Seed {
	return sha256.Sum256(binary.BigEndian.AppendUint64(seed[:], uint64(i)))
}
