package itemmodel

import (
	"math/big"
	"math/rand/v2"
	"strings"
	"testing"

	"soloright/content"
	"soloright/quiz"
)

// eachItem writes items of the model on every fact that it can write on.
func eachItem(t *testing.T, m quiz.Model, src *quiz.Source, n int, check func(content.Fact, quiz.Item)) {
	t.Helper()
	wrote := 0
	for _, lead := range src.Index.Facts() {
		if k, _ := m.Count(src, lead); k == 0 {
			continue
		}
		for seed := range n {
			it, err := m.Write(src, lead, rand.New(rand.NewPCG(uint64(seed), 7)))
			if err != nil {
				t.Fatalf("write on %s: %v", lead.ID, err)
			}
			check(lead, it)
			wrote++
		}
	}
	if wrote == 0 {
		t.Errorf("%s wrote nothing", m.Name())
	}
}

func TestSetTheWrench(t *testing.T) {
	src := fixture(t)
	given, heart := 0, 0
	eachItem(t, setTheWrench, src, scaled(300), func(lead content.Fact, it quiz.Item) {
		j := src.Index.Joint(lead.Subject)
		o := scaleOf(t, it.Stem)
		if o.unit == j.Tighten.Torque.Unit().String() {
			t.Errorf("the wrench reads in the manual's unit: %s", it.Stem)
		}
		exact, band := oracleShare(t, j, o.unit, big.NewRat(1, 1))
		checkSetting(t, it, exact, band)
		shown := strings.Contains(it.Stem, j.Tighten.Torque.Text())
		if shown {
			given++
		} else {
			heart++
		}
	})
	if given == 0 || heart == 0 {
		t.Errorf("%d items give the torque and %d do not, want some of each", given, heart)
	}
}

// "Not this wrench" is the key about one time in five, for both reasons.
func TestShareOfNotThisWrench(t *testing.T) {
	src := fixture(t)
	for _, m := range []quiz.Model{setTheWrench, loadSteps, withAnAdapter} {
		n, other, out, coarse := 0, 0, 0, 0
		eachItem(t, m, src, 400, func(_ content.Fact, it quiz.Item) { // as many in short runs: fewer say nothing of a share
			if len(it.Interaction.Options) == 0 {
				return // no wrench is named
			}
			n++
			if it.Key.Number.Other == "" {
				return
			}
			other++
			if strings.Contains(it.Explain, "outside its range") {
				out++
			}
			if strings.Contains(it.Explain, "band is only") {
				coarse++
			}
		})
		if other*8 < n || other*10 > n*3 {
			t.Errorf("%s: not this wrench %d times of %d, want about one in five", m.Name(), other, n)
		}
		if out*8 < other || coarse*8 < other || out+coarse != other {
			t.Errorf("%s: %d out of range and %d too coarse of %d", m.Name(), out, coarse, other)
		}
	}
}

// Both marks are right at a tie; a band that leaves no room makes no item of it.
func TestTieAcceptsBothMarks(t *testing.T) {
	w := wrenchOf("", content.Wrench{Min: *amount(t, "10 N·m"), Max: *amount(t, "100 N·m"), Graduation: *amount(t, "5 N·m"), Length: *amount(t, "400 mm")})
	s, ok := settingOf(w, *amount(t, "42.5 N·m"), nil)
	if !ok || s.fit != fits {
		t.Fatalf("fit is %v, want one", s.fit)
	}
	var it quiz.Item
	s.ask(&it, s.start())
	if got := it.Key.Number.Accept; len(got) != 2 || got[0].Lo != "40" || got[1].Lo != "45" {
		t.Errorf("accepts %v, want 40 and 45", got)
	}
}

// Near the end of a scale, or where graduation and band are nearly alike, rounding
// would decide: such a wrench is never put before a technician.
func TestDoubtfulWrenches(t *testing.T) {
	w := wrenchOf("", content.Wrench{Min: *amount(t, "20 lbf·in"), Max: *amount(t, "120 lbf·in"), Graduation: *amount(t, "2 lbf·in")})
	j := content.Joint{ID: "j", Tighten: content.Tighten{By: content.ByTorque, Torque: amount(t, "13.6 N·m"), Tolerance: tolerance(t, "±10 %")}}
	src := quiz.NewSource(&content.Procedure{Joints: []content.Joint{j}}, "")
	tt, why := targetOf(src, "j")
	if why != "" {
		t.Fatal(why)
	}
	if s, _ := tt.on(w, 100); s.fit != doubtful { // 120.37 lbf·in
		t.Errorf("a third of a mark past the end is %v, want doubtful", s.fit)
	}
	w = wrenchOf("", content.Wrench{Min: *amount(t, "24 lbf·in"), Max: *amount(t, "240 lbf·in"), Graduation: *amount(t, "24 lbf·in")})
	if s, _ := tt.on(w, 100); s.fit != doubtful { // the band is 24.07 lbf·in wide
		t.Errorf("a graduation as wide as the band is %v, want doubtful", s.fit)
	}
}

// The nearest mark may lie outside a lopsided band, above a target that must not be
// passed: such a wrench would make an overtightened joint the key.
func TestNearestMarkOutsideTheBand(t *testing.T) {
	j := content.Joint{ID: "j", Tighten: content.Tighten{By: content.ByTorque, Torque: amount(t, "48 N·m"), Tolerance: tolerance(t, "−12 % +1 %")}}
	src := quiz.NewSource(&content.Procedure{Joints: []content.Joint{j}}, "")
	tt, why := targetOf(src, "j")
	if why != "" {
		t.Fatal(why)
	}
	w := wrenchOf("", content.Wrench{Min: *amount(t, "20 N·m"), Max: *amount(t, "100 N·m"), Graduation: *amount(t, "5 N·m")})
	if s, ok := tt.on(w, 100); !ok || s.fit != doubtful { // the nearest mark is 50, the band ends at 48.48
		t.Errorf("fit %v, want doubtful", s.fit)
	}
}
