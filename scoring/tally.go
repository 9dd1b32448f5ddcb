package scoring

import (
	"fmt"
	"math/big"
	"slices"

	"soloright/content"
	"soloright/quiz"
)

// tally gathers what an answer says of an item's facts.
type tally struct {
	item     *quiz.Item
	blank    bool
	parts    []part // by place in Item.Facts
	num, den int64  // the mark
	whole    State  // of facts without a part; "" where it follows from mark and blank
	feedback []string
}

// part is what the parts of the answer that belong to one fact come to.
type part struct{ seen, wrong, blank, missed bool }

func newTally(it *quiz.Item, a quiz.Answer) *tally {
	return &tally{item: it, blank: a.Blank(), parts: make([]part, len(it.Facts)), den: 1}
}

// of returns the place of a fact among those listed.
func (t *tally) of(f content.FactID) (int, error) {
	for i := range t.item.Facts {
		if t.item.Facts[i].Fact == f {
			return i, nil
		}
	}
	return 0, fmt.Errorf("the key names fact %q, which the item does not list", f)
}

// note takes in one part of the answer that belongs to the fact; missed tells
// that, where the fact is critical, it is a critical miss.
func (t *tally) note(f content.FactID, s State, missed bool) error {
	i, err := t.of(f)
	if err != nil {
		return err
	}
	p := &t.parts[i]
	p.seen = true
	p.wrong = p.wrong || s == Wrong
	p.blank = p.blank || s == Blank
	p.missed = p.missed || missed && t.item.Facts[i].Critical
	return nil
}

// set sets the mark to num/den, at least 0.
func (t *tally) set(num, den int64) { t.num, t.den = max(0, num), den }

func (t *tally) full() bool { return t.num == t.den }

// missWhole counts every critical fact without a part as missed.
func (t *tally) missWhole() {
	for i := range t.parts {
		if !t.parts[i].seen && t.item.Facts[i].Critical {
			t.parts[i].missed = true
		}
	}
}

// say adds the feedback that is filed under option, bin and before.
func (t *tally) say(option, bin, before string) {
	for i := range t.item.Feedback {
		f := &t.item.Feedback[i]
		if f.Option == option && f.Bin == bin && f.Before == before {
			t.tell(f.Text)
		}
	}
}

// tell adds a sentence, once.
func (t *tally) tell(text string) {
	if text != "" && !slices.Contains(t.feedback, text) {
		t.feedback = append(t.feedback, text)
	}
}

func (t *tally) marked() Marked {
	m := Marked{Item: t.item.ID, Mark: quiz.Fraction{Rat: t.mark()}, Blank: t.blank, Feedback: t.feedback}
	m.Facts = make([]FactMark, len(t.parts))
	for i, p := range t.parts {
		f := &t.item.Facts[i]
		m.Facts[i] = FactMark{Fact: f.Fact, State: t.state(p)}
		if p.missed || t.blank && f.Critical {
			m.Critical = append(m.Critical, f.Fact)
		}
	}
	return m
}

// mark returns the mark; whole marks are the most of them and need no reducing.
func (t *tally) mark() *big.Rat {
	if t.num == 0 || t.full() {
		return new(big.Rat).SetInt64(t.num / t.den)
	}
	return big.NewRat(t.num, t.den)
}

func (t *tally) state(p part) State {
	switch {
	case t.blank:
		return Blank
	case p.wrong:
		return Wrong
	case p.blank:
		return Blank
	case p.seen || t.full():
		return Right
	case t.whole != "":
		return t.whole
	}
	return Wrong
}
