package itemmodel

import (
	"fmt"
	"math/big"

	"soloright/content"
	"soloright/quiz"
)

// The oracles of the models on joints, settings, inspections, tests and faults. They
// read the raw procedure and the texts of the item, and share no code with the models.

func init() {
	for name, o := range map[string]func(failer, *content.Procedure, quiz.Item) truth{
		"set-the-wrench": truthOfSetting, "load-steps": truthOfLoadStep, "wrench-with-an-adapter": truthOfAdapter,
		"bring-the-holes-round": truthOfHoles, "work-out-the-measurement": truthOfWorkOut,
		"accept-the-reading": truthOfReading, "inspect-and-decide": truthOfInspection, "pass-the-test": truthOfTest,
		"normal-or-fault": truthOfObservation, "symptom-to-cause": truthOfCause, "thread-state": truthOfThread,
		"check-pass": truthOfCheckPass, "tighten-again": truthOfAgain, "clean-with": truthOfClean, "tight-enough": truthOfTight,
		"tighten-the-joint": truthOfTightening, "which-fastener-where": truthOfLengths, "which-fastener-next": truthOfNext,
	} {
		oracles[name] = failing(o)
	}
}

// failing makes an oracle of a function that fails as a test does.
func failing(o func(failer, *content.Procedure, quiz.Item) truth) oracle {
	return func(p *content.Procedure, it quiz.Item) (tr truth, err error) {
		defer func() {
			if r := recover(); r != nil {
				err = fmt.Errorf("%v", r)
			}
		}()
		return o(thrower{}, p, it), nil
	}
}

// thrower fails by panicking; failing turns that into an error.
type thrower struct{}

func (thrower) Helper() {}

func (thrower) Fatalf(format string, args ...any) { panic(fmt.Sprintf(format, args...)) }

func rawJoint(p *content.Procedure, it quiz.Item) *content.Joint {
	return find(p.Joints, func(e *content.Joint) bool { return e.ID == ends(it)[1] })
}

func rawSetting(p *content.Procedure, it quiz.Item) *content.Setting {
	return find(p.Settings, func(e *content.Setting) bool { return e.ID == ends(it)[1] })
}

// truthOfNumbers is the truth of a numeric item: the closed intervals that are right;
// where there is none the one option is.
func truthOfNumbers(t failer, set [][2]*big.Rat) truth {
	return truth{
		right: map[string]bool{"a": len(set) == 0},
		accept: func(typed string) bool {
			v := ratOf(t, typed)
			for _, in := range set {
				if v.Cmp(in[0]) >= 0 && v.Cmp(in[1]) <= 0 {
					return true
				}
			}
			return false
		},
	}
}

func truthOfNumber(t failer, v *big.Rat) truth { return truthOfNumbers(t, [][2]*big.Rat{{v, v}}) }

func truthOfSetting(t failer, p *content.Procedure, it quiz.Item) truth {
	o := scaleOf(t, it.Stem)
	return truthOfNumbers(t, o.right(oracleShare(t, rawJoint(p, it), o.unit, big.NewRat(1, 1))))
}

func truthOfLoadStep(t failer, p *content.Procedure, it quiz.Item) truth {
	j := rawJoint(p, it)
	percent := int64(j.LoadSteps[askedStep(t, j, it.Stem)])
	if it.Interaction.Unit == "%" {
		return truthOfNumber(t, big.NewRat(percent, 1))
	}
	o := scaleOf(t, it.Stem)
	return truthOfNumbers(t, o.right(oracleShare(t, j, o.unit, big.NewRat(percent, 100))))
}

func truthOfAdapter(t failer, p *content.Procedure, it quiz.Item) truth {
	return truthOfNumbers(t, scaleOf(t, it.Stem).right(oracleAdapter(t, rawJoint(p, it), it.Stem)))
}

func truthOfHoles(t failer, p *content.Procedure, it quiz.Item) truth {
	j := rawJoint(p, it)
	if it.Interaction.Kind != quiz.Numeric {
		want, _ := oracleHeld(t, j, it.Stem)
		return truthOfText(it, want)
	}
	on, _ := oracleTurn(t, j.Align, it.Stem)
	if on.Cmp(oracleAngle(t, j.Align.MaxAngle.Text())) > 0 {
		return truthOfNumbers(t, nil)
	}
	return truthOfNumber(t, on)
}

// truthOfText is the truth of a choice in which the option of that text is right.
func truthOfText(it quiz.Item, want string) truth {
	tr := truth{right: map[string]bool{}}
	for _, o := range it.Interaction.Options {
		tr.right[o.ID] = o.Text == want
	}
	return tr
}

// oracleAngle reads an angle in degrees or turns.
func oracleAngle(t failer, text string) *big.Rat {
	var number, unit string
	if n, err := fmt.Sscanf(text, "%s %s", &number, &unit); err != nil || n != 2 {
		t.Fatalf("%q is no angle", text)
	}
	v := ratOf(t, number)
	if unit == "turn" {
		v.Mul(v, big.NewRat(360, 1))
	}
	return v
}

func truthOfWorkOut(t failer, p *content.Procedure, it quiz.Item) truth {
	s := rawSetting(p, it)
	return truthOfNumber(t, oracleWorkOut(string(s.WorkOut), shownReadings(t, s, it.Stem)))
}
