package scoring

import (
	"errors"
	"fmt"
	"slices"

	"soloright/quiz"
)

// Confirm marks the confirming step of a sitting that is to confirm: it is
// passed when every item of the confirming form is all right, and failed
// otherwise. The form must hold two items or more on each critical fact that the
// sitting missed; that, and a sitting that has nothing to confirm, is an error.
// The outcome is that of the confirming form alone, with cut 100.
//
// Sheets may be left out as in [Sitting]. What remains must be all right, and a fact
// of which no item remains is not confirmed: a pass never rests on nothing.
func Confirm(first Outcome, form *quiz.Form, answers map[int]quiz.Answer, left ...int) (Outcome, error) {
	if first.Verdict != ToConfirm {
		return Outcome{}, fmt.Errorf("confirm: the sitting is %s, there is nothing to confirm", first.Verdict)
	}
	confirmed := true
	for _, miss := range first.Critical {
		on, remain := 0, 0
		for i, it := range form.Items {
			if !slices.ContainsFunc(it.Facts, func(t quiz.Tested) bool { return t.Fact == miss.Fact }) {
				continue
			}
			if on++; !slices.Contains(left, i+1) {
				remain++
			}
		}
		if on < 2 {
			return Outcome{}, fmt.Errorf("confirm: the form has %d of the 2 items on %s", on, miss.Fact)
		}
		confirmed = confirmed && remain > 0
	}
	out, err := allRight(form, answers, left)
	if err != nil {
		return Outcome{}, fmt.Errorf("confirm: %w", err)
	}
	if !confirmed {
		out.Verdict = Failed
	}
	return out, nil
}

// allRight marks a form on which every item must be all right.
func allRight(form *quiz.Form, answers map[int]quiz.Answer, left []int) (Outcome, error) {
	out, err := Sitting(form, answers, left...)
	if err != nil {
		return Outcome{}, err
	}
	out.Cut, out.Verdict = 100, Failed
	if reaches(out.Total.Rat, out.Of, out.Cut) && len(out.Critical) == 0 {
		out.Verdict = Passed
	}
	return out, nil
}

// Rules are the marking rules of one version.
type Rules struct {
	Version int
	Mark    func(quiz.Item, quiz.Answer) (Marked, error)
	Sitting func(form *quiz.Form, answers map[int]quiz.Answer, left ...int) (Outcome, error)
	Confirm func(first Outcome, form *quiz.Form, answers map[int]quiz.Answer, left ...int) (Outcome, error)
	Delta   func(form *quiz.Form, answers map[int]quiz.Answer, left ...int) (Outcome, error)
}

// ErrUnknownRules reports a version of the marking rules that this program does
// not have.
var ErrUnknownRules = errors.New("unknown version of the marking rules")

// ByRules returns the rules of a version: what was marked by them once is marked
// by them again. Every version that was ever released stays. An unknown version
// is an [ErrUnknownRules].
func ByRules(version int) (Rules, error) {
	switch version {
	case 1:
		return Rules{Version: 1, Mark: Mark, Sitting: Sitting, Confirm: Confirm, Delta: Delta}, nil
	}
	return Rules{}, fmt.Errorf("%w: %d", ErrUnknownRules, version)
}
