package itemmodel

import "testing"

// Each item holds exactly one product of the lead's never list, and one that goes on.
func TestGoesOnOrStaysOffHoldsOneOfTheLead(t *testing.T) {
	met := map[string]bool{}
	for _, it := range written(t, goesOnOrStaysOff, "never/gasket/faces", 60) {
		own, on := 0, 0
		for i, r := range it.Key.Rows {
			if r.Fact == it.Lead {
				own++
				met[it.Interaction.Rows[i].Text] = true
			}
			if r.Bin == "a" {
				on++
			}
		}
		if own != 1 || on == 0 {
			t.Fatalf("%d rows of the lead, %d that go on", own, on)
		}
	}
	if len(met) != 2 {
		t.Errorf("of two products only %v were asked for", met)
	}
}
