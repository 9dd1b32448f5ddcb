package scoring

import (
	"encoding/json"
	"errors"
	"strings"
	"testing"

	"soloright/content"
	"soloright/quiz"

	"github.com/google/go-cmp/cmp"
)

// formOf makes a form of choice items, one for each word: the fact it tests, !
// critical, !! on isolation. Option a is right, d dangerous.
func formOf(cut content.Cut, listed string) *quiz.Form {
	f := &quiz.Form{Cut: cut, Minutes: 30}
	for _, w := range strings.Fields(listed) {
		f.Items = append(f.Items, choiceItem(quiz.Choice, w))
	}
	return f
}

// answersOf reads one letter for each sheet, - for blank.
func answersOf(s string) map[int]quiz.Answer {
	out := map[int]quiz.Answer{}
	for i, c := range strings.Split(s, "") {
		if c != "-" {
			out[i+1] = picks(c)
		}
	}
	return out
}

func TestSittingVerdict(t *testing.T) {
	ten := "a b c d e f g h i j"
	for _, c := range []struct {
		name, listed, answers string
		want                  Verdict
		percent               int
	}{
		{"all right", ten, "aaaaaaaaaa", Passed, 100},
		{"exactly the cut", ten, "aaaaaaaabb", Passed, 80},
		{"one below the cut", ten, "aaaaaaabbb", Failed, 70},
		{"blanks count as wrong", ten, "aaaaaaa---", Failed, 70},
		{"one critical missed", "a! b c d e f g h i j", "daaaaaaaaa", ToConfirm, 90},
		{"one critical answered wrongly, not dangerously", "a! b c d e f g h i j", "baaaaaaaaa", Passed, 90},
		{"one critical blank", "a! b c d e f g h i j", "-aaaaaaaaa", ToConfirm, 90},
		{"two critical missed", "a! b! c d e f g h i j", "ddaaaaaaaa", ToConfirm, 80},
		{"two critical missed, below the cut", "a! b! c d e f g h i j", "ddaaaaaaab", Failed, 70},
		{"three critical missed", "a! b! c! d e f g h i j k l m n o", "dddaaaaaaaaaaaa", Failed, 80},
		{"isolation missed", "a!! b c d e f g h i j", "daaaaaaaaa", Failed, 90},
		{"one fact missed twice is one fact", "a! a! b! d e f g h i j k l m n o", "dddaaaaaaaaaaaa", ToConfirm, 80},
	} {
		out, err := Sitting(formOf(80, c.listed), answersOf(c.answers))
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if out.Verdict != c.want || out.Percent != c.percent || out.Rules != RulesVersion || out.Of != len(c.answers) {
			t.Errorf("%s: %s at %d %% of %d, want %s at %d %%", c.name, out.Verdict, out.Percent, out.Of, c.want, c.percent)
		}
	}
}

// The total is exact and decides before any rounding: 2/3 + 2/3 + 2/3 is 2, which
// passes 3 items at a cut of 66 but not at 67, and is shown as 66 %.
func TestSittingIsExact(t *testing.T) {
	f := &quiz.Form{Items: []quiz.Item{multipleItem("x y z"), multipleItem("x y z"), multipleItem("x y z")}}
	answers := map[int]quiz.Answer{1: picks("a b"), 2: picks("b c"), 3: picks("a c")}
	for cut, want := range map[content.Cut]Verdict{66: Passed, 67: Failed} {
		f.Cut = cut
		out, err := Sitting(f, answers)
		if err != nil || out.Total.String() != "2" || out.Verdict != want || out.Percent != 66 {
			t.Errorf("cut %d: %s, %d %%, %s, %v", cut, out.Total, out.Percent, out.Verdict, err)
		}
	}
}

func TestSittingSaysWhatToLearnAgain(t *testing.T) {
	f := formOf(80, "a! b c b c!! b d d")
	f.Items[4].Facts = facts("c!! z")
	out, err := Sitting(f, answersOf("ab-bd---"))
	if err != nil {
		t.Fatal(err)
	}
	want := []Miss{
		{Fact: "b", Text: "fact b", Step: "step-b"}, // wrong twice, then blank: not blank
		{Fact: "c", Text: "fact c", Step: "step-c"}, // blank once, wrong once: not blank
		{Fact: "z", Text: "fact z", Step: "step-z"},
		{Fact: "d", Text: "fact d", Step: "step-d", Blank: true},
	}
	if diff := cmp.Diff(want, out.Again); diff != "" {
		t.Errorf("again (-want +got):\n%s", diff)
	}
	wantCritical := []Miss{{Fact: "c", Text: "fact c", Step: "step-c", Isolation: true}}
	if diff := cmp.Diff(wantCritical, out.Critical); diff != "" {
		t.Errorf("critical (-want +got):\n%s", diff)
	}
	blank, err := Sitting(formOf(80, "a! b"), nil)
	if err != nil || len(blank.Again) != 2 || !blank.Again[0].Blank || !blank.Critical[0].Blank || blank.Verdict != Failed {
		t.Errorf("nothing answered: %+v, %v", blank, err)
	}
}

