package itemmodel

import (
	"strings"
	"testing"

	"soloright/content"
	"soloright/quiz"
)

// statedTruth is the truth of a choice whose options the procedure states: right ones
// and wrong ones, told apart by their texts.
func statedTruth(t failer, it quiz.Item, right []string, wrong []content.Wrong) truth {
	t.Helper()
	tr := truth{right: map[string]bool{}}
	for _, o := range it.Interaction.Options {
		for _, s := range right {
			if s == o.Text {
				tr.right[o.ID] = true
			}
		}
		for _, w := range wrong {
			if _, both := tr.right[o.ID]; both && w.Text == o.Text {
				t.Fatalf("%q is stated right and wrong", o.Text)
			}
			if w.Text == o.Text {
				tr.right[o.ID] = false
			}
		}
		if _, known := tr.right[o.ID]; !known {
			t.Fatalf("the procedure does not state %q", o.Text)
		}
	}
	return tr
}

// contraryTruth turns right and wrong round: for "what must you not use".
func contraryTruth(tr truth) truth {
	for id, right := range tr.right {
		tr.right[id] = !right
	}
	return tr
}

// Calling a pass a fail only loses the mark.
func TestCallingAPassAFailIsNotDangerous(t *testing.T) {
	src := fixture(t)
	lead, _ := src.Index.Fact("criterion/leak/bubbles")
	if !lead.Critical {
		t.Fatal("the fixture's leak test is critical")
	}
	for seed := range 200 {
		it, err := passTheTest.Write(src, lead, random(seed))
		if err != nil {
			t.Fatal(err)
		}
		for _, k := range it.Key.Options {
			if want := strings.HasSuffix(it.Stem, "is a pass?") && !k.Right; k.Dangerous != want {
				t.Errorf("dangerous %v, want %v: %s", k.Dangerous, want, it.Stem)
			}
		}
	}
}
