package itemmodel

import (
	"math/big"
	"sync"

	"soloright/quiz"
)

// Chance marks: what a random answer gets, exact. The models of a random answer,
// by interaction:
//
//   - choice and hotspot: each option as likely as any other;
//   - multiple choice: each set of ticks, the empty one too, as likely as any other;
//   - match: each row in each bin, independently, all as likely;
//   - order: each complete order as likely as any other ([quiz.ChanceOfOrder]);
//   - numeric: a measured value is never hit by chance; a count is guessed among
//     the whole numbers from 1 to twice the right one, at least to 10; of a wrench
//     "not this wrench" is taken one time in five, as often as it is the key, and
//     else any mark of its scale; of an extra angle one of the two that are shown,
//     none, or starting again; of a percentage one of the tens.
//
// The fractions are shared and must not be changed.

type chanceKey struct {
	kind quiz.Kind
	a, b int
}

var chances sync.Map // chanceKey → quiz.Chance

func chanceOf(key chanceKey, work func() quiz.Chance) quiz.Chance {
	if c, ok := chances.Load(key); ok {
		return c.(quiz.Chance)
	}
	c, _ := chances.LoadOrStore(key, work())
	return c.(quiz.Chance)
}

// oneOf is the chance mark of one right answer among k.
func oneOf(k int) quiz.Chance {
	return chanceOf(chanceKey{kind: quiz.Choice, a: k}, func() quiz.Chance {
		return quiz.Chance{Mean: quiz.Frac(1, int64(k)), Full: quiz.Frac(1, int64(k))}
	})
}

// neverByChance is the chance mark of a measured value.
var neverByChance = quiz.Chance{Mean: quiz.Frac(0, 1), Full: quiz.Frac(0, 1)}

// chanceCount is the chance mark of a count whose right value is n.
func chanceCount(n int) quiz.Chance { return oneOf(max(10, 2*n)) }

// chanceMultiple is the chance mark of a multiple choice: the mean of
// max(0, (a − b)/right) with a of the right options ticked and b of the wrong.
func chanceMultiple(right, wrong int) quiz.Chance {
	return chanceOf(chanceKey{quiz.Multiple, right, wrong}, func() quiz.Chance {
		sum := new(big.Int)
		for a := 1; a <= right; a++ {
			for b := 0; b < a && b <= wrong; b++ {
				ways := new(big.Int).Binomial(int64(right), int64(a))
				ways.Mul(ways, new(big.Int).Binomial(int64(wrong), int64(b)))
				sum.Add(sum, ways.Mul(ways, big.NewInt(int64(a-b))))
			}
		}
		all := new(big.Int).Lsh(big.NewInt(1), uint(right+wrong))
		full := new(big.Rat).SetFrac(big.NewInt(1), all)
		mean := new(big.Rat).SetFrac(sum, new(big.Int).Mul(all, big.NewInt(int64(right))))
		return quiz.Chance{Mean: quiz.Fraction{Rat: mean}, Full: quiz.Fraction{Rat: full}}
	})
}

// chanceMatch is the chance mark of m rows into k bins, one bin right for each
// row: the mean of max(0, (r/m − 1/k)/(1 − 1/k)) = max(0, (kr − m)/(m(k − 1)))
// with r rows right.
func chanceMatch(m, k int) quiz.Chance {
	return chanceOf(chanceKey{quiz.Match, m, k}, func() quiz.Chance {
		sum := new(big.Int)
		for r := m/k + 1; r <= m; r++ {
			ways := new(big.Int).Binomial(int64(m), int64(r))
			ways.Mul(ways, new(big.Int).Exp(big.NewInt(int64(k-1)), big.NewInt(int64(m-r)), nil))
			sum.Add(sum, ways.Mul(ways, big.NewInt(int64(k*r-m))))
		}
		all := new(big.Int).Exp(big.NewInt(int64(k)), big.NewInt(int64(m)), nil)
		full := new(big.Rat).SetFrac(big.NewInt(1), all)
		mean := new(big.Rat).SetFrac(sum, new(big.Int).Mul(all, big.NewInt(int64(m*(k-1)))))
		return quiz.Chance{Mean: quiz.Fraction{Rat: mean}, Full: quiz.Fraction{Rat: full}}
	})
}
