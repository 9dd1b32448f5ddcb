package itemmodel

import (
	"strings"
	"testing"

	"soloright/quiz"
)

// What the procedure says must never go on a surface is answered with its reason.
func TestWhatGoesOnThisSurfaceGivesTheReason(t *testing.T) {
	met := false
	for _, it := range written(t, whatGoesOnThisSurface, "surface/gasket/faces", 30) {
		for i, row := range it.Interaction.Rows {
			if row.Text != "gasket, faces" {
				continue
			}
			for _, b := range it.Interaction.Bins {
				f := find(it.Feedback, func(f *quiz.Feedback) bool { return f.Option == it.Key.Rows[i].Row && f.Bin == b.ID })
				if b.Text == "silicone grease" {
					met = true
					if !strings.HasPrefix(f.Text, "Never silicone grease on the faces of the gasket. ") {
						t.Fatalf("feedback %q", f.Text)
					}
				}
			}
		}
	}
	if !met {
		t.Error("the forbidden grease never stood to choose from")
	}
}
