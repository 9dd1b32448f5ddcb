package scoring

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"soloright/content/bolting"
	"soloright/quiz"
)

// brief writes a marked item as "mark | states | critical | feedback", with r, w
// and b for the states of the facts in order.
func brief(m Marked) string {
	var states strings.Builder
	for _, f := range m.Facts {
		states.WriteString(string(f.State)[:1])
	}
	var crit []string
	for _, c := range m.Critical {
		crit = append(crit, string(c))
	}
	return fmt.Sprintf("%s | %s | %s | %s", m.Mark, states.String(), strings.Join(crit, " "), strings.Join(m.Feedback, " "))
}

// The table of marking, row by row, with what counts as a critical miss.
func TestMark(t *testing.T) {
	chain := "ab ac ad bc bd cd" // a<b<c<d
	for _, c := range []struct {
		name string
		it   quiz.Item
		a    quiz.Answer
		want string
	}{
		{"choice, right", choiceItem(quiz.Choice, "x! y"), picks("a"), "1 | rr |  | "},
		{"choice, wrong", choiceItem(quiz.Choice, "x! y"), picks("b"), "0 | ww |  | b is the fastener next door."},
		{"choice, dangerous on a critical fact", choiceItem(quiz.Choice, "x! y"), picks("d"), "0 | ww | x | d holds pressure."},
		{"choice, dangerous on another", choiceItem(quiz.Choice, "x y!"), picks("d"), "0 | ww |  | d holds pressure."},
		{"choice, blank", choiceItem(quiz.Choice, "x! y!"), picks(""), "0 | bb | x y | "},
		{"hotspot, right", choiceItem(quiz.Hotspot, "x!"), picks("a"), "1 | r |  | "},
		{"hotspot, wrong", choiceItem(quiz.Hotspot, "x!"), picks("c"), "0 | w |  | "},

		{"multiple, all", multipleItem("x y z"), picks("c a b"), "1 | rrr |  | "},
		{"multiple, two of three", multipleItem("x y! z"), picks("a b"), "2/3 | rrw |  | "},
		{"multiple, a right tick of a critical fact left out", multipleItem("x y! z"), picks("a c"), "2/3 | rwr | y | "},
		{"multiple, one wrong tick", multipleItem("x! y z"), picks("a b c d"), "2/3 | wrr |  | "},
		{"multiple, dangerous tick", multipleItem("x! y z"), picks("a b c e"), "2/3 | wrr | x | e comes later."},
		{"multiple, everything", multipleItem("x y z"), picks("a b c d e"), "1/3 | wrr |  | e comes later."},
		{"multiple, more wrong than right", multipleItem("x y z"), picks("b d e"), "0 | wrw |  | e comes later."},
		{"multiple, blank", multipleItem("x! y z!"), picks(""), "0 | bbb | x z | "},

		{"match, all", matchItem("pa! pb pc pd"), rows("aa bb cc db"), "1 | rrrr |  | "},
		{"match, a further right bin", matchItem("pa! pb pc pd"), rows("aa bb cc da"), "1 | rrrr |  | "},
		{"match, three of four", matchItem("pa! pb pc pd"), rows("aa bc cc db"), "5/8 | rwrr |  | "},
		{"match, refitting what must be renewed", matchItem("pa! pb pc pd"), rows("ac bb cc db"), "5/8 | wrrr | pa | A hardened seal leaks."},
		{"match, the same where not critical", matchItem("pa pb pc pd"), rows("ac bb cc db"), "5/8 | wrrr |  | A hardened seal leaks."},
		{"match, renewing what could be refitted", matchItem("pa! pb pc! pd"), rows("aa bb ca db"), "5/8 | rrwr |  | It could be refitted."},
		{"match, two of four", matchItem("pa! pb pc pd"), rows("aa bb ca dc"), "1/4 | rrww |  | It could be refitted."},
		{"match, chance is worth nothing", matchItem("pa! pb pc pd"), rows("aa bc ca dc"), "0 | rwww |  | It could be refitted."},
		{"match, an empty row of a critical fact", matchItem("pa! pb pc pd"), rows("bb cc db"), "5/8 | brrr | pa | "},
		{"match, blank", matchItem("pa! pb pc pd"), quiz.Answer{}, "0 | bbbb | pa | "},

		{"order, right", orderItem(4, chain, "fb fc fd"), picks("a b c d"), "1 | rrr |  | "},
		{"order, one of six violated", orderItem(4, chain, "fb fc fd"), picks("b a c d"), "2/3 | wrr |  | b needs a."},
		{"order, two of six violated", orderItem(4, chain, "fb fc fd"), picks("a c d b"), "1/3 | rww |  | c needs b. d needs b."},
		{"order, half violated", orderItem(4, chain, "fb fc fd"), picks("d a b c"), "0 | rrw |  | d needs a. d needs b. d needs c."},
		{"order, a critical pair violated", orderItem(4, chain, "fb fc! fd"), picks("a c b d"), "0 | rwr | fc | c needs b."},
		{"order, placed in part", orderItem(4, chain, "fb fc fd!"), picks("a b c"), "0 | rrb | fd | "},
		{"order, placed in part, nothing critical", orderItem(5, chain+" ae be ce de", "fb fc fd fe"), picks("a b c d"), "1/5 | rrrb |  | "},
		{"order, blank", orderItem(4, chain, "fb! fc fd"), picks(""), "0 | bbb | fb | "},
		{"order, parallel branches either way", orderItem(4, "ab ac bd cd ad", "fb fc fd"), picks("a c b d"), "1 | rrr |  | "},
		{"order, identical parts exchanged", orderItem(4, chain, "fb fc fd", "bc"), picks("a c b d"), "1 | rrr |  | "},
		{"order, identical parts, the best reading", orderItem(4, chain, "fb fc fd", "bc"), picks("c a b d"), "2/3 | wrr |  | b needs a."},
		{"isolation, right", withAllRight(orderItem(4, chain, "fb!! fc!! fd!!")), picks("a b c d"), "1 | rrr |  | "},
		{"isolation, one pair", withAllRight(orderItem(4, chain, "fb!! fc!! fd!!")), picks("b a c d"), "0 | wrr | fb | b needs a."},
		{"isolation, not all placed", withAllRight(orderItem(4, chain, "fb!! fc!! fd!!")), picks("a b c"), "0 | rrb | fd | "},
		{"isolation, blank", withAllRight(orderItem(4, chain, "fb!! fc!! fd!!")), picks(""), "0 | bbb | fb fc fd | "},
		{"all or nothing misses the lead at least", withAllRight(orderItem(4, chain, "fb fc fd")), picks("a b d c"), "0 | wrw | fb | d needs c."},
		{"an option without a pair must be placed too", withAllRight(orderItem(5, chain, "fb!! fc!! fd!!")), picks("a b c d"), "0 | brr | fb | "},

		{"sequence, right", sequenceItem(4, "s!"), picks("a c b d"), "1 | r |  | "},
		{"sequence, turned", sequenceItem(4, "s!"), picks("b d a c"), "1 | r |  | "},
		{"sequence, round the circle", sequenceItem(4, "s!"), picks("a b c d"),
			"0 | w | s | b after a: the second of a pair stands opposite the first."},
		{"sequence, in part and so far right", sequenceItem(4, "s!"), picks("a c b"), "0 | b | s | Not every fastener is in the sequence."},
		{"sequence, in part and wrong", sequenceItem(4, "s"), picks("a b"),
			"0 | w |  | b after a: the second of a pair stands opposite the first."},
		{"sequence, blank", sequenceItem(4, "s!"), picks(""), "0 | b | s | "},

		{"number, inside", numberItem("n!"), typed("120"), "1 | r |  | "},
		{"number, the lower end", numberItem("n!"), typed("119"), "1 | r |  | "},
		{"number, the upper end, comma", numberItem("n!"), typed("121,0"), "1 | r |  | "},
		{"number, just outside", numberItem("n!"), typed("121.0001"), "0 | w | n | "},
		{"number, not critical", numberItem("n"), typed("118.9"), "0 | w |  | "},
		{"number, a known mistake", numberItem("n"), typed("135.6"), "0 | w |  | The factor is turned round."},
		{"number, the unit typed too", numberItem("n"), typed("120 lbf·in"), "1 | r |  | "},
		{"number, the unit spelled otherwise", numberItem("n"), typed("120 lbf.in"), "1 | r |  | "},
		{"number, a wrong unit", numberItem("n"), typed("120 N·m"), "0 | w |  | The answer is asked for in lbf·in, not in N·m."},
		{"number, a wrong unit, though the torque is right", numberItem("n"), typed("10 lbf·ft"), "0 | w |  | The answer is asked for in lbf·in, not in lbf·ft."},
		{"number, no unit at all", numberItem("n"), typed("120 parrots"), "0 | w |  | The answer is asked for in lbf·in, not in parrots."},
		{"number, the option", numberItem("n"), picks("a"), "0 | w |  | The wrench reaches it."},
		{"number, blank", numberItem("n!"), quiz.Answer{}, "0 | b | n | "},
		{"not this wrench, right", otherRight(numberItem("n!")), picks("a"), "1 | r |  | "},
		{"not this wrench, a number", otherRight(numberItem("n!")), typed("120"), "0 | w | n | "},
		{"count with a word", countItem("n"), typed("4 rings"), "1 | r |  | "},
		{"count in millimetres", countItem("n"), typed("4 mm"), "0 | w |  | The answer is asked for in pieces, not in mm."},
	} {
		m, err := Mark(c.it, c.a)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if got := brief(m); got != c.want {
			t.Errorf("%s:\n got %s\nwant %s", c.name, got, c.want)
		}
		if m.Blank != c.a.Blank() || m.Item != c.it.ID {
			t.Errorf("%s: blank %v, item %q", c.name, m.Blank, m.Item)
		}
	}
}

