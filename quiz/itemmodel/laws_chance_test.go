package itemmodel

import (
	"fmt"
	"math/big"
	"slices"

	"soloright/quiz"
)

// checkChance recomputes the chance mark by going through every answer that a
// random person might give, marked by the words of the marking laws.
func checkChance(src *quiz.Source, m quiz.Model, it quiz.Item) error {
	mean, full, err := bruteChance(src, m, it)
	if err != nil || mean == nil {
		return err
	}
	if it.Chance.Mean.Rat.Cmp(mean) != 0 || it.Chance.Full.Rat.Cmp(full) != 0 {
		return fmt.Errorf("chance %v %v, by brute force %v %v", it.Chance.Mean, it.Chance.Full, mean, full)
	}
	return nil
}

func bruteChance(src *quiz.Source, m quiz.Model, it quiz.Item) (mean, full *big.Rat, err error) {
	switch it.Interaction.Kind {
	case quiz.Choice, quiz.Hotspot:
		c := big.NewRat(1, int64(len(it.Interaction.Options)))
		return c, c, nil
	case quiz.Multiple:
		return bruteMultiple(it.Key)
	case quiz.Match:
		return bruteMatch(it)
	case quiz.Order:
		return bruteOrder(it)
	case quiz.Sequence:
		return bruteSequence(src, m, it)
	}
	if c := it.Chance; c.Mean.Rat.Cmp(c.Full.Rat) != 0 || c.Mean.Rat.Sign() < 0 || c.Mean.Rat.Cmp(big.NewRat(1, 2)) > 0 {
		return nil, nil, fmt.Errorf("chance of a number %v %v", c.Mean, c.Full)
	}
	return nil, nil, nil
}

// tally adds up marks as fractions of one denominator.
type tally struct{ sum, full, of, n int64 }

func (t *tally) add(mark int64) {
	t.sum += max(0, mark)
	if mark == t.of {
		t.full++
	}
	t.n++
}

func (t *tally) chance() (mean, full *big.Rat, err error) {
	return big.NewRat(t.sum, t.of*t.n), big.NewRat(t.full, t.n), nil
}

func bruteMultiple(k quiz.Key) (mean, full *big.Rat, err error) {
	t := tally{of: int64(count(k.Options, func(o quiz.KeyOption) bool { return o.Right }))}
	for ticks := range 1 << len(k.Options) {
		mark := int64(0)
		for i, o := range k.Options {
			if ticks>>i&1 == 1 {
				mark--
				if o.Right {
					mark += 2
				}
			}
		}
		t.add(mark)
	}
	return t.chance()
}

// bruteMatch goes through all bins^rows answers; the mark (r/m − 1/k)/(1 − 1/k)
// is (kr − m)/(m(k − 1)).
func bruteMatch(it quiz.Item) (mean, full *big.Rat, err error) {
	m, k := int64(len(it.Interaction.Rows)), int64(len(it.Interaction.Bins))
	good := make([]int64, m) // right bins of each row
	for i, r := range it.Key.Rows {
		good[i] = 1 + int64(len(r.Also))
	}
	key := fmt.Sprint("match ", k, good)
	if c, ok := knownChances[key]; ok {
		return c.mean, c.full, nil
	}
	t := tally{of: m * (k - 1)}
	var answer func(row int, right int64)
	answer = func(row int, right int64) {
		if row == len(good) {
			t.add(k*right - m)
			return
		}
		for b := range k {
			if b < good[row] {
				answer(row+1, right+1)
			} else {
				answer(row+1, right)
			}
		}
	}
	answer(0, 0)
	mean, full, err = t.chance()
	knownChances[key] = knownChance{mean, full}
	return mean, full, err
}

// knownChance is what was worked out before for a key that demands the same.
type knownChance struct{ mean, full *big.Rat }

var knownChances = map[string]knownChance{}

// bruteOrder goes through every order of the options; where everything must be
// right it counts the right orders and divides by n!. Answers are kept by what
// the key demands, since thousands of items demand the same.
func bruteOrder(it quiz.Item) (mean, full *big.Rat, err error) {
	o := newBrute(it)
	key := fmt.Sprint(o)
	if c, ok := knownChances[key]; ok {
		return c.mean, c.full, nil
	}
	if o.allRight {
		all := new(big.Int).MulRange(1, int64(o.n))
		mean = new(big.Rat).SetFrac(big.NewInt(o.extensions(0)), all)
		full = mean
	} else if o.n <= 8 {
		t := tally{of: int64(len(o.pairs))}
		o.walk(make([]int, 0, o.n), &t)
		mean, full, _ = t.chance()
	}
	knownChances[key] = knownChance{mean, full}
	return mean, full, nil
}

