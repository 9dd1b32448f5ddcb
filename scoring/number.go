package scoring

import (
	"errors"
	"fmt"
	"math/big"
	"strings"

	"soloright/content/torque"
	"soloright/quiz"
)

// numeric marks a number, or the option given in its place.
func (t *tally) numeric(a quiz.Answer) error {
	k := t.item.Key.Number
	if k == nil || len(k.Accept) == 0 && k.Other == "" {
		return errors.New("a numeric item needs accepted numbers or an option as its key")
	}
	right := false
	switch {
	case len(a.Options) > 0:
		right = a.Options[0] == k.Other
		if !right {
			t.say(a.Options[0], "", "")
		}
	case !t.blank:
		var err error
		if right, err = t.number(k, a.Number); err != nil {
			return err
		}
	}
	if right {
		t.set(1, 1)
		return nil
	}
	t.missWhole()
	return nil
}

// number reports whether the number is right, and tells which mistake it is.
func (t *tally) number(k *quiz.KeyNumber, typed string) (bool, error) {
	v, unit, err := torque.ParseNumber(typed)
	if err != nil {
		return false, fmt.Errorf("read number: %w", err)
	}
	if !inUnit(unit, t.item.Interaction.Unit) {
		t.tell(fmt.Sprintf("The answer is asked for in %s, not in %s.", printed(t.item.Interaction.Unit), unit))
		return false, nil
	}
	for _, i := range k.Accept {
		if ok, err := within(v, i); err != nil || ok {
			return ok, err
		}
	}
	for _, m := range k.Mistakes {
		ok, err := within(v, m.Interval)
		if err != nil {
			return false, err
		}
		if ok {
			t.tell(m.Because)
		}
	}
	return false, nil
}

// inUnit reports whether what was typed after the number is the unit printed
// beside the box. Nothing typed is. Beside a box without a unit words do no harm
// (“2 rings”), a unit of something else does.
func inUnit(typed, want string) bool {
	typed = strings.TrimSpace(typed)
	if typed == "" || typed == want {
		return true
	}
	u, err := torque.ParseUnit(typed)
	if want == "" {
		return err != nil || u.Dimension() == torque.Count
	}
	w, werr := torque.ParseUnit(want)
	return err == nil && werr == nil && u == w
}

func printed(unit string) string {
	if unit == "" {
		return "pieces"
	}
	return unit
}

// within reports whether v lies in the closed interval.
func within(v *big.Rat, i quiz.Interval) (bool, error) {
	lo, ok1 := new(big.Rat).SetString(i.Lo)
	hi, ok2 := lo, ok1
	if i.Hi != i.Lo {
		hi, ok2 = new(big.Rat).SetString(i.Hi)
	}
	if !ok1 || !ok2 {
		return false, fmt.Errorf("the key has an interval that is none: %q to %q", i.Lo, i.Hi)
	}
	return v.Cmp(lo) >= 0 && v.Cmp(hi) <= 0, nil
}
