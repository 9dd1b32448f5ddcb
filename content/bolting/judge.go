package bolting

import (
	"fmt"
	"math/big"
)

// Verdict is what Judge says of a sequence. Where it is wrong, At is the index in
// the sequence of the second of the pair that breaks the rule, Pair the two places
// (the first is 0 where the very first fastener is wrong), Clause the clause broken
// and Reason a plain sentence for a technician.
type Verdict struct {
	Right  bool   `json:"right"`
	At     int    `json:"at"`
	Pair   [2]int `json:"pair"`
	Clause string `json:"clause,omitempty"`
	Reason string `json:"reason,omitempty"`
}

// The clauses of a verdict.
const (
	ClauseOpposite = "a"       // the two of a pair are opposite
	ClauseQuarter  = "b"       // each four is two pairs a quarter turn apart
	ClauseGroup    = "c"       // the next group is no neighbour of the last while another is free
	ClauseFollow   = "d"       // no fastener directly follows its neighbour
	ClauseStep     = "step"    // an odd circle: (N−1)/2 places on
	ClauseOutward  = "outward" // the distance from the centre never falls
	ClauseAround   = "around"  // round the circle, one way
	ClauseTable    = "table"   // the pinned table
	ClauseStart    = "start"   // the pinned start fastener
	ClauseEach     = "each"    // not every fastener once
	ClauseRule     = "rule"    // the rule cannot judge this pattern
)

// judge is a rule bound to a pattern. Places are indices from 0 here.
type judge interface {
	// follows returns what next breaks after a right prefix, nil where the prefix with
	// next is right so far. next is not in the prefix.
	follows(prefix []int, next int) *fault

	// count returns the number of right sequences, and on how many first fasteners
	// they fall in equal shares.
	count() (all *big.Int, starts int)
}

// fault is a clause broken and why; the words are made only when they are wanted.
type fault struct {
	clause string
	why    func() string
}

// Judge judges a sequence of places in the order in which they are tightened. The
// first fastener after which nothing can be put right any more breaks it. A
// sequence that is no permutation of 1..N is wrong by ClauseEach, whatever else is.
// The cost grows with N².
func Judge(p Pattern, r Rule, sequence []int) Verdict {
	j, err := bind(p, r)
	if err != nil {
		return Verdict{Clause: ClauseRule, Reason: err.Error()}
	}
	if at, why := notPermutation(p.Count, sequence); at >= 0 {
		v := Verdict{At: at, Clause: ClauseEach, Reason: why}
		if at < len(sequence) {
			v.Pair[1] = sequence[at]
		}
		return v
	}
	places := zeroBased(sequence)
	for i := range places {
		if f := step(p, j, places[:i], places[i]); f != nil {
			return breach(sequence, i, f)
		}
	}
	return Verdict{Right: true}
}

func breach(sequence []int, i int, f *fault) Verdict {
	v := Verdict{At: i, Clause: f.clause, Pair: [2]int{0, sequence[i]}}
	v.Reason = fmt.Sprintf("%d first: %s", sequence[i], f.why())
	if i > 0 {
		v.Pair[0] = sequence[i-1]
		v.Reason = fmt.Sprintf("%d after %d: %s", sequence[i], sequence[i-1], f.why())
	}
	return v
}

// step is follows with the pinned start before it.
func step(p Pattern, j judge, prefix []int, next int) *fault {
	if len(prefix) == 0 && p.StartAt > 0 && next != p.StartAt-1 {
		return &fault{ClauseStart, func() string {
			return fmt.Sprintf("the sequence starts at fastener %d", p.StartAt)
		}}
	}
	return j.follows(prefix, next)
}

// notPermutation returns the index of the first entry that keeps the sequence from
// naming each of 1..n once, and why; its length where one is missing, −1 where none is.
func notPermutation(n int, sequence []int) (at int, why string) {
	seen := make([]bool, n+1)
	for i, s := range sequence {
		switch {
		case s < 1 || s > n:
			return i, fmt.Sprintf("there is no fastener %d: they are numbered 1 to %d", s, n)
		case seen[s]:
			return i, fmt.Sprintf("fastener %d is named twice", s)
		}
		seen[s] = true
	}
	for s := 1; s <= n; s++ {
		if !seen[s] {
			return len(sequence), fmt.Sprintf("fastener %d is missing", s)
		}
	}
	return -1, ""
}

func zeroBased(sequence []int) []int {
	z := make([]int, len(sequence))
	for i, s := range sequence {
		z[i] = s - 1
	}
	return z
}
