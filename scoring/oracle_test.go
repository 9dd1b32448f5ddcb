package scoring

import (
	"fmt"
	"math/big"
	"slices"
	"strings"
	"testing"

	"soloright/content"
	"soloright/quiz"

	"pgregory.net/rapid"
)

// The oracle marks by the words of the marking table, on plain maps, and shares
// no code with the package: it returns the mark and the critical facts missed,
// of which an order may have several sets where readings of it are equally good.

func formula(num, den int64) *big.Rat {
	r := new(big.Rat).SetFrac64(num, den)
	if r.Sign() < 0 {
		return new(big.Rat)
	}
	return r
}

func oracleMultiple(it quiz.Item, a quiz.Answer) (*big.Rat, []map[content.FactID]bool) {
	crit, missed := criticalsOf(it), map[content.FactID]bool{}
	ticks := map[string]bool{}
	for _, id := range a.Options {
		ticks[id] = true
	}
	right, wrong, of := int64(0), int64(0), int64(0)
	for _, k := range it.Key.Options {
		switch {
		case k.Right && ticks[k.ID]:
			right, of = right+1, of+1
		case k.Right:
			of++
			missed[k.Fact] = missed[k.Fact] || crit[k.Fact]
		case ticks[k.ID]:
			wrong++
			missed[k.Fact] = missed[k.Fact] || crit[k.Fact] && k.Dangerous
		}
	}
	return formula(right-wrong, of), []map[content.FactID]bool{missed}
}

func oracleMatch(it quiz.Item, a quiz.Answer) (*big.Rat, []map[content.FactID]bool) {
	crit, missed := criticalsOf(it), map[content.FactID]bool{}
	m, k, r := int64(len(it.Interaction.Rows)), int64(len(it.Interaction.Bins)), int64(0)
	for _, row := range it.Key.Rows {
		bin := a.Rows[row.Row]
		if bin == row.Bin || bin != "" && strings.Contains(strings.Join(row.Also, ""), bin) {
			r++
		} else if bin == "" || strings.Contains(strings.Join(row.Dangerous, ""), bin) {
			missed[row.Fact] = missed[row.Fact] || crit[row.Fact]
		}
	}
	mark := new(big.Rat).Sub(big.NewRat(r, m), big.NewRat(1, k))
	mark.Quo(mark, new(big.Rat).Sub(big.NewRat(1, 1), big.NewRat(1, k)))
	if mark.Sign() < 0 {
		mark = new(big.Rat)
	}
	return mark, []map[content.FactID]bool{missed}
}

// oracleOrder tries every renaming of identical things, as strings.
func oracleOrder(it quiz.Item, a quiz.Answer) (*big.Rat, []map[content.FactID]bool) {
	crit := criticalsOf(it)
	bestV, bestC := -1, 0
	var missed []map[content.FactID]bool
	for _, given := range renamings(a.Options, it.Key.Alike, len(it.Interaction.Options)) {
		v, c, m := 0, 0, map[content.FactID]bool{}
		for _, p := range it.Key.Pairs {
			b, e := strings.Index(given, p.Before), strings.Index(given, p.After)
			if b < 0 || e < 0 || b > e {
				v++
				if crit[p.Fact] {
					c++
					m[p.Fact] = true
				}
			}
		}
		if bestV < 0 || v < bestV || v == bestV && c < bestC {
			bestV, bestC, missed = v, c, nil
		}
		if v == bestV && c == bestC {
			missed = append(missed, m)
		}
	}
	all := int64(len(it.Key.Pairs))
	if bestC > 0 {
		return new(big.Rat), missed
	}
	return formula(all-2*int64(bestV), all), missed
}

// renamings lists the orders, as strings of one-letter ids, that an order may be
// read as when things of one set are renamed among each other.
func renamings(order []string, alike [][]string, n int) []string {
	out := []string{}
	var grow func(done string, left []string)
	grow = func(done string, left []string) {
		if len(left) == 0 {
			out = append(out, done)
			return
		}
		names := []string{left[0]}
		for _, set := range alike {
			if slices.Contains(set, left[0]) {
				names = set
			}
		}
		for _, name := range names {
			if !strings.Contains(done, name) {
				grow(done+name, left[1:])
			}
		}
	}
	grow("", order)
	return out
}

func criticalsOf(it quiz.Item) map[content.FactID]bool {
	out := map[content.FactID]bool{}
	for _, f := range it.Facts {
		out[f.Fact] = f.Critical
	}
	return out
}

const alphabet = "abcdefgh"

func drawFacts(t *rapid.T, n int) []quiz.Tested {
	var out []quiz.Tested
	for i := range n {
		out = append(out, quiz.Tested{Fact: content.FactID(fmt.Sprint("f", i)), Critical: rapid.Bool().Draw(t, "critical")})
	}
	return out
}

func drawIDs(n int) []quiz.Option { return options(strings.Join(strings.Split(alphabet[:n], ""), " ")) }

