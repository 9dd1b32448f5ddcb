package library_test

import (
	"math/rand/v2"
	"testing"
	"unicode/utf8"

	"soloright/content"
	"soloright/quiz"
	"soloright/quiz/itemmodel"
)

// shelved are the procedures of the library.
var shelved = []string{"aodd-air-side", "energy-isolation", "flanged-joint", "mechanical-seal"}

// The longest option is the first that a guesser ticks. Where zero is proved, at
// least one wrong way in three is as long as the right one, and every energy has
// one that is (Haladyna, Downing and Rodriguez, Applied Measurement in Education
// 15 (2002), 309–334: keep the length of choices about equal; from memory).
func TestTheProofOfZeroIsNotToldByItsLength(t *testing.T) {
	for _, id := range shelved {
		long, all := 0, 0
		for _, e := range read(t, id).Energies {
			here := 0
			for _, w := range e.NoProof {
				all++
				if utf8.RuneCountInString(w.Text) >= utf8.RuneCountInString(e.Prove) {
					here++
				}
			}
			if long += here; here == 0 {
				t.Errorf("%s: the proof of zero of %s is longer than every wrong one", id, e.ID)
			}
		}
		if 3*long < all {
			t.Errorf("%s: %d of %d wrong proofs are as long as the right one, want a third", id, long, all)
		}
	}
}

// The models that take their wrong answers from what the procedure states to be wrong.
var toldApart = []string{"guard-against", "pressure-that-returns", "check-pass", "ease-the-joint", "symptom-to-cause"}

// Who ticks the longest option, or the shortest, and knows nothing must not do much
// better than who ticks blindly: 25 to 33 %, with room for what the trade needs words
// for (the same source). A key that is never the longest or never the shortest is told
// by its length too.
func TestNoKeyIsToldByItsLength(t *testing.T) {
	for _, name := range toldApart {
		var all, longest, shortest int
		for _, id := range shelved {
			for _, src := range builtOf(read(t, id)) {
				n, l, s := tally(t, src, name)
				all, longest, shortest = all+n, longest+l, shortest+s
			}
		}
		t.Logf("%s: of %d items the key is longest in %.0f %%, shortest in %.0f %%", name, all, percent(longest, all), percent(shortest, all))
		if l, s := percent(longest, all), percent(shortest, all); all == 0 || min(l, s) < 10 || max(l, s) > 45 {
			t.Errorf("%s: of %d items the key is longest in %d and shortest in %d, want 10 to 45 %% each", name, all, longest, shortest)
		}
	}
}

func percent(n, of int) float64 { return 100 * float64(n) / float64(max(1, of)) }

// builtOf takes the procedure apart for each of its builds.
func builtOf(p *content.Procedure) []*quiz.Source {
	if len(p.Builds) == 0 {
		return []*quiz.Source{quiz.NewSource(p, "")}
	}
	out := make([]*quiz.Source, len(p.Builds))
	for i, b := range p.Builds {
		out[i] = quiz.NewSource(p, b.ID)
	}
	return out
}

// tally writes items of the model on each fact and counts them, and those whose key
// is strictly the longest or strictly the shortest option.
func tally(t *testing.T, src *quiz.Source, name string) (all, longest, shortest int) {
	t.Helper()
	seeds := 300
	if testing.Short() {
		seeds = 40
	}
	for _, m := range itemmodel.All() {
		if m.Name() != name {
			continue
		}
		for _, f := range src.Index.Facts() {
			if n, _ := m.Count(src, f); n == 0 {
				continue
			}
			for seed := range seeds {
				it, err := m.Write(src, f, rand.New(rand.NewPCG(uint64(seed), 1)))
				if err != nil {
					t.Fatalf("%s on %s: %v", name, f.ID, err)
				}
				long, short := keyLength(it)
				all, longest, shortest = all+1, longest+long, shortest+short
			}
		}
	}
	return all, longest, shortest
}

// keyLength gives 1 where the key is longer than every other option, and 1 where it is shorter.
func keyLength(it quiz.Item) (long, short int) {
	key, least, most := 0, 1<<30, 0
	for i, o := range it.Interaction.Options {
		n := utf8.RuneCountInString(o.Text)
		if it.Key.Options[i].Right {
			key = n
			continue
		}
		least, most = min(least, n), max(most, n)
	}
	if key > most {
		long = 1
	}
	if key < least {
		short = 1
	}
	return long, short
}
