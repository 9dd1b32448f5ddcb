package itemmodel

import (
	"math/rand/v2"
	"slices"

	"soloright/content"
	"soloright/quiz"
)

// matchRow is a row of a match: what is shown, the bin that is right and why each
// other one is wrong.
type matchRow struct {
	text      string
	fact      content.FactID
	bin       int      // index into the bins
	because   []string // for each bin what somebody is told who chose it; "" for the right one
	dangerous []int    // wrong bins whose choice is a critical miss
}

// anyWrong lists every bin but the right one: the dangerous ones of a critical
// fact, unless a law says otherwise.
func anyWrong(critical bool, bin, bins int) []int {
	if !critical {
		return nil
	}
	out := make([]int, 0, bins-1)
	for i := range bins {
		if i != bin {
			out = append(out, i)
		}
	}
	return out
}

// writeMatch writes a match of the rows and bins as they stand: id, feedback, key
// and chance mark. The caller has shuffled what is to be shuffled. The signature
// is the rows with their bins.
func writeMatch(stem string, rows []matchRow, bins []string) quiz.Item {
	it := quiz.Item{
		Stem: stem, Seconds: 20 + 12*len(rows), Chance: chanceMatch(len(rows), len(bins)),
		Interaction: quiz.Interaction{Kind: quiz.Match, Rows: make([]quiz.Option, len(rows)), Bins: make([]quiz.Option, len(bins))},
		Key:         quiz.Key{Rows: make([]quiz.KeyRow, len(rows))},
		Feedback:    make([]quiz.Feedback, 0, len(rows)*(len(bins)-1)),
	}
	for i, b := range bins {
		it.Interaction.Bins[i] = quiz.Option{ID: letter(i), Text: b}
	}
	parts := make([]string, len(rows))
	for i, r := range rows {
		id := letter(i)
		parts[i] = r.text + "=" + bins[r.bin]
		it.Interaction.Rows[i] = quiz.Option{ID: id, Text: r.text}
		it.Key.Rows[i] = quiz.KeyRow{Row: id, Bin: letter(r.bin), Fact: r.fact, Dangerous: binLetters(r.dangerous)}
		for b, text := range r.because {
			if b != r.bin {
				it.Feedback = append(it.Feedback, quiz.Feedback{Option: id, Bin: letter(b), Text: text})
			}
		}
	}
	it.Signature = signature("", parts)
	return it
}

func binLetters(bins []int) []string {
	if len(bins) == 0 {
		return nil
	}
	out := make([]string, len(bins))
	for i, b := range bins {
		out[i] = letter(b)
	}
	return out
}

// sortPlan is a match into bins that always stand in the same order: the lead's
// row and others that the procedure states a bin for, not all of one bin.
type sortPlan struct {
	lead    content.Fact
	stem    string
	bins    []string
	rows    []matchRow // distinct as shown; the lead's among them
	leadAt  int
	most    int // rows shown, where there are more
	least   int // rows that there must be
	explain string
	few     string // why there is no item where there are too few rows
	alike   string // why there is none where all rows are of one bin
}

// shown is how many rows an item has: one fewer than there are where they are
// few, so that there is a fresh item to be had.
func (s *sortPlan) shown() int { return max(s.least, min(s.most, len(s.rows)-1)) }

// sameBin counts the other rows of the lead's bin.
func (s *sortPlan) sameBin() int {
	n := -1
	for _, r := range s.rows {
		if r.bin == s.rows[s.leadAt].bin {
			n++
		}
	}
	return n
}

func (s *sortPlan) count() (int, string) {
	if len(s.rows) < s.least {
		return 0, s.few
	}
	others, same := len(s.rows)-1, s.sameBin()
	if others == same {
		return 0, s.alike
	}
	k := s.shown() - 1
	return max(1, choose(others, k)-choose(same, k)), "" // both may be capped
}

func (s *sortPlan) write(rnd *rand.Rand) (quiz.Item, error) {
	rows := s.pick(rnd)
	rnd.Shuffle(len(rows), func(i, j int) { rows[i], rows[j] = rows[j], rows[i] })
	it := writeMatch(s.stem, rows, s.bins)
	it.Explain, it.Interaction.Ordered = s.explain, true
	return it, nil
}

// pick draws the other rows until not all are of one bin; every set that count
// counts is as likely as any other. Where the lead's bin is crowded it swaps
// one for a row of another bin instead of drawing for ever.
func (s *sortPlan) pick(rnd *rand.Rand) []matchRow {
	k := s.shown() - 1
	rows := make([]matchRow, 0, k+1)
	for range 32 {
		rows = append(rows[:0], s.rows[s.leadAt])
		mixed := false
		for _, i := range some(rnd, len(s.rows)-1, k) {
			r := s.rows[(s.leadAt+1+i)%len(s.rows)]
			mixed = mixed || r.bin != rows[0].bin
			rows = append(rows, r)
		}
		if mixed {
			return rows
		}
	}
	others := slices.DeleteFunc(slices.Clone(s.rows), func(r matchRow) bool { return r.bin == rows[0].bin })
	rows[k] = others[rnd.IntN(len(others))]
	return rows
}
