package scoring

import (
	"fmt"
	"strings"

	"soloright/content"
	"soloright/content/bolting"
	"soloright/quiz"
)

func options(ids string) []quiz.Option {
	var out []quiz.Option
	for _, id := range strings.Fields(ids) {
		out = append(out, quiz.Option{ID: id, Text: id})
	}
	return out
}

// facts reads "lead a! b!!": ! is critical, !! critical and on isolation.
func facts(s string) []quiz.Tested {
	var out []quiz.Tested
	for _, f := range strings.Fields(s) {
		id := strings.TrimRight(f, "!")
		out = append(out, quiz.Tested{Fact: content.FactID(id), Critical: strings.Contains(f, "!"), Isolation: strings.HasSuffix(f, "!!"), Text: "fact " + id, Step: "step-" + id})
	}
	return out
}

// choiceItem has options a to d on the lead fact, a right, d dangerous.
func choiceItem(kind quiz.Kind, listed string) quiz.Item {
	fs := facts(listed)
	lead := fs[0].Fact
	return quiz.Item{
		ID: "choice", Lead: lead, Facts: fs, Interaction: quiz.Interaction{Kind: kind, Options: options("a b c d")},
		Key:      quiz.Key{Options: []quiz.KeyOption{{ID: "a", Right: true, Fact: lead}, {ID: "b", Fact: lead}, {ID: "c", Fact: lead}, {ID: "d", Fact: lead, Dangerous: true}}},
		Feedback: []quiz.Feedback{{Option: "b", Text: "b is the fastener next door."}, {Option: "d", Text: "d holds pressure."}},
	}
}

// multipleItem has three right options a, b, c on facts x, y, z and the wrong d
// and e on x, e dangerous.
func multipleItem(listed string) quiz.Item {
	return quiz.Item{
		ID: "multiple", Lead: "x", Facts: facts(listed), Interaction: quiz.Interaction{Kind: quiz.Multiple, Options: options("a b c d e")},
		Key: quiz.Key{Options: []quiz.KeyOption{{ID: "a", Right: true, Fact: "x"}, {ID: "b", Right: true, Fact: "y"}, {ID: "c", Right: true, Fact: "z"},
			{ID: "d", Fact: "x"}, {ID: "e", Fact: "x", Dangerous: true}}},
		Feedback: []quiz.Feedback{{Option: "e", Text: "e comes later."}},
	}
}

// matchItem is the bench: parts a to d, bins a renew, b inspect, c refit. Part a
// must be renewed and is dangerous in any other bin; part d may be renewed or
// inspected.
func matchItem(listed string) quiz.Item {
	return quiz.Item{
		ID: "match", Lead: "pa", Facts: facts(listed), Interaction: quiz.Interaction{Kind: quiz.Match, Rows: options("a b c d"), Bins: options("a b c")},
		Key: quiz.Key{Rows: []quiz.KeyRow{{Row: "a", Bin: "a", Fact: "pa", Dangerous: []string{"b", "c"}}, {Row: "b", Bin: "b", Fact: "pb"},
			{Row: "c", Bin: "c", Fact: "pc"}, {Row: "d", Bin: "b", Also: []string{"a"}, Fact: "pd"}}},
		Feedback: []quiz.Feedback{{Option: "a", Bin: "c", Text: "A hardened seal leaks."}, {Option: "c", Bin: "a", Text: "It could be refitted."}},
	}
}

// orderItem is on n options a, b …, with the pairs "ab bc" closed by hand, each
// pair belonging to the fact of its later letter: fb, fc …
func orderItem(n int, pairs, listed string, alike ...string) quiz.Item {
	it := quiz.Item{ID: "order", Facts: facts(listed), Interaction: quiz.Interaction{Kind: quiz.Order, Options: options("a b c d e f g h")[:n]}}
	it.Lead = it.Facts[0].Fact
	for _, p := range strings.Fields(pairs) {
		it.Key.Pairs = append(it.Key.Pairs, quiz.KeyPair{Before: p[:1], After: p[1:], Fact: content.FactID("f" + p[1:])})
		it.Feedback = append(it.Feedback, quiz.Feedback{Option: p[1:], Before: p[:1], Text: fmt.Sprintf("%s needs %s.", p[1:], p[:1])})
	}
	for _, set := range alike {
		it.Key.Alike = append(it.Key.Alike, strings.Split(set, ""))
	}
	return it
}

// sequenceItem is a crossing pattern on n fasteners.
func sequenceItem(n int, listed string) quiz.Item {
	it := quiz.Item{ID: "sequence", Facts: facts(listed), Interaction: quiz.Interaction{Kind: quiz.Sequence, Options: options("a b c d e f g h i j k l")[:n]}}
	it.Lead = it.Facts[0].Fact
	it.Key.Sequence = &quiz.KeySequence{Pattern: bolting.Pattern{Shape: bolting.Circle, Count: n}, Rule: bolting.Rule{Kind: bolting.Cross}}
	return it
}

// numberItem accepts 119 to 121 lbf·in; 135.6 is the factor turned round; option
// a is “not this wrench”.
func numberItem(listed string) quiz.Item {
	it := quiz.Item{ID: "number", Facts: facts(listed), Interaction: quiz.Interaction{Kind: quiz.Numeric, Options: options("a"), Unit: "lbf·in"}}
	it.Lead = it.Facts[0].Fact
	it.Key.Number = &quiz.KeyNumber{Exact: "120", Accept: []quiz.Interval{{Lo: "119", Hi: "121"}},
		Mistakes: []quiz.Mistake{{Interval: quiz.Interval{Lo: "1355/10", Hi: "1357/10"}, Because: "The factor is turned round."}}}
	it.Feedback = []quiz.Feedback{{Option: "a", Text: "The wrench reaches it."}}
	return it
}

func picks(ids string) quiz.Answer { return quiz.Answer{Options: strings.Fields(ids)} }

func rows(s string) quiz.Answer {
	a := quiz.Answer{Rows: map[string]string{}}
	for _, r := range strings.Fields(s) {
		a.Rows[r[:1]] = r[1:]
	}
	return a
}

func typed(s string) quiz.Answer { return quiz.Answer{Number: s} }
