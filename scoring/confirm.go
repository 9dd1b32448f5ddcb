package scoring

import (
	"errors"
	"fmt"

	"soloright/quiz"
)

// Confirm marks the confirming step of a sitting that is to confirm: it is
// passed when every item of the confirming form is all right, and failed
// otherwise. The form must hold two items or more on each critical fact that the
// sitting missed; that, and a sitting that has nothing to confirm, is an error.
// The outcome is that of the confirming form alone, with cut 100.
func Confirm(first Outcome, form *quiz.Form, answers map[int]quiz.Answer) (Outcome, error) {
	if first.Verdict != ToConfirm {
		return Outcome{}, fmt.Errorf("confirm: the sitting is %s, there is nothing to confirm", first.Verdict)
	}
	for _, miss := range first.Critical {
		on := 0
		for _, it := range form.Items {
			for _, t := range it.Facts {
				if t.Fact == miss.Fact {
					on++
				}
			}
		}
		if on < 2 {
			return Outcome{}, fmt.Errorf("confirm: the form has %d of the 2 items on %s", on, miss.Fact)
		}
	}
	out, err := allRight(form, answers)
	if err != nil {
		return Outcome{}, fmt.Errorf("confirm: %w", err)
	}
	return out, nil
}

// allRight marks a form on which every item must be all right.
func allRight(form *quiz.Form, answers map[int]quiz.Answer) (Outcome, error) {
	out, err := Sitting(form, answers)
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
	Sitting func(*quiz.Form, map[int]quiz.Answer) (Outcome, error)
	Confirm func(Outcome, *quiz.Form, map[int]quiz.Answer) (Outcome, error)
	Delta   func(*quiz.Form, map[int]quiz.Answer) (Outcome, error)
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
