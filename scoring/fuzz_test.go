package scoring

import (
	"encoding/json"
	"errors"
	"math/big"
	"testing"

	"soloright/quiz"
)

// everyItem is one item of each interaction.
func everyItem() []quiz.Item {
	return []quiz.Item{
		choiceItem(quiz.Choice, "x!"), choiceItem(quiz.Hotspot, "x!"), multipleItem("x! y z"), matchItem("pa! pb pc pd"),
		orderItem(4, "ab ac ad bc bd cd", "fb! fc fd", "bc"), withAllRight(orderItem(4, "ab ac ad bc bd cd", "fb!! fc fd")),
		sequenceItem(8, "s!"), numberItem("n!"), otherRight(numberItem("n!")), countItem("n"),
	}
}

// Whatever is sent as an answer is refused as unreadable or marked within 0 to 1;
// nothing panics, and what is read is marked.
func FuzzMark(f *testing.F) {
	for i := range everyItem() {
		for _, s := range []string{`{}`, `{"options":["a"]}`, `{"options":["a","c","b","d"]}`, `{"rows":{"a":"b"}}`, `{"number":"13,6 N·m"}`, `{"number":"1/0"}`,
			`{"options":["a"],"number":"3"}`, `{"rows":{"":""}}`, `{"number":"−0"}`} {
			if err := json.Unmarshal([]byte(s), new(quiz.Answer)); err != nil {
				f.Fatalf("seed %s is no answer: %v", s, err)
			}
			f.Add(i, []byte(s))
		}
	}
	items := everyItem()
	f.Fuzz(func(t *testing.T, i int, raw []byte) {
		var a quiz.Answer
		if i < 0 || json.Unmarshal(raw, &a) != nil {
			return // no answer: whoever reads it refuses it before it gets here
		}
		it := items[i%len(items)]
		err := quiz.CheckAnswer(it.Interaction, a)
		m, markErr := Mark(it, a)
		var ae *quiz.AnswerError
		if err != nil {
			if !errors.As(err, &ae) || !errors.As(markErr, &ae) {
				t.Fatalf("refused with %v, marked with %v", err, markErr)
			}
			return
		}
		if markErr != nil || m.Mark.Rat.Sign() < 0 || m.Mark.Rat.Cmp(big.NewRat(1, 1)) > 0 {
			t.Fatalf("readable and not marked: %v, %v", m.Mark, markErr)
		}
	})
}