func drawSubset(t *rapid.T, of string) []string {
	var out []string
	for _, id := range rapid.Permutation(strings.Split(of, "")).Draw(t, "order") {
		if rapid.Bool().Draw(t, "in") {
			out = append(out, id)
		}
	}
	return out
}

func drawMultiple(t *rapid.T) (quiz.Item, quiz.Answer) {
	n := rapid.IntRange(2, 7).Draw(t, "options")
	it := quiz.Item{Facts: drawFacts(t, 3), Interaction: quiz.Interaction{Kind: quiz.Multiple, Options: drawIDs(n)}}
	for i := range n {
		right := i == 0 || rapid.Bool().Draw(t, "right")
		it.Key.Options = append(it.Key.Options, quiz.KeyOption{ID: alphabet[i : i+1], Right: right, Fact: it.Facts[rapid.IntRange(0, 2).Draw(t, "fact")].Fact,
			Dangerous: !right && rapid.Bool().Draw(t, "dangerous")})
	}
	return it, quiz.Answer{Options: drawSubset(t, alphabet[:n])}
}

func drawMatch(t *rapid.T) (quiz.Item, quiz.Answer) {
	m, k := rapid.IntRange(1, 7).Draw(t, "rows"), rapid.IntRange(2, 5).Draw(t, "bins")
	it := quiz.Item{Facts: drawFacts(t, 3), Interaction: quiz.Interaction{Kind: quiz.Match, Rows: drawIDs(m), Bins: drawIDs(k)}}
	a := quiz.Answer{Rows: map[string]string{}}
	bin := rapid.SampledFrom(strings.Split(alphabet[:k], ""))
	for i := range m {
		row := quiz.KeyRow{Row: alphabet[i : i+1], Bin: bin.Draw(t, "bin"), Fact: it.Facts[rapid.IntRange(0, 2).Draw(t, "fact")].Fact}
		for _, b := range drawSubset(t, alphabet[:k]) {
			if rapid.Bool().Draw(t, "also") {
				row.Also = append(row.Also, b)
			} else if b != row.Bin {
				row.Dangerous = append(row.Dangerous, b)
			}
		}
		it.Key.Rows = append(it.Key.Rows, row)
		if rapid.IntRange(0, 5).Draw(t, "given") > 0 {
			a.Rows[row.Row] = bin.Draw(t, "given bin")
		}
	}
	return it, a
}

// drawOrder draws a partial order of three to six things.
func drawOrder(t *rapid.T) (quiz.Item, quiz.Answer) { return drawOrderOf(t, 6) }

// drawOrderOf draws a closed partial order of three to most things with one pair
// at least: a thing comes before those that follow it in two hidden orders, so
// that a before b, b before c gives a before c. Two orders that run against each
// other give no pair; then the things stand in one chain.
func drawOrderOf(t *rapid.T, most int) (quiz.Item, quiz.Answer) {
	n := rapid.IntRange(3, most).Draw(t, "things")
	it := quiz.Item{Facts: drawFacts(t, 4), Interaction: quiz.Interaction{Kind: quiz.Order, Options: drawIDs(n)}}
	x, y := rapid.Permutation([]int{0, 1, 2, 3, 4, 5}).Draw(t, "x"), rapid.Permutation([]int{0, 1, 2, 3, 4, 5}).Draw(t, "y")
	if against(x[:n], y[:n]) {
		y = x
	}
	for i := range n {
		for j := range n {
			if x[i] < x[j] && y[i] < y[j] { // an order of dimension two, closed by itself
				it.Key.Pairs = append(it.Key.Pairs, quiz.KeyPair{Before: alphabet[i : i+1], After: alphabet[j : j+1], Fact: it.Facts[rapid.IntRange(0, 3).Draw(t, "fact")].Fact})
			}
		}
	}
	if set := drawSubset(t, alphabet[:n]); len(set) > 1 {
		it.Key.Alike = [][]string{set}
	}
	given := rapid.Permutation(strings.Split(alphabet[:n], "")).Draw(t, "given")
	return it, quiz.Answer{Options: given[:rapid.IntRange(0, n).Draw(t, "placed")]}
}

// against reports whether no two things stand the same way round in both orders.
func against(x, y []int) bool {
	for i := range x {
		for j := range x {
			if x[i] < x[j] && y[i] < y[j] {
				return false
			}
		}
	}
	return true
}

func TestMarkAgainstTheOracle(t *testing.T) {
	kinds := map[string]struct {
		draw   func(*rapid.T) (quiz.Item, quiz.Answer)
		oracle func(quiz.Item, quiz.Answer) (*big.Rat, []map[content.FactID]bool)
	}{"multiple": {drawMultiple, oracleMultiple}, "match": {drawMatch, oracleMatch}, "order": {drawOrder, oracleOrder}}
	for name, k := range kinds {
		t.Run(name, rapid.MakeCheck(func(t *rapid.T) {
			it, a := k.draw(t)
			m, err := Mark(it, a)
			if err != nil {
				t.Fatal(err)
			}
			mark, missed := k.oracle(it, a)
			if a.Blank() {
				missed = []map[content.FactID]bool{criticalsOf(it)}
			}
			if m.Mark.Rat.Cmp(mark) != 0 {
				t.Fatalf("mark %s, want %s", m.Mark, mark.RatString())
			}
			if !slices.ContainsFunc(missed, func(set map[content.FactID]bool) bool { return sameSet(it, m.Critical, set) }) {
				t.Fatalf("missed %v, want one of %v", m.Critical, missed)
			}
		}))
	}
}

