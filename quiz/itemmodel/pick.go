package itemmodel

import (
	"math/rand/v2"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"soloright/content"
	"soloright/quiz"
)

// some returns k of the numbers 0..n-1 in ascending order, every set as likely
// as any other.
func some(rnd *rand.Rand, n, k int) []int {
	out := make([]int, 0, k)
	for i := range n {
		if left := n - i; rnd.IntN(left) < k-len(out) {
			out = append(out, i)
		}
	}
	return out
}

// choose returns the binomial coefficient n over k, at most quiz.MaxCount.
func choose(n, k int) int {
	if k < 0 || k > n {
		return 0
	}
	c := 1
	for i := 1; i <= min(k, n-k); i++ {
		if c = c * (n - i + 1) / i; c > quiz.MaxCount {
			return quiz.MaxCount
		}
	}
	return c
}

// times multiplies two counts, at most quiz.MaxCount.
func times(a, b int) int {
	if a > 0 && b > quiz.MaxCount/a {
		return quiz.MaxCount
	}
	return a * b
}

// signature joins the parts of a signature; they are sorted, so that it does not
// depend on their order, and the head stands first.
func signature(head string, parts []string) string {
	s := slices.Clone(parts)
	slices.Sort(s)
	return head + "|" + strings.Join(s, "|")
}

// union adds to the facts those that are not yet among them.
func union(facts []content.FactID, more ...content.FactID) []content.FactID {
	for _, id := range more {
		if !slices.Contains(facts, id) {
			facts = append(facts, id)
		}
	}
	return facts
}

// sentence makes a sentence of a clause: a capital, a full stop.
func sentence(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	if n == 0 {
		return s
	}
	if unicode.IsLower(r) {
		s = string(unicode.ToUpper(r)) + s[n:]
	}
	if last, _ := utf8.DecodeLastRuneInString(s); strings.ContainsRune(".!?", last) {
		return s
	}
	return s + "."
}

// inside puts the first letter in lower case, for use inside a sentence, unless
// the word is an abbreviation or a mark: "PPE", "V-12", "O-ring".
func inside(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	if next, _ := utf8.DecodeRuneInString(s[n:]); !unicode.IsUpper(r) || !unicode.IsLower(next) && next != ' ' {
		return s
	}
	return string(unicode.ToLower(r)) + s[n:]
}

// sameText reports whether two texts read alike: case and outer space aside.
func sameText(a, b string) bool { return strings.EqualFold(strings.TrimSpace(a), strings.TrimSpace(b)) }

// sentenceHead puts the first letter in upper case.
func sentenceHead(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	return string(unicode.ToUpper(r)) + s[n:]
}
