package itemmodel

import "testing"

// Safety glasses guard against two of the hazards, so they are never shown, and
// the hazard that has no other control is never a row.
func TestHazardAndControlLeavesOutSharedControls(t *testing.T) {
	for _, it := range written(t, hazardAndControl, "hazard/jet", 60) {
		for _, b := range it.Interaction.Bins {
			if b.Text == "Wear safety glasses" {
				t.Fatal("a control that serves two hazards is shown")
			}
		}
		for _, r := range it.Interaction.Rows {
			if r.Text == "Ring that flies off" {
				t.Fatal("a hazard without a control of its own is shown")
			}
		}
	}
	if n, why := counted(t, bench(), hazardAndControl, "hazard/spring"); n != 0 || why == "" {
		t.Errorf("count %d, %q", n, why)
	}
}