func sameSet(it quiz.Item, got []content.FactID, want map[content.FactID]bool) bool {
	for _, f := range it.Facts {
		if slices.Contains(got, f.Fact) != want[f.Fact] {
			return false
		}
	}
	return true
}

// Laws that hold for every interaction: the mark lies within 0 to 1, a blank
// answer gets none and says so of every fact, full marks go with every fact
// right, and a critical fact that was missed is never called right.
func TestMarkLaws(t *testing.T) {
	draws := []func(*rapid.T) (quiz.Item, quiz.Answer){drawMultiple, drawMatch, drawOrder}
	rapid.Check(t, func(t *rapid.T) {
		it, a := draws[rapid.IntRange(0, 2).Draw(t, "kind")](t)
		m, err := Mark(it, a)
		if err != nil {
			t.Fatal(err)
		}
		if m.Mark.Rat.Sign() < 0 || m.Mark.Rat.Cmp(big.NewRat(1, 1)) > 0 || len(m.Facts) != len(it.Facts) {
			t.Fatalf("mark %s, %d facts", m.Mark, len(m.Facts))
		}
		allRight := true
		for _, f := range m.Facts {
			allRight = allRight && f.State == Right
			if a.Blank() && f.State != Blank || f.State == Right && slices.Contains(m.Critical, f.Fact) {
				t.Fatalf("%s is %s in %s", f.Fact, f.State, brief(m))
			}
		}
		if full := m.Mark.Rat.Cmp(big.NewRat(1, 1)) == 0; full != allRight {
			t.Fatalf("mark %s with states of %s", m.Mark, brief(m))
		}
	})
}

// Any order that breaks nothing is full marks, all of them.
func TestAnyValidOrderIsFullMarks(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		it, _ := drawOrder(t)
		it.Key.Alike = nil
		var left []string
		for _, o := range it.Interaction.Options {
			left = append(left, o.ID)
		}
		var given []string
		for len(left) > 0 { // take at random one that needs nothing any more
			free := slices.DeleteFunc(slices.Clone(left), func(id string) bool {
				return slices.ContainsFunc(it.Key.Pairs, func(p quiz.KeyPair) bool { return p.After == id && slices.Contains(left, p.Before) })
			})
			id := rapid.SampledFrom(free).Draw(t, "next")
			given = append(given, id)
			left = slices.DeleteFunc(left, func(x string) bool { return x == id })
		}
		m, err := Mark(it, quiz.Answer{Options: given})
		if err != nil || m.Mark.String() != "1" || len(m.Critical) > 0 {
			t.Fatalf("%v: %s, %v", given, brief(m), err)
		}
	})
}

// Mean over all answers, each as likely as any other, is the chance mark.
func TestChanceOfAnOrderIsTheMeanMark(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		it, _ := drawOrderOf(t, 5) // 120 answers at most
		it.Key.AllRight = rapid.Bool().Draw(t, "all right")
		mean, full, n := new(big.Rat), int64(0), int64(0)
		for _, given := range renamings(strings.Split(alphabet[:len(it.Interaction.Options)], ""), [][]string{strings.Split(alphabet[:len(it.Interaction.Options)], "")}, 0) {
			m, err := Mark(it, quiz.Answer{Options: strings.Split(given, "")})
			if err != nil {
				t.Fatal(err)
			}
			mean.Add(mean, m.Mark.Rat)
			n++
			if m.Mark.Rat.Cmp(big.NewRat(1, 1)) == 0 {
				full++
			}
		}
		pairs, alike := keyByPlace(it)
		chance, err := quiz.ChanceOfOrder(len(it.Interaction.Options), pairs, alike, it.Key.AllRight)
		if err != nil {
			t.Fatal(err)
		}
		if mean.Mul(mean, big.NewRat(1, n)).Cmp(chance.Mean.Rat) != 0 || chance.Full.Rat.Cmp(big.NewRat(full, n)) != 0 {
			t.Fatalf("mean %s, full %d/%d, chance says %s, %s", mean.RatString(), full, n, chance.Mean, chance.Full)
		}
	})
}

func keyByPlace(it quiz.Item) (pairs []quiz.Pair, alike [][]int) {
	crit := criticalsOf(it)
	for _, p := range it.Key.Pairs {
		pairs = append(pairs, quiz.Pair{Before: strings.Index(alphabet, p.Before), After: strings.Index(alphabet, p.After), Critical: crit[p.Fact]})
	}
	for _, set := range it.Key.Alike {
		var s []int
		for _, id := range set {
			s = append(s, strings.Index(alphabet, id))
		}
		alike = append(alike, s)
	}
	return pairs, alike
}
