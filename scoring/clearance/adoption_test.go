package clearance_test

import (
	"encoding/json"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"soloright/content"
	"soloright/scoring/clearance"
)

// Adopting a revision states what the comparison found: added and changed facts
// are shown again, removed ones read, reworded and regraded ones neither; only
// those that the policy names have their hold point observed again.
func TestAdoption(t *testing.T) {
	fact := func(id content.FactID, k content.FactKind) content.Fact { return content.Fact{ID: id, Kind: k} }
	change := func(f content.Fact) content.Change { return content.Change{Old: f, New: f} }
	c := content.Comparison{
		Added:    []content.Fact{fact("isolation/air", content.KindIsolation), fact("opening/cap", content.KindOpening)},
		Changed:  []content.Change{change(fact("facing/seal", content.KindFacing)), change(fact("target/cap", content.KindTarget))},
		Removed:  []content.Fact{fact("facing/old", content.KindFacing)},
		Reworded: []content.Change{change(fact("facing/word", content.KindFacing))},
		Regraded: []content.Change{change(fact("facing/grade", content.KindFacing))},
	}
	p := clearance.DefaultPolicy()
	p.ObserveAgain = []clearance.ObserveTopic{clearance.ObserveFacing, clearance.ObserveIsolation}
	holdOf := func(f content.Fact) string {
		return map[content.FactID]string{"facing/seal": "seal-in", "isolation/air": "locked", "target/cap": "cap-on"}[f.ID]
	}
	next := &content.Procedure{ID: "pump", Revision: "B", Prerequisites: []string{"lock-out"}}
	want := clearance.RevisionAdopted{
		Procedure: "pump", Revision: "B", Previous: "A", Prerequisites: []string{"lock-out"},
		Changed: []content.FactID{"isolation/air", "opening/cap", "facing/seal", "target/cap"},
		Removed: []content.FactID{"facing/old"},
		Observe: []clearance.ObserveAgain{{Fact: "isolation/air", Hold: "locked"}, {Fact: "facing/seal", Hold: "seal-in"}},
	}
	if diff := cmp.Diff(want, clearance.Adoption(next, "A", c, p, holdOf)); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
}

// The stored form of one event, byte for byte: it never changes, since records
// hold it.
func TestGoldenForm(t *testing.T) {
	e := clearance.Event{Seq: 17, At: time.Date(2026, 3, 2, 8, 15, 0, 250_000, time.UTC), By: "p4",
		Act: clearance.Signed{Covers: clearance.Covered{Kind: clearance.CoversRebuild, ID: "r1", Digest: digest}, Signer: "p2", Role: "trainer", Meaning: clearance.Observed, Technician: "p1", Proof: "password"}}
	want := `{"seq":17,"at":"2026-03-02T08:15:00.00025Z","by":"p4","kind":"signed","data":{"covers":{"kind":"rebuild","id":"r1","digest":"` + digest +
		`"},"signer":"p2","role":"trainer","meaning":"observed","technician":"p1","proof":"password"}}`
	got, err := json.Marshal(e)
	if err != nil || string(got) != want {
		t.Errorf("%v\n got %s\nwant %s", err, got, want)
	}
}

// Whatever is decoded is encoded to what is decoded to the same.
func FuzzDecode(f *testing.F) {
	for _, a := range samples() {
		k, data, err := clearance.Encode(a)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(string(k), string(data))
	}
	f.Fuzz(func(t *testing.T, kind, data string) {
		a, err := clearance.Decode(clearance.Kind(kind), []byte(data))
		if err != nil {
			return
		}
		k, once, err := clearance.Encode(a)
		if err != nil {
			t.Fatalf("decoded and not encoded: %v", err)
		}
		back, err := clearance.Decode(k, once)
		if err != nil {
			t.Fatalf("encoded and not decoded: %v", err)
		}
		if _, twice, err := clearance.Encode(back); err != nil || string(twice) != string(once) {
			t.Errorf("%s, then %s (%v)", once, twice, err)
		}
	})
}

// Data that spells a field otherwise, or twice, is not what was written.
func TestDecodeTakesNoOtherSpelling(t *testing.T) {
	for _, data := range []string{`{"Person":"p1"}`, `{"person":"p2","person":"p1"}`, `{"person":"p2","PERSON":"p1"}`} {
		if a, err := clearance.Decode("person back", []byte(data)); err == nil {
			t.Errorf("%s is read as %+v", data, a)
		}
	}
	if _, err := clearance.Decode("person back", []byte(" { \"person\" : \"p1\" } ")); err != nil {
		t.Errorf("spaces between: %v", err)
	}
}

func BenchmarkDecode(b *testing.B) {
	k, data, err := clearance.Encode(samples()[14])
	if err != nil {
		b.Fatal(err)
	}
	b.SetBytes(int64(len(data)))
	for b.Loop() {
		if _, err := clearance.Decode(k, data); err != nil {
			b.Fatal(err)
		}
	}
}

// Questions about who or what is not on the record have an answer.
func TestUnknown(t *testing.T) {
	s := fresh(t)
	for _, c := range []struct{ person, procedure, want string }{
		{"nobody", "pump", "not cleared: the person is not on the record"},
		{"tech", "nothing", "not cleared: no revision of the procedure is in force"},
		{"nobody", "nothing", "not cleared: no revision of the procedure is in force"},
	} {
		got := s.reg.Standing(c.person, c.procedure, s.now, time.Time{})
		if got.Cleared || got.Reason != c.want || got.Person != c.person {
			t.Errorf("%+v, want %q", got, c.want)
		}
	}
	if got := s.reg.MaySit("nobody", "pump", s.now); got.May || !strings.Contains(got.Reason, "not on the record") {
		t.Errorf("%+v", got)
	}
	if _, ok := s.reg.Rebuild("r9", s.now); ok || s.reg.Assessors("nothing", "A", s.now) != nil || s.reg.WhoCouldSign("tech", "nothing", "A", s.now) != nil {
		t.Error("something is found that is not on the record")
	}
}
