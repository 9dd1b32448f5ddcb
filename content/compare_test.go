package content_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"soloright/content"
	"soloright/content/library"
	"soloright/content/procfile"
)

// exampleText is the complete example of FORMAT.md.
func exampleText(t testing.TB) string {
	t.Helper()
	page, err := library.Format()
	if err != nil {
		t.Fatal(err)
	}
	_, block, _ := strings.Cut(string(page), "```yaml\n")
	block, _, ok := strings.Cut(block, "```\n")
	if !ok {
		t.Fatal("FORMAT.md has no yaml block")
	}
	return block
}

// edited reads the example with texts replaced, old and new by turns.
func edited(t testing.TB, edits ...string) *content.Procedure {
	t.Helper()
	text := exampleText(t)
	for i := 0; i < len(edits); i += 2 {
		if strings.Count(text, edits[i]) != 1 {
			t.Fatalf("stands %d times in the example: %s", strings.Count(text, edits[i]), edits[i])
		}
		text = strings.Replace(text, edits[i], edits[i+1], 1)
	}
	p, err := procfile.Read("example.yaml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// ids is a comparison by ids alone.
type ids struct{ Added, Removed, Changed, Reworded, Regraded []content.FactID }

func idsOf(c content.Comparison) ids {
	facts := func(fs []content.Fact) (out []content.FactID) {
		for _, f := range fs {
			out = append(out, f.ID)
		}
		return out
	}
	changes := func(cs []content.Change) (out []content.FactID) {
		for _, c := range cs {
			out = append(out, c.New.ID)
		}
		return out
	}
	return ids{facts(c.Added), facts(c.Removed), changes(c.Changed), changes(c.Reworded), changes(c.Regraded)}
}

func TestCompare(t *testing.T) {
	type list = []content.FactID
	for _, c := range []struct {
		name  string
		edits []string
		want  ids
	}{
		{"nothing", nil, ids{}},
		{"number written otherwise", []string{"torque: 13.6 N·m", "torque: 13.60 N·m"}, ids{Reworded: list{"target/cover"}}},
		{"another number", []string{"torque: 13.6 N·m", "torque: 14 N·m"}, ids{Changed: list{"target/cover"}}},
		{"another tolerance", []string{"tolerance: ±10 %", "tolerance: ±8 %"}, ids{Changed: list{"target/cover"}}},
		{"no tolerance", []string{", tolerance: ±10 %", ""}, ids{Changed: list{"target/cover"}}},
		{"a limit", []string{"limit: {min: 19.95 mm, max: 20 mm}", "limit: {min: 19.96 mm, max: 20 mm}"}, ids{Changed: list{"inspection/rod-diameter"}}},
		{"facing", []string{
			"      toward: piston (pressure side)\n      away: open air", "      toward: open air\n      away: piston (pressure side)"},
			ids{Changed: list{"facing/rod-seal"}}},
		{"disposition", []string{"name: rod bush\n    shape: bush\n    quantity: 1\n    disposition: refit", "name: rod bush\n    shape: bush\n    quantity: 2\n    disposition: inspect"},
			ids{Changed: list{"quantity/bush", "disposition/bush"}}},
		{"verdict", []string{"seen: A score along the rod, verdict: renew", "seen: A score along the rod, verdict: dress"},
			ids{Changed: list{"inspection/rod-surface/score"}}},
		{"load steps", []string{"load_steps: [50, 100]", "load_steps: [30, 60, 100]"}, ids{Changed: list{"load-steps/cover"}}},
		{"wording of a proof", []string{"prove: Read zero on the gauge between", "prove: See zero on the gauge between"}, ids{Reworded: list{"proof/air"}}},
		{"a new id", []string{"  - id: cover-opening", "  - id: cover-opening-2"},
			ids{Added: list{"opening/cover-opening-2"}, Removed: list{"opening/cover-opening"}}},
		{"no longer critical", []string{"tolerance: ±10 %, critical: true}", "tolerance: ±10 %}"}, ids{Regraded: list{"target/cover"}}},
		{"another order", []string{"    after: [piston-on, cushion-in]", "    after: [cushion-in]"}, ids{Removed: list{"precede/cover-on/piston-on"}}},
		{"another hold point", []string{"    text: Fit the end cover and tighten it crosswise", "    text: Fit the end cover and tighten it crosswise\n    hold: {look: record of the torque}"},
			ids{Added: list{"hold/cover-on"}}},
		{"a name in many facts", []string{"    name: rod bush", "    name: bush of the rod"},
			ids{Reworded: list{"quantity/bush", "disposition/bush", "facing/bush", "layer/gland/seal/bush"}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			old, next := edited(t), edited(t, c.edits...)
			got := content.Compare(old, next)
			if diff := cmp.Diff(c.want, idsOf(got)); diff != "" {
				t.Errorf("-want +got:\n%s", diff)
			}
			back := idsOf(content.Compare(next, old))
			if !slices.Equal(back.Added, c.want.Removed) || !slices.Equal(back.Removed, c.want.Added) || len(back.Changed) != len(c.want.Changed) {
				t.Errorf("the other way round: %+v", back)
			}
		})
	}
}

func TestCompareShowsBoth(t *testing.T) {
	got := content.Compare(edited(t), edited(t, "torque: 13.6 N·m", "torque: 14 N·m"))
	if len(got.Changed) != 1 {
		t.Fatalf("changed: %+v", got.Changed)
	}
	c := got.Changed[0]
	if !strings.Contains(c.Old.Text, "13.6 N·m") || !strings.Contains(c.New.Text, "14 N·m") || c.Old.Value == c.New.Value {
		t.Errorf("old %+v, new %+v", c.Old, c.New)
	}
}

func TestDelta(t *testing.T) {
	got := content.Compare(edited(t), edited(t,
		"torque: 13.6 N·m", "torque: 14 N·m",
		"  - id: cover-opening", "  - id: cover-opening-2",
		"prove: Read zero", "prove: See zero"))
	want := []content.FactID{"opening/cover-opening-2", "target/cover"}
	var have []content.FactID
	for _, f := range got.Delta() {
		have = append(have, f.ID)
	}
	if diff := cmp.Diff(want, have); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
	if got.Same() {
		t.Error("a changed revision is the same")
	}
	if !content.Compare(edited(t), edited(t, "prove: Read zero", "prove: See zero")).Same() {
		t.Error("a reworded revision is not the same")
	}
}

// The order of a file says nothing: turned round section by section, a
// procedure states the same facts.
func TestCompareIsBlindToOrder(t *testing.T) {
	all, err := library.Procedures()
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range append(all, edited(t)) {
		q := *p
		q.Energies, q.Openings = reversed(p.Energies), reversed(p.Openings)
		q.Stacks, q.Joints, q.Settings = reversed(p.Stacks), reversed(p.Joints), reversed(p.Settings)
		q.Inspections, q.Tests, q.Faults = reversed(p.Inspections), reversed(p.Tests), reversed(p.Faults)
		q.Hazards, q.Observations = reversed(p.Hazards), reversed(p.Observations)
		if got := content.Compare(p, &q); !got.Same() || len(got.Reworded)+len(got.Regraded) != 0 {
			t.Errorf("%s: %+v", p.ID, idsOf(got))
		}
	}
}

func reversed[T any](s []T) []T {
	out := slices.Clone(s)
	slices.Reverse(out)
	return out
}
