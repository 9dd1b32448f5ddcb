package scoring

import (
	"testing"

	"soloright/quiz"
)

// A sitting of 40 items, every interaction four times, answered in part wrongly.
func BenchmarkSitting40(b *testing.B) {
	form, answers := &quiz.Form{Cut: 80}, map[int]quiz.Answer{}
	for range 4 {
		for _, x := range []struct {
			it quiz.Item
			a  quiz.Answer
		}{
			{choiceItem(quiz.Choice, "x!"), picks("a")}, {choiceItem(quiz.Choice, "x!"), picks("d")}, {choiceItem(quiz.Hotspot, "x"), picks("b")},
			{multipleItem("x y z"), picks("a b e")}, {matchItem("pa! pb pc pd"), rows("aa bb cc db")},
			{orderItem(6, "ab ac ad ae af bc bd be bf cd ce cf de df ef", "fb fc fd fe ff"), picks("b a c d f e")},
			{orderItem(6, "ab ac ad ae af bc bd be bf cd ce cf de df ef", "fb fc fd fe ff", "cd"), picks("a b d c e f")},
			{sequenceItem(8, "s"), picks("a e c g b f d h")}, {numberItem("n"), typed("120")}, {numberItem("n"), typed("135,6 lbf·in")},
		} {
			form.Items = append(form.Items, x.it)
			answers[len(form.Items)] = x.a
		}
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Sitting(form, answers); err != nil {
			b.Fatal(err)
		}
	}
}
