package scoring

import (
	"encoding/json"
	"errors"
	"slices"
	"strings"
	"testing"

	"soloright/content"
	"soloright/quiz"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// A sitting with sheets left out has the outcome of the form that never had them.
func TestLeftOutIsNeverAsked(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 12).Draw(t, "sheets")
		form, without := &quiz.Form{}, &quiz.Form{}
		form.Cut = content.Cut(rapid.IntRange(1, 100).Draw(t, "cut"))
		without.Cut = form.Cut
		answers, rest := map[int]quiz.Answer{}, map[int]quiz.Answer{}
		var left []int
		for i := range n {
			listed := rapid.StringMatching(`[a-c]!{0,2}`).Draw(t, "fact")
			it := rapid.SampledFrom([]quiz.Item{choiceItem(quiz.Choice, listed), multipleItem("x! y z"), numberItem(listed)}).Draw(t, "item")
			a := quiz.Answer{}
			if rapid.Bool().Draw(t, "answered") && it.Interaction.Kind != quiz.Numeric {
				a = picks(rapid.SampledFrom([]string{"a", "b", "d"}).Draw(t, "picked"))
			}
			form.Items = append(form.Items, it)
			answers[i+1] = a
			if rapid.IntRange(0, 3).Draw(t, "left") == 0 {
				left = append(left, i+1)
				continue
			}
			without.Items = append(without.Items, it)
			rest[len(without.Items)] = a
		}
		got, err := Sitting(form, answers, left...)
		if len(left) == n {
			if !errors.Is(err, ErrNothingLeft) {
				t.Fatalf("nothing is left: %v", err)
			}
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		want, err := Sitting(without, rest)
		if err != nil {
			t.Fatal(err)
		}
		if !slices.Equal(got.LeftOut(), left) {
			t.Fatalf("left out %v, the outcome says %v", left, got.LeftOut())
		}
		got.Items = slices.DeleteFunc(got.Items, func(m Marked) bool { return m.Left })
		if diff := cmp.Diff(asJSON(t, want), asJSON(t, got)); diff != "" {
			t.Fatal(diff)
		}
	})
}

func asJSON(t rapid.TB, o Outcome) string {
	b, err := json.Marshal(o)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// Nothing left out is the sitting as it always was, to the byte.
func TestNothingLeftOut(t *testing.T) {
	form, answers := formOf(80, "a! b c d e"), answersOf("daaab")
	plain, err := Sitting(form, answers)
	if err != nil {
		t.Fatal(err)
	}
	if s := asJSON(t, plain); strings.Contains(s, "left") || plain.LeftOut() != nil {
		t.Error(s)
	}
}

func TestLeftOutSheetsExist(t *testing.T) {
	for _, sheet := range []int{0, 3, -1} {
		if _, err := Sitting(formOf(80, "a b"), answersOf("aa"), sheet); err == nil {
			t.Errorf("sheet %d of 2 was left out", sheet)
		}
	}
	out, err := Sitting(formOf(80, "a b"), answersOf("ab"), 2, 2)
	if err != nil || out.Of != 1 || out.Verdict != Passed {
		t.Errorf("left out twice: %d sheets, %s, %v", out.Of, out.Verdict, err)
	}
}

// A withdrawn item turns verdicts both ways: a critical miss on it goes, and so
// does a mark that was needed.
func TestLeftOutTurnsVerdicts(t *testing.T) {
	for _, c := range []struct {
		listed, answers string
		left            int
		was, is         Verdict
	}{
		{"a!! b c d e", "daaaa", 1, Failed, Passed},
		{"a! b c d e", "daaaa", 1, ToConfirm, Passed},
		{"a b c d e", "aaaab", 1, Passed, Failed},
	} {
		form, answers := formOf(80, c.listed), answersOf(c.answers)
		was, err := Sitting(form, answers)
		if err != nil {
			t.Fatal(err)
		}
		is, err := Sitting(form, answers, c.left)
		if err != nil {
			t.Fatal(err)
		}
		if was.Verdict != c.was || is.Verdict != c.is {
			t.Errorf("%s answered %s: %s, without sheet %d %s; want %s and %s", c.listed, c.answers, was.Verdict, c.left, is.Verdict, c.was, c.is)
		}
	}
}

// In the confirming step what remains must be right, and something must remain.
func TestLeftOutOfConfirming(t *testing.T) {
	first := Outcome{Verdict: ToConfirm, Critical: []Miss{{Fact: "a"}}}
	form := formOf(100, "a! a!")
	for _, c := range []struct {
		answers string
		left    []int
		want    Verdict
	}{
		{"aa", nil, Passed}, {"ab", nil, Failed}, {"ab", []int{2}, Passed}, {"ab", []int{1}, Failed},
	} {
		out, err := Confirm(first, form, answersOf(c.answers), c.left...)
		if err != nil || out.Verdict != c.want {
			t.Errorf("%s without %v: %s, %v; want %s", c.answers, c.left, out.Verdict, err, c.want)
		}
	}
	two := Outcome{Verdict: ToConfirm, Critical: []Miss{{Fact: "a"}, {Fact: "b"}}}
	out, err := Confirm(two, formOf(100, "a! a! b! b!"), answersOf("aaaa"), 3, 4)
	if err != nil || out.Verdict != Failed {
		t.Errorf("no item on b remains: %s, %v", out.Verdict, err)
	}
}

// In a delta sitting likewise: what remains must be right, on every fact.
func TestLeftOutOfDelta(t *testing.T) {
	form := deltaOf("a a a b b b", "a", "b")
	for _, c := range []struct {
		answers string
		left    []int
		want    Verdict
	}{
		{"aaaaaa", nil, Passed}, {"aabaaa", nil, Failed}, {"aabaaa", []int{3}, Passed}, {"aaaaaa", []int{4, 5, 6}, Failed},
	} {
		out, err := Delta(form, answersOf(c.answers), c.left...)
		if err != nil || out.Verdict != c.want {
			t.Errorf("%s without %v: %s, %v; want %s", c.answers, c.left, out.Verdict, err, c.want)
		}
	}
}
