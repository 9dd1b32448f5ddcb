package quiz_test

import (
	"testing"

	"soloright/content/library"
	"soloright/quiz"
	"soloright/quiz/itemmodel"
)

// What every form of the diaphragm pump asks is asked on the drawing first: the
// cup seal as it is drawn, the cover by its drawn fasteners.
func TestWhatAlwaysAppearsIsAskedOnTheDrawing(t *testing.T) {
	p, err := library.Procedure("aodd-air-side")
	if err != nil {
		t.Fatal(err)
	}
	bp, ok := library.Blueprint(p.ID)
	if !ok {
		t.Fatal("the pump has no blueprint")
	}
	bank := quiz.NewBank(quiz.NewSource(p, ""), itemmodel.All())
	for n := range 20 {
		f, err := quiz.Assemble(bank, *bp, quiz.History{}, quiz.Seed{byte(n)})
		if err != nil {
			t.Fatal(err)
		}
		asked := map[string]bool{}
		for _, it := range f.Items {
			asked[it.Model+" on "+string(it.Lead)] = true
		}
		for _, want := range []string{"tighten-the-joint on sequence/air-chamber", "pick-the-facing on facing/rod-cup-seal"} {
			if !asked[want] {
				t.Errorf("form %d does not ask %s", n, want)
			}
		}
	}
}
