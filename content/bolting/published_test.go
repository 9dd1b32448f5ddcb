package bolting

import (
	"slices"
	"testing"
)

var cross = Rule{Kind: Cross}

func circleOf(n int) Pattern { return Pattern{Shape: Circle, Count: n} }

// published are sequences in places order that must be right.
var published = []struct {
	source   string
	sequence []int
}{
	// ASME PCC-1 legacy cross pattern; 8, 12, 16 and 24 seen in secondary copies.
	{"ASME PCC-1 legacy, from memory", []int{1, 3, 2, 4}},
	{"ASME PCC-1 legacy", []int{1, 5, 3, 7, 2, 6, 4, 8}},
	{"ASME PCC-1 legacy", []int{1, 7, 4, 10, 2, 8, 5, 11, 3, 9, 6, 12}},
	{"ASME PCC-1 legacy", []int{1, 9, 5, 13, 3, 11, 7, 15, 2, 10, 6, 14, 4, 12, 8, 16}},
	{"ASME PCC-1 legacy", []int{1, 13, 7, 19, 4, 16, 10, 22, 2, 14, 8, 20, 5, 17, 11, 23, 3, 15, 9, 21, 6, 18, 12, 24}},
	{"common practice, no source", []int{1, 3, 5, 2, 4}},
	{"common practice, no source", []int{1, 4, 2, 5, 3, 6}},
	{"common practice, no source", []int{1, 4, 6, 3, 5, 2}},
	{"common practice, no source", []int{1, 6, 3, 8, 5, 10, 2, 7, 4, 9}},
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
	for _, c := range published {
		p := circleOf(len(c.sequence))
		for _, s := range Symmetries(p) {
			turned := carried(s, c.sequence)
			if v := Judge(p, cross, turned); !v.Right {
				t.Errorf("%s: %v as %v: %+v", c.source, c.sequence, turned, v)
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
	// 12 bolts as stamped in print (seen in secondary copies of ASME PCC-1).
	r := Rule{Kind: Pinned, Means: Stamped, Pinned: []int{1, 5, 9, 3, 7, 11, 2, 6, 10, 4, 8, 12}}
	want := []int{1, 7, 4, 10, 2, 8, 5, 11, 3, 9, 6, 12}
	if v := Judge(circleOf(12), r, want); !v.Right {
		t.Errorf("%+v", v)
	}
	if slices.Equal(r.Pinned, want) || Judge(circleOf(12), r, r.Pinned).Right {
		t.Error("the stamped order is taken for the order of places")
	}
}
