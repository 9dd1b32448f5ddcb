package itemmodel

import "testing"

// To turn a part with one right way either way is dangerous where that is
// critical; one fixed way chosen for a reversible part never is.
func TestOneWayOrEitherDanger(t *testing.T) {
	for _, it := range written(t, oneWayOrEither, "facing/cup", 50) {
		for i, r := range it.Key.Rows {
			want := 0
			if it.Interaction.Rows[i].Text == "cup seal" {
				want = 2
			}
			if len(r.Dangerous) != want {
				t.Fatalf("%s: dangerous %v", it.Interaction.Rows[i].Text, r.Dangerous)
			}
		}
	}
}
