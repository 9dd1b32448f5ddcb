package scoring

import (
	"fmt"
	"math"
	"math/big"
	"testing"

	"soloright/content"
	"soloright/quiz"

	"pgregory.net/rapid"
)

// plain is a shape of n items of which c test one critical fact each.
func plain(n, c int) Shape {
	s := Shape{Items: n}
	for i := range c {
		s.Critical = append(s.Critical, []content.FactID{content.FactID(fmt.Sprint("f", i))})
	}
	return s
}

// Ten criticals at .95: .60 without the confirming step, .94 with it (the laws of
// marking). With q = .05: .95^10 = .598737; with it Σ C(10,k) .95^(10−k) .05^k
// .95^(2k) for k = 0, 1, 2 = .598737 + .284400 + .060790, worked by hand; the cut takes off less than .0004.
func TestTenCriticals(t *testing.T) {
	p := big.NewRat(95, 100)
	without, _ := PassProbability(plain(30, 10), 80, p, false).Float64()
	with, _ := PassProbability(plain(30, 10), 80, p, true).Float64()
	if math.Abs(without-.598737) > .0004 || math.Abs(with-.943927) > .0004 {
		t.Errorf("without %.6f, with %.6f", without, with)
	}
	if no, _ := PassProbability(plain(30, 10), 0, p, true).Float64(); math.Abs(no-.943927) > 5e-7 {
		t.Errorf("without a cut %.6f, want .943927", no)
	}
}

// Without critical facts it is the binomial tail: the length planner's n 37, c 31
// fails fewer than 10 % at .90 and passes fewer than 5 % at .70 (the laws of
// measuring); n 36, c 31 does not hold both, nor does n 37, c 30.
func TestBinomialTail(t *testing.T) {
	tail := func(n, c int, p int64) float64 {
		f, _ := tails(n, big.NewRat(p, 100), big.NewRat(100-p, 100))[c].Float64()
		return f
	}
	if tail(37, 31, 70) >= .05 || tail(37, 31, 90) <= .90 {
		t.Errorf("n 37, c 31: passes %.4f at .70 and %.4f at .90", tail(37, 31, 70), tail(37, 31, 90))
	}
	for _, x := range [][2]int{{36, 31}, {36, 30}, {37, 30}} {
		if tail(x[0], x[1], 70) < .05 && tail(x[0], x[1], 90) > .90 {
			t.Errorf("n %d, c %d holds both", x[0], x[1])
		}
	}
}

// brutePass sums over every pattern of right and wrong items.
func brutePass(items [][]content.FactID, isolation []bool, cut int, p float64, confirming bool) float64 {
	sum := 0.0
	for pattern := range 1 << len(items) {
		prob, right, lost, deadly := 1.0, 0, map[content.FactID]bool{}, false
		for i := range items {
			if pattern>>i&1 == 1 {
				prob *= p
				right++
				continue
			}
			prob *= 1 - p
			for _, f := range items[i] {
				lost[f] = true
				deadly = deadly || isolation[i]
			}
		}
		switch {
		case 100*right < cut*len(items) || deadly || len(lost) > 2 || len(lost) > 0 && !confirming:
		default:
			sum += prob * math.Pow(p, float64(2*len(lost)))
		}
	}
	return sum
}

func TestPassProbabilityAgainstEveryPattern(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 10).Draw(t, "items")
		form := &quiz.Form{}
		items, isolation := make([][]content.FactID, n), make([]bool, n)
		for i := range n {
			it := quiz.Item{Facts: facts("plain")}
			for range rapid.IntRange(0, 3).Draw(t, "critical") {
				f := facts(fmt.Sprintf("f%d!", rapid.IntRange(0, 4).Draw(t, "fact")))
				it.Facts = append(it.Facts, f...)
				items[i] = append(items[i], f[0].Fact)
			}
			if isolation[i] = rapid.IntRange(0, 5).Draw(t, "isolation") == 0; isolation[i] {
				it.Facts = append(it.Facts, facts("iso!!")...)
				items[i] = append(items[i], "iso")
			}
			form.Items = append(form.Items, it)
		}
		cut, pct, confirming := rapid.IntRange(0, 100).Draw(t, "cut"), rapid.IntRange(0, 100).Draw(t, "p"), rapid.Bool().Draw(t, "confirming")
		got, _ := PassProbability(ShapeOf(form), content.Cut(cut), big.NewRat(int64(pct), 100), confirming).Float64()
		want := brutePass(items, isolation, cut, float64(pct)/100, confirming)
		if math.Abs(got-want) > 1e-9 {
			t.Fatalf("%.12f, want %.12f", got, want)
		}
	})
}

func TestPassProbabilityAtTheEnds(t *testing.T) {
	one, none := big.NewRat(1, 1), new(big.Rat)
	s := plain(30, 5)
	s.Isolation = 2
	if got := PassProbability(s, 80, one, true); got.Cmp(one) != 0 {
		t.Errorf("who gets everything right passes with %s", got)
	}
	if got := PassProbability(s, 80, none, true); got.Sign() != 0 {
		t.Errorf("who gets nothing right passes with %s", got)
	}
}

func BenchmarkPassProbability(b *testing.B) {
	s, p := plain(40, 12), big.NewRat(95, 100)
	for b.Loop() {
		PassProbability(s, 80, p, true)
	}
}
