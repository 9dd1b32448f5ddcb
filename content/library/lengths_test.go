package library_test

import (
	"testing"
	"unicode/utf8"
)

// The longest option is the first that a guesser ticks. Where zero is proved, at
// least one wrong way in three is as long as the right one, and every energy has
// one that is (Haladyna, Downing and Rodriguez, Applied Measurement in Education
// 15 (2002), 309–334: keep the length of choices about equal; from memory).
func TestTheProofOfZeroIsNotToldByItsLength(t *testing.T) {
	for _, id := range []string{"aodd-air-side", "energy-isolation", "flanged-joint", "mechanical-seal"} {
		long, all := 0, 0
		for _, e := range read(t, id).Energies {
			here := 0
			for _, w := range e.NoProof {
				all++
				if utf8.RuneCountInString(w.Text) >= utf8.RuneCountInString(e.Prove) {
					here++
				}
			}
			if long += here; here == 0 {
				t.Errorf("%s: the proof of zero of %s is longer than every wrong one", id, e.ID)
			}
		}
		if 3*long < all {
			t.Errorf("%s: %d of %d wrong proofs are as long as the right one, want a third", id, long, all)
		}
	}
}