func withAllRight(it quiz.Item) quiz.Item {
	it.Key.AllRight = true
	return it
}

func otherRight(it quiz.Item) quiz.Item {
	it.Key.Number = &quiz.KeyNumber{Exact: "120", Other: "a"}
	return it
}

func countItem(listed string) quiz.Item {
	it := numberItem(listed)
	it.Interaction.Unit = ""
	it.Key.Number = &quiz.KeyNumber{Exact: "4", Accept: []quiz.Interval{{Lo: "4", Hi: "4"}}}
	return it
}

// The feedback on a sequence names fasteners as the drawing does, whatever the
// clause that is broken.
func TestSequenceFeedback(t *testing.T) {
	lettered := func(n int, p bolting.Pattern, r bolting.Rule) quiz.Item {
		it := sequenceItem(n, "s")
		p.Count = n
		it.Key.Sequence = &quiz.KeySequence{Pattern: p, Rule: r}
		for i := range it.Interaction.Options {
			it.Interaction.Options[i].Text = strings.ToUpper(it.Interaction.Options[i].ID)
		}
		return it
	}
	circle, cross := bolting.Pattern{Shape: bolting.Circle}, bolting.Rule{Kind: bolting.Cross}
	for _, c := range []struct {
		it          quiz.Item
		given, want string
	}{
		{lettered(8, circle, cross), "a e b f c g d h", "B after E: the second pair of a four stands a quarter turn from the first."},
		{lettered(6, circle, cross), "a d e b c f", "E after D: no fastener directly follows its neighbour."},
		{lettered(12, circle, cross), "a g d j b h e k c i f l", "1"},
		{lettered(5, circle, cross), "a b c d e", "B after A: on an odd circle the next one stands almost opposite, one of the two nearest to it."},
		{lettered(4, circle, bolting.Rule{Kind: bolting.Circular}), "a c b d", "C after A: round the circle the next one is the neighbour, always the same way."},
		{lettered(4, bolting.Pattern{Shape: bolting.Circle, StartAt: 1}, cross), "b d a c", "B first: the sequence starts at the marked fastener."},
		{lettered(6, circle, bolting.Rule{Kind: bolting.Pinned, Means: bolting.OrderOfPlaces, Pinned: []int{1, 4, 2, 5, 3, 6}}), "a d f c e b", "1"},
		{lettered(6, circle, bolting.Rule{Kind: bolting.Pinned, Means: bolting.OrderOfPlaces, Pinned: []int{1, 4, 2, 5, 3, 6}}), "a d f c b e", "B after C: here the sequence of the procedure goes to another one."},
	} {
		m, err := Mark(c.it, picks(c.given))
		if err != nil {
			t.Fatal(err)
		}
		got := strings.Join(m.Feedback, " ")
		if m.Mark.String() == "1" {
			got = "1"
		}
		if got != c.want {
			t.Errorf("%s: %s, want %s", c.given, got, c.want)
		}
	}
}

