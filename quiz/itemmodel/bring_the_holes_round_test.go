package itemmodel

import (
	"fmt"
	"math/big"
	"regexp"
	"slices"
	"strings"
	"testing"

	"soloright/content"
	"soloright/quiz"
)

var holeWords = regexp.MustCompile(`The thread is (\S+)-hand\. .* are ([0-9.]+)° away clockwise and ([0-9.]+)° away anticlockwise`)

// oracleTurn reads from the stem how far the next hole is in the tightening direction
// and how far the last one back; back is nil where a hole lines up already.
func oracleTurn(t failer, a *content.Align, stem string) (on, back *big.Rat) {
	t.Helper()
	m := holeWords.FindStringSubmatch(stem)
	if m == nil {
		if !strings.Contains(stem, "the holes line up") {
			t.Fatalf("where are the holes? %s", stem)
		}
		return new(big.Rat), nil
	}
	on, back = ratOf(t, m[2]), ratOf(t, m[3]) // a right-hand thread tightens clockwise
	if a.Hand == "left" {
		on, back = back, on
	}
	sum := new(big.Rat).Add(on, back)
	if m[1] != a.Hand || sum.RatString() != strings.Fields(a.Every.Text())[0] {
		t.Fatalf("the thread is %s-hand, the holes are %s apart: %s", a.Hand, a.Every.Text(), stem)
	}
	return on, back
}

// The oracle of alignment (measurement laws): turn on in the tightening direction to
// the next aligned angle, 0 where already aligned; past the maximum slacken fully and
// start again; never back.
func TestBringTheHolesRoundByAngle(t *testing.T) {
	src := fixture(t)
	again, aligned, n := 0, 0, 0
	eachItem(t, bringTheHolesRound, src, scaled(400), func(lead content.Fact, it quiz.Item) {
		a := src.Index.Joint(lead.Subject).Align
		if a.MaxAngle == nil {
			return
		}
		n++
		on, back := oracleTurn(t, a, it.Stem)
		if back == nil {
			aligned++
		}
		key := it.Key.Number
		if it.Interaction.Options[0].Text != "slacken fully and start again" {
			t.Errorf("starting again is not offered: %v", it.Interaction.Options)
		}
		if on.Cmp(ratOf(t, strings.Fields(a.MaxAngle.Text())[0])) > 0 {
			again++
			if key.Other == "" || len(key.Accept) != 0 {
				t.Errorf("%s° passes the maximum, but the key is %v: %s", on.RatString(), key.Accept, it.Stem)
			}
		} else if key.Other != "" || len(key.Accept) != 1 || key.Accept[0].Lo != on.RatString() || key.Accept[0].Hi != on.RatString() {
			t.Errorf("accepts %v, want %s: %s", key.Accept, on.RatString(), it.Stem)
		}
		if back != nil && back.Cmp(on) != 0 && !slices.ContainsFunc(key.Mistakes, func(m quiz.Mistake) bool {
			return m.Interval.Lo == back.RatString() && strings.Contains(m.Because, "Never back off")
		}) {
			t.Errorf("backing off %s° is not foreseen as a mistake: %s", back.RatString(), it.Stem)
		}
		checkMistakes(t, it)
	})
	if again*6 < n || again*2 > n || aligned == 0 {
		t.Errorf("of %d items %d start again and %d are aligned already", n, again, aligned)
	}
}

var shownTorque = regexp.MustCompile(`the wrench shows ([0-9.]+) (\S+)\. What`)

// oracleHeld says what is done at the torque that the stem reads off, and how that
// lies to the maximum.
func oracleHeld(t failer, j *content.Joint, stem string) (want string, c int) {
	t.Helper()
	m := shownTorque.FindStringSubmatch(stem)
	if m == nil {
		t.Fatalf("no reading: %s", stem)
	}
	reading := oracleIn(t, m[1]+" "+m[2], "N·m")
	if reading.Cmp(oracleIn(t, j.Tighten.Torque.Text(), "N·m")) <= 0 {
		t.Fatalf("turning on shows less than the target: %s", stem)
	}
	if c = reading.Cmp(oracleIn(t, j.Align.MaxTorque.Text(), "N·m")); c > 0 {
		return "slacken fully and start again", c
	}
	return "leave it there", c
}

func TestBringTheHolesRoundByTorque(t *testing.T) {
	src := fixture(t)
	at := map[int]int{}
	eachItem(t, bringTheHolesRound, src, scaled(400), func(lead content.Fact, it quiz.Item) {
		j := src.Index.Joint(lead.Subject)
		if j.Align.MaxAngle != nil {
			return
		}
		want, c := oracleHeld(t, j, it.Stem)
		at[c]++
		if got := rightOption(t, it); got != want {
			t.Errorf("the key is %q, want %q: %s", got, want, it.Stem)
		}
	})
	if len(at) != 3 {
		t.Errorf("readings below, on and above the maximum: %v, want some of each", at)
	}
}

// rightOption is the text of the one right option; every other one has its feedback.
func rightOption(t testing.TB, it quiz.Item) string {
	t.Helper()
	var right []string
	for i, o := range it.Interaction.Options {
		k := it.Key.Options[i]
		if k.ID != o.ID {
			t.Fatalf("key %d is for option %q, not %q", i, k.ID, o.ID)
		}
		told := slices.ContainsFunc(it.Feedback, func(f quiz.Feedback) bool { return f.Option == o.ID && f.Text != "" })
		if k.Right {
			right = append(right, o.Text)
		}
		if k.Right == told {
			t.Errorf("option %q: right is %v, feedback is %v: %s", o.Text, k.Right, told, it.Stem)
		}
	}
	if len(right) != 1 {
		t.Fatal(fmt.Sprint("right options ", right, ": ", it.Stem))
	}
	return right[0]
}
