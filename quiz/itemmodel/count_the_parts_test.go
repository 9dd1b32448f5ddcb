package itemmodel

import "testing"

// The bins rise and always hold the lead's number.
func TestCountTheParts(t *testing.T) {
	for _, it := range written(t, countTheParts, "quantity/bolt", 20) {
		last, own := 0.0, false
		for _, b := range it.Interaction.Bins {
			if x := leadingNumber(b.Text); x <= last {
				t.Fatalf("bins %v", it.Interaction.Bins)
			} else {
				last = x
			}
			own = own || b.Text == "8"
		}
		if !own || !it.Interaction.Ordered {
			t.Fatalf("bins %v", it.Interaction.Bins)
		}
	}
}
