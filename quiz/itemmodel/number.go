package itemmodel

import (
	"math/big"

	"soloright/quiz"
)

// notThisWrench is the answer where no number on the wrench's scale is right.
const notThisWrench = "not this wrench"

// numberKey collects the right numbers of a numeric item and the wrong ones that
// people arrive at. No mistake touches a right number or another mistake.
type numberKey struct {
	exact *big.Rat
	right [][2]*big.Rat
	wrong [][2]*big.Rat
	why   []string
}

func (k *numberKey) accept(lo, hi *big.Rat) { k.right = append(k.right, [2]*big.Rat{lo, hi}) }

// mistake adds the numbers within w of v as a mistake. Where they would touch what
// is there already it tries a quarter of the width, then v alone, else drops it.
func (k *numberKey) mistake(v, w *big.Rat, because string) {
	for range 2 {
		if k.span(sub(v, w), add(v, w), because) {
			return
		}
		w = quo(w, big.NewRat(4, 1))
	}
	k.span(v, v, because)
}

// span adds all numbers from lo to hi as a mistake and reports whether it could.
func (k *numberKey) span(lo, hi *big.Rat, because string) bool {
	if k.touches(lo, hi) {
		return false
	}
	k.wrong, k.why = append(k.wrong, [2]*big.Rat{lo, hi}), append(k.why, because)
	return true
}

func (k *numberKey) touches(lo, hi *big.Rat) bool {
	for _, set := range [2][][2]*big.Rat{k.right, k.wrong} {
		for _, s := range set {
			if lo.Cmp(s[1]) <= 0 && s[0].Cmp(hi) <= 0 {
				return true
			}
		}
	}
	return false
}

// key writes the collected numbers down. With other set that option is the key
// and no number is right.
func (k *numberKey) key(other string) *quiz.KeyNumber {
	out := &quiz.KeyNumber{Exact: k.exact.RatString(), Other: other}
	if other == "" {
		for _, s := range k.right {
			out.Accept = append(out.Accept, quiz.Interval{Lo: s[0].RatString(), Hi: s[1].RatString()})
		}
	}
	for i, s := range k.wrong {
		out.Mistakes = append(out.Mistakes, quiz.Mistake{Interval: quiz.Interval{Lo: s[0].RatString(), Hi: s[1].RatString()}, Because: k.why[i]})
	}
	return out
}
