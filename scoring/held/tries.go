package held

import (
	"soloright/scoring/itemstat"
)

// Meeting is one answer of one person on one fact, in the order of time.
type Meeting struct{ Right bool }

// Learning tells first meetings from repeats, over many pairs.
type Learning struct {
	First, Repeats itemstat.Figure   // proportion right, with Wilson's 90 % interval
	Tries          []itemstat.Figure // the 1st, the 2nd, … meeting; the last counts all later ones too
	Learned        itemstat.Figure   // right at the next meeting, of those that were missed
	Kept           itemstat.Figure   // right at the next meeting, of those that were right
}

// MostTries is how many tries are told apart.
const MostTries = 5

// Learn counts the meetings of each pair, oldest first.
func Learn(pairs [][]Meeting) Learning {
	var tries [MostTries]tally
	var first, repeats, learned, kept tally
	for _, meetings := range pairs {
		for i, m := range meetings {
			tries[min(i, MostTries-1)].add(m.Right)
			if i == 0 {
				first.add(m.Right)
				continue
			}
			repeats.add(m.Right)
			if meetings[i-1].Right {
				kept.add(m.Right)
			} else {
				learned.add(m.Right)
			}
		}
	}
	l := Learning{First: first.figure(), Repeats: repeats.figure(), Learned: learned.figure(), Kept: kept.figure()}
	for _, t := range tries {
		if t.n > 0 {
			l.Tries = append(l.Tries, t.figure())
		}
	}
	return l
}

type tally struct{ right, n int }

func (t *tally) add(right bool) {
	t.n++
	if right {
		t.right++
	}
}

// figure is the proportion right with its interval; a reason where there is nothing.
func (t tally) figure() itemstat.Figure { return Proportion(t.right, t.n) }

// Proportion is a proportion right with Wilson's 90 % interval; from no answers
// there is a reason and no number.
func Proportion(right, n int) itemstat.Figure {
	in, err := itemstat.Wilson(float64(right), n, itemstat.Level)
	if err != nil {
		return itemstat.Figure{N: n, NotYet: itemstat.TooFew, Need: 1}
	}
	return itemstat.Figure{Value: float64(right) / float64(n), N: n, Lo: in.Lo, Hi: in.Hi, Conf: itemstat.Level}
}
