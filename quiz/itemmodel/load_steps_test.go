package itemmodel

import (
	"math/big"
	"slices"
	"strings"
	"testing"

	"soloright/content"
	"soloright/quiz"
)

// askedStep is the index of the load step that the stem asks for.
func askedStep(t failer, j *content.Joint, stem string) int {
	t.Helper()
	words := []string{"first", "second", "third", "fourth", "fifth"}
	k := slices.IndexFunc(words, func(w string) bool { return strings.Contains(stem, "the "+w+" step") })
	if k < 0 || k >= len(j.LoadSteps)-1 {
		t.Fatalf("which step is it? %s", stem)
	}
	return k
}

func TestLoadSteps(t *testing.T) {
	src := fixture(t)
	eachItem(t, loadSteps, src, scaled(300), func(lead content.Fact, it quiz.Item) {
		j := src.Index.Joint(lead.Subject)
		k := askedStep(t, j, it.Stem)
		if it.Interaction.Unit == "%" {
			checkPercent(t, j, it, k)
			return
		}
		// A step's tolerance is the percentage of the step's value.
		exact, band := oracleShare(t, j, scaleOf(t, it.Stem).unit, big.NewRat(int64(j.LoadSteps[k]), 100))
		checkSetting(t, it, exact, band)
		if !slices.Equal(it.Shows, []content.FactID{"target/" + content.FactID(j.ID)}) {
			t.Errorf("the stem gives the target, but shows %v", it.Shows)
		}
		for _, p := range j.LoadSteps {
			if p < 100 && strings.Contains(it.Stem, big.NewRat(int64(p), 1).RatString()+" %") {
				t.Errorf("the stem gives the percentage: %s", it.Stem)
			}
		}
	})
}

// checkPercent holds the second variant: it shows nothing, and accepts the
// percentage of the step and no other.
func checkPercent(t *testing.T, j *content.Joint, it quiz.Item, k int) {
	t.Helper()
	want := big.NewRat(int64(j.LoadSteps[k]), 1).RatString()
	if got := it.Key.Number.Accept; len(got) != 1 || got[0].Lo != want || got[0].Hi != want {
		t.Errorf("accepts %v, want %s: %s", got, want, it.Stem)
	}
	if len(it.Shows) != 0 || strings.Contains(it.Stem, j.Tighten.Torque.Text()) {
		t.Errorf("shows %v: %s", it.Shows, it.Stem)
	}
	checkMistakes(t, it)
}