// brute is an order key with its options numbered in the order of the work, as
// far as there is one, so that items that demand the same are the same.
type brute struct {
	n        int
	allRight bool
	pairs    [][3]int // before, after, 1 where critical
	alike    [][]int
}

func newBrute(it quiz.Item) brute {
	o := brute{n: len(it.Interaction.Options), allRight: it.Key.AllRight}
	number := numbers(it)
	critical := map[string]int{}
	for _, f := range it.Facts {
		if f.Critical {
			critical[string(f.Fact)] = 1
		}
	}
	for _, p := range it.Key.Pairs {
		o.pairs = append(o.pairs, [3]int{number[p.Before], number[p.After], critical[string(p.Fact)]})
	}
	slices.SortFunc(o.pairs, func(a, b [3]int) int { return slices.Compare(a[:], b[:]) })
	for _, set := range it.Key.Alike {
		var s []int
		for _, id := range set {
			s = append(s, number[id])
		}
		slices.Sort(s)
		o.alike = append(o.alike, s)
	}
	return o
}

// numbers numbers the options by how many must come before them, then by text
// and id.
func numbers(it quiz.Item) map[string]int {
	before := map[string]int{}
	for _, p := range it.Key.Pairs {
		before[p.After]++
	}
	opts := slices.Clone(it.Interaction.Options)
	slices.SortFunc(opts, func(a, b quiz.Option) int {
		if d := before[a.ID] - before[b.ID]; d != 0 {
			return d
		}
		return slices.Compare([]string{a.Text, a.ID}, []string{b.Text, b.ID})
	})
	out := map[string]int{}
	for i, o := range opts {
		out[o.ID] = i
	}
	return out
}

// extensions counts the orders of the options not yet placed that violate nothing.
func (o brute) extensions(placed uint) int64 {
	if placed == 1<<o.n-1 {
		return 1
	}
	sum := int64(0)
	for e := range o.n {
		ok := placed>>e&1 == 0
		for _, p := range o.pairs {
			ok = ok && (p[1] != e || placed>>p[0]&1 == 1)
		}
		if ok {
			sum += o.extensions(placed | 1<<e)
		}
	}
	return sum
}

// walk marks every order; identical parts are read in the way that is best.
func (o brute) walk(order []int, t *tally) {
	if len(order) == o.n {
		t.add(o.mark(order))
		return
	}
	for e := range o.n {
		if !slices.Contains(order, e) {
			o.walk(append(order, e), t)
		}
	}
}

// mark is V − 2v, 0 where a critical pair is violated.
func (o brute) mark(order []int) int64 {
	at := make([]int, o.n)
	for i, e := range order {
		at[e] = i
	}
	least, crit := len(o.pairs)+1, 0
	o.exchange(at, 0, func() {
		v, c := 0, 0
		for _, p := range o.pairs {
			if at[p[0]] > at[p[1]] {
				v++
				c += p[2]
			}
		}
		if v < least || v == least && c < crit {
			least, crit = v, c
		}
	})
	if crit > 0 {
		return 0
	}
	return int64(len(o.pairs) - 2*least)
}

// exchange calls f for every way of taking identical parts for one another.
func (o brute) exchange(at []int, set int, f func()) {
	if set == len(o.alike) {
		f()
		return
	}
	var turn func(i int)
	turn = func(i int) {
		s := o.alike[set]
		if i == len(s) {
			o.exchange(at, set+1, f)
			return
		}
		for j := i; j < len(s); j++ {
			at[s[i]], at[s[j]] = at[s[j]], at[s[i]]
			turn(i + 1)
			at[s[i]], at[s[j]] = at[s[j]], at[s[i]]
		}
	}
	turn(0)
}

// bruteSequence judges every order of at most 8 fasteners by the oracle.
func bruteSequence(src *quiz.Source, m quiz.Model, it quiz.Item) (mean, full *big.Rat, err error) {
	n := len(it.Interaction.Options)
	if n > 8 {
		return nil, nil, nil
	}
	key := fmt.Sprint("sequence ", it.Key.Sequence.Pattern, it.Key.Sequence.Rule)
	if c, ok := knownChances[key]; ok {
		return c.mean, c.full, nil
	}
	want, err := oracles[m.Name()](src.Procedure, it)
	if err != nil {
		return nil, nil, err
	}
	t := tally{of: 1}
	var walk func(ids []string)
	walk = func(ids []string) {
		if len(ids) == n {
			mark := int64(0)
			if want.judge(ids) {
				mark = 1
			}
			t.add(mark)
			return
		}
		for _, o := range it.Interaction.Options {
			if !slices.Contains(ids, o.ID) {
				walk(append(ids, o.ID))
			}
		}
	}
	walk(make([]string, 0, n))
	mean, full, err = t.chance()
	knownChances[key] = knownChance{mean, full}
	return mean, full, err
}