// One fixed facing chosen for a reversible part is wrong but never critical: its
// options are not marked as dangerous, whatever the fact is.
func TestFixedFacingOfAReversiblePart(t *testing.T) {
	it := choiceItem(quiz.Choice, "facing!")
	for i := range it.Key.Options {
		it.Key.Options[i].Dangerous = false
	}
	for _, id := range []string{"b", "c", "d"} {
		m, err := Mark(it, picks(id))
		if err != nil || m.Mark.Rat.Sign() != 0 || len(m.Critical) > 0 {
			t.Errorf("%s: %s, %v", id, brief(m), err)
		}
	}
}

func TestMarkRefusesWhatCannotBeRead(t *testing.T) {
	var ae *quiz.AnswerError
	if _, err := Mark(choiceItem(quiz.Choice, "x"), picks("z")); !errors.As(err, &ae) {
		t.Errorf("unknown option: %v", err)
	}
	if _, err := Mark(numberItem("n"), typed("thirteen")); !errors.As(err, &ae) {
		t.Errorf("no number: %v", err)
	}
}

// A broken key is an error and never a mark.
func TestMarkReportsBrokenKeys(t *testing.T) {
	unlisted := choiceItem(quiz.Choice, "x")
	unlisted.Facts = facts("y")
	keyless := choiceItem(quiz.Choice, "x")
	keyless.Key = quiz.Key{}
	noRight := choiceItem(quiz.Multiple, "x")
	noRight.Key.Options = []quiz.KeyOption{{ID: "a", Fact: "x"}, {ID: "b", Fact: "x"}, {ID: "c", Fact: "x"}, {ID: "d", Fact: "x"}}
	oneBin := matchItem("pa pb pc pd")
	oneBin.Interaction.Bins = oneBin.Interaction.Bins[:1]
	noPairs := orderItem(4, "", "fb")
	stray := orderItem(2, "ab ac", "fb fc")
	noRule := sequenceItem(4, "s")
	noRule.Key.Sequence = nil
	noNumber := numberItem("n")
	noNumber.Key.Number = nil
	noInterval := numberItem("n")
	noInterval.Key.Number = &quiz.KeyNumber{Accept: []quiz.Interval{{Lo: "wide", Hi: "1"}}}
	for name, c := range map[string]struct {
		it quiz.Item
		a  quiz.Answer
	}{
		"a fact that is not listed": {unlisted, picks("a")}, "no key": {keyless, picks("a")}, "nothing right": {noRight, picks("a")},
		"one bin": {oneBin, rows("aa")}, "no pairs": {noPairs, picks("a")}, "a pair of what is not shown": {stray, picks("a b")},
		"no rule": {noRule, picks("a")}, "no number": {noNumber, typed("1")}, "no interval": {noInterval, typed("1")},
	} {
		var ae *quiz.AnswerError
		if m, err := Mark(c.it, c.a); err == nil || errors.As(err, &ae) {
			t.Errorf("%s: %s, %v", name, brief(m), err)
		}
	}
}
