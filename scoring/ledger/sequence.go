package ledger

import (
	"cmp"
	"slices"
)

// span is the numbers from first up to end, which is no more of it.
type span struct{ first, end int64 }

// sequence is the numbers of the entries as they stand in an export. That of a sound
// one is one span from 0 to its size.
type sequence []span

// mostSpans is how many are kept; past that the file is in no order at all.
const mostSpans = 4096

func (s *sequence) add(first, end int64) {
	if n := len(*s); n > 0 && (*s)[n-1].end == first {
		(*s)[n-1].end = end
		return
	}
	if len(*s) < mostSpans {
		*s = append(*s, span{first, end})
	}
}

// gaps returns the numbers below size that are missing and those that stand there
// more than once, sorted.
func (s sequence) gaps(size int64) (missing, repeated []span) {
	sorted := slices.Clone(s)
	slices.SortFunc(sorted, func(a, b span) int { return cmp.Or(cmp.Compare(a.first, b.first), cmp.Compare(a.end, b.end)) })
	var at int64
	for _, x := range sorted {
		if x.first > at && at < size {
			missing = append(missing, span{at, min(x.first, size)})
		}
		if x.first < at {
			repeated = append(repeated, span{x.first, min(at, x.end)})
		}
		at = max(at, x.end)
	}
	if at < size {
		missing = append(missing, span{at, size})
	}
	return missing, repeated
}

// swapped returns the two entries that have changed places, if that is all that is
// wrong with the order.
func (s sequence) swapped() (a, b int64, ok bool) {
	var out []span // first: the number that stands there; end: the one that should
	var at int64
	for _, x := range s {
		if x.first != at {
			if x.end-x.first != 1 {
				return 0, 0, false
			}
			out = append(out, span{x.first, at})
		}
		at += x.end - x.first
	}
	if len(out) != 2 || out[0].first != out[1].end || out[1].first != out[0].end {
		return 0, 0, false
	}
	return out[1].first, out[0].first, true
}

// steps returns the places where the numbers step back, but for entries that stand
// there twice: each as the number before the step and the one after it.
func (s sequence) steps(repeated []span) (back [][2]int64) {
	for i := 1; i < len(s); i++ {
		again := slices.ContainsFunc(repeated, func(r span) bool { return r.first <= s[i].first && s[i].first < r.end })
		if s[i].first < s[i-1].end && !again {
			back = append(back, [2]int64{s[i-1].end - 1, s[i].first})
		}
	}
	return back
}