func TestSittingRefuses(t *testing.T) {
	var ae *quiz.AnswerError
	if _, err := Sitting(formOf(80, "a b"), map[int]quiz.Answer{2: picks("z")}); !errors.As(err, &ae) || !strings.Contains(err.Error(), "sheet 2") {
		t.Errorf("unreadable answer: %v", err)
	}
	for _, n := range []int{0, 3, -1} {
		if _, err := Sitting(formOf(80, "a b"), map[int]quiz.Answer{n: picks("a")}); err == nil {
			t.Errorf("sheet %d of 2: no error", n)
		}
	}
	if _, err := Sitting(&quiz.Form{Cut: 80}, nil); err == nil {
		t.Error("a form without items: no error")
	}
}

func TestConfirm(t *testing.T) {
	first, err := Sitting(formOf(80, "a! b! c d e f g h i j"), answersOf("ddaaaaaaaa"))
	if err != nil {
		t.Fatal(err)
	}
	form := formOf(100, "a! a! b! b!")
	for answers, want := range map[string]Verdict{"aaaa": Passed, "aaab": Failed, "aaad": Failed, "aaa-": Failed, "----": Failed} {
		out, err := Confirm(first, form, answersOf(answers))
		if err != nil || out.Verdict != want || out.Cut != 100 {
			t.Errorf("%s: %s, %v, want %s", answers, out.Verdict, err, want)
		}
		if again, _ := Sitting(form, answersOf(answers)); again.Verdict != want {
			t.Errorf("%s: marked as a sitting of its own it is %s, want %s", answers, again.Verdict, want)
		}
	}
	if _, err := Confirm(first, formOf(100, "a! a! b! c"), answersOf("aaaa")); err == nil {
		t.Error("one item on b: no error")
	}
	passed, _ := Sitting(formOf(80, "a b"), answersOf("aa"))
	if _, err := Confirm(passed, form, answersOf("aaaa")); err == nil {
		t.Error("nothing to confirm: no error")
	}
}

func TestByRules(t *testing.T) {
	r, err := ByRules(RulesVersion)
	if err != nil || r.Version != RulesVersion {
		t.Fatalf("today's rules: %+v, %v", r.Version, err)
	}
	out, err := r.Sitting(formOf(80, "a b"), answersOf("aa"))
	if err != nil || out.Rules != RulesVersion || out.Verdict != Passed {
		t.Errorf("%+v, %v", out, err)
	}
	for _, v := range []int{0, -1, RulesVersion + 1} {
		if _, err := ByRules(v); !errors.Is(err, ErrUnknownRules) {
			t.Errorf("rules %d: %v", v, err)
		}
	}
}

// What was marked once comes out the same, to the byte, from the form and the
// answers as they are stored.
func TestMarkingSurvivesStorage(t *testing.T) {
	f := &quiz.Form{Cut: 80, Minutes: 20, Items: []quiz.Item{choiceItem(quiz.Choice, "x!"), multipleItem("x y z"), matchItem("pa! pb pc pd"),
		orderItem(4, "ab ac ad bc bd cd", "fb fc fd", "bc"), sequenceItem(8, "s"), numberItem("n")}}
	answers := map[int]quiz.Answer{1: picks("d"), 2: picks("a e"), 3: rows("aa bc"), 4: picks("b a c d"), 5: picks("a b c d e f g h"), 6: typed("135,6")}
	out, err := Sitting(f, answers)
	if err != nil {
		t.Fatal(err)
	}
	raw, _ := json.Marshal(f)
	var back quiz.Form
	if err := json.Unmarshal(raw, &back); err != nil {
		t.Fatal(err)
	}
	kept := map[int]quiz.Answer{}
	for n, a := range answers {
		var k quiz.Answer
		if err := json.Unmarshal(a.Canonical(), &k); err != nil {
			t.Fatal(err)
		}
		kept[n] = k
	}
	again, err := Sitting(&back, kept)
	if err != nil {
		t.Fatal(err)
	}
	was, _ := json.Marshal(out)
	is, _ := json.Marshal(again)
	if string(was) != string(is) {
		t.Errorf("marked again:\n%s\n%s", was, is)
	}
}
