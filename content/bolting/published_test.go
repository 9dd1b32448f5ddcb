package bolting

import (
	"encoding/json"
	"os"
	"slices"
	"testing"
)

var cross = Rule{Kind: Cross}

func circleOf(n int) Pattern { return Pattern{Shape: Circle, Count: n} }

// published is a row of testdata/cross-patterns.json, which names its sources.
type published struct {
	Source   string `json:"source"`
	Means    string `json:"means"`
	Sequence []int  `json:"sequence"`
}

// readPublished returns the published tables of one meaning.
func readPublished(t testing.TB, means string) []published {
	t.Helper()
	raw, err := os.ReadFile("../../testdata/cross-patterns.json")
	if err != nil {
		t.Fatal(err)
	}
	var all []published
	if err := json.Unmarshal(raw, &all); err != nil {
		t.Fatal(err)
	}
	all = slices.DeleteFunc(all, func(p published) bool { return p.Means != means })
	if len(all) == 0 {
		t.Fatalf("no published table means %s", means)
	}
	return all
}

// refused are sequences that must be wrong, with the clause they break and the
// pair; all common practice, no source.
var refused = []struct {
	sequence []int
	clause   string
	pair     [2]int
}{
	{[]int{1, 5, 3, 7, 8, 4, 6, 2}, ClauseFollow, [2]int{7, 8}},
	{[]int{1, 3, 5, 7, 2, 4, 6, 8}, ClauseOpposite, [2]int{1, 3}},
	{[]int{1, 9, 5, 13, 14, 6, 10, 2, 3, 11, 7, 15, 16, 8, 12, 4}, ClauseGroup, [2]int{13, 14}},
	{[]int{1, 4, 5, 2, 3, 6}, ClauseFollow, [2]int{4, 5}},
	{[]int{1, 7, 2, 8, 3, 9, 4, 10, 5, 11, 6, 12}, ClauseQuarter, [2]int{7, 2}},
}

func TestPublishedSequencesAreRight(t *testing.T) {
	for _, c := range readPublished(t, OrderOfPlaces) {
		p := circleOf(len(c.Sequence))
		for _, s := range Symmetries(p) {
			turned := carried(s, c.Sequence)
			if v := Judge(p, cross, turned); !v.Right {
				t.Errorf("%s: %v as %v: %+v", c.Source, c.Sequence, turned, v)
			}
		}
	}
}

func TestRefusedSequencesAreWrong(t *testing.T) {
	for _, c := range refused {
		p := circleOf(len(c.sequence))
		for _, s := range Symmetries(p) {
			v := Judge(p, cross, carried(s, c.sequence))
			want := [2]int{s[c.pair[0]-1], s[c.pair[1]-1]}
			if v.Right || v.Clause != c.clause || v.Pair != want {
				t.Errorf("%v: got %+v, want clause %s at %v", carried(s, c.sequence), v, c.clause, want)
			}
		}
	}
}

func TestRoundTheCircleIsNoCross(t *testing.T) {
	for n := 4; n <= 48; n++ {
		p, round := circleOf(n), make([]int, n)
		for i := range round {
			round[i] = i + 1
		}
		for _, s := range Symmetries(p) {
			if v := Judge(p, cross, carried(s, round)); v.Right {
				t.Fatalf("%d: round the circle is right", n)
			}
			if v := Judge(p, Rule{Kind: Circular}, carried(s, round)); !v.Right {
				t.Fatalf("%d: a check pass round the circle is wrong: %+v", n, v)
			}
		}
	}
}

// carried moves a sequence by a permutation of places.
func carried(s, sequence []int) []int {
	out := make([]int, len(sequence))
	for i, place := range sequence {
		out[i] = s[place-1]
	}
	return out
}

func TestStampedTable(t *testing.T) {
	r := Rule{Kind: Pinned, Means: Stamped, Pinned: readPublished(t, Stamped)[0].Sequence}
	want := []int{1, 7, 4, 10, 2, 8, 5, 11, 3, 9, 6, 12}
	if v := Judge(circleOf(12), r, want); !v.Right {
		t.Errorf("%+v", v)
	}
	if slices.Equal(r.Pinned, want) || Judge(circleOf(12), r, r.Pinned).Right {
		t.Error("the stamped order is taken for the order of places")
	}
}
