package itemmodel

import (
	"math/big"
	"math/rand/v2"
	"regexp"
	"strings"
	"testing"

	"soloright/content"
	"soloright/quiz"
)

var leverWords = regexp.MustCompile(`square drive it is ([0-9.]+) (\S+), from there to the fastener ([0-9.]+) (\S+)\. The adapter stands (.*?)\. What`)

// oracleCos reads how the adapter stands.
func oracleCos(t failer, words string) *big.Rat {
	t.Helper()
	switch {
	case strings.HasPrefix(words, "in line"):
		return big.NewRat(1, 1)
	case strings.Contains(words, "60°"):
		return big.NewRat(1, 2)
	case strings.Contains(words, "90°"):
		return new(big.Rat)
	case strings.Contains(words, "120°"):
		return big.NewRat(-1, 2)
	case strings.Contains(words, "straight back"):
		return big.NewRat(-1, 1)
	}
	t.Fatalf("how does the adapter stand? %s", words)
	return nil
}

// oracleAdapter works out S = T·L/(L + E·cos a) and the band by the same share.
func oracleAdapter(t failer, j *content.Joint, stem string) (exact *big.Rat, band *[2]*big.Rat) {
	t.Helper()
	m := leverWords.FindStringSubmatch(stem)
	if m == nil || m[2] != m[4] {
		t.Fatalf("the stem does not give both lengths in one unit: %s", stem)
	}
	l, e := ratOf(t, m[1]), ratOf(t, m[3])
	lever := new(big.Rat).Mul(e, oracleCos(t, m[5]))
	return oracleShare(t, j, scaleOf(t, stem).unit, new(big.Rat).Quo(l, lever.Add(l, lever)))
}

// oracleShare is a share of a joint's target and of its band in the unit.
func oracleShare(t failer, j *content.Joint, unit string, share *big.Rat) (exact *big.Rat, band *[2]*big.Rat) {
	t.Helper()
	exact = oracleIn(t, j.Tighten.Torque.Text(), unit)
	if band = oracleBand(t, j.Tighten, unit); band != nil {
		band = &[2]*big.Rat{new(big.Rat).Mul(band[0], share), new(big.Rat).Mul(band[1], share)}
	}
	return exact.Mul(exact, share), band
}

func TestWithAnAdapter(t *testing.T) {
	src := fixture(t)
	stands := map[string]int{}
	eachItem(t, withAnAdapter, src, scaled(300), func(lead content.Fact, it quiz.Item) {
		exact, band := oracleAdapter(t, src.Index.Joint(lead.Subject), it.Stem)
		checkSetting(t, it, exact, band)
		stands[leverWords.FindStringSubmatch(it.Stem)[5]]++
	})
	if len(stands) != 5 {
		t.Errorf("the adapter stands in %d ways, want all five: %v", len(stands), stands)
	}
}

// US Army TM 9-254, adapter length compensation: wrench 12 in, adapter 2 in in line,
// 70 lbf·in wanted, 60 lbf·in set.
func TestAdapterAsPublished(t *testing.T) {
	p := &content.Procedure{Joints: []content.Joint{{ID: "j", Title: "Joint", Tighten: content.Tighten{By: content.ByTorque, Torque: amount(t, "70 lbf·in")}}}}
	src := quiz.NewSource(p, "")
	lead, _ := src.Index.Fact("target/j")
	for seed := range uint64(5000) {
		it, err := withAnAdapter.Write(src, lead, rand.New(rand.NewPCG(seed, 1)))
		if err != nil {
			t.Fatal(err)
		}
		m := leverWords.FindStringSubmatch(it.Stem)
		if m[1] != "12" || m[3] != "2" || m[2] != "in" || !strings.HasPrefix(m[5], "in line") || !strings.Contains(it.Stem, "from 40 to 200") {
			continue
		}
		if got := it.Key.Number.Accept; len(got) != 1 || got[0].Lo != "60" || got[0].Hi != "60" {
			t.Errorf("accepts %v, want 60 lbf·in", got)
		}
		return
	}
	t.Error("the published case was never written")
}
