package content

import (
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// forked is a procedure whose steps part by build and meet again:
//
//	open -> oil (b4) ------------\
//	open -> paste (b8) -> wait (b8) -> close
//	open -> look -------------------/
func forked() *Procedure {
	return &Procedure{
		Builds: []Build{{ID: "b4"}, {ID: "b8"}},
		Steps: []Step{
			{ID: "open"},
			{ID: "oil", After: []string{"open"}, Builds: []string{"b4"}},
			{ID: "paste", After: []string{"open"}, Builds: []string{"b8"}},
			{ID: "wait", After: []string{"paste"}, Builds: []string{"b8"}},
			{ID: "look", After: []string{"open"}},
			{ID: "close", After: []string{"oil", "wait", "look"}},
		},
		Observations: []Observation{{ID: "dry"}, {ID: "smear", Builds: []string{"b8"}}},
		Faults:       []Fault{{ID: "weep", Builds: []string{"b4"}}},
		Hazards:      []Hazard{{ID: "lye", Builds: []string{"b8"}}},
	}
}

func afterOf(p *Procedure, id string) []string {
	for _, s := range p.Steps {
		if s.ID == id {
			return s.After
		}
	}
	return nil
}

// A step comes after what the dropped ones came after, but what its other
// precedences already say is not said again.
func TestForBuildStatesEachPrecedenceOnce(t *testing.T) {
	for build, want := range map[string][]string{
		"b4": {"oil", "look"},
		"b8": {"wait", "look"},
		"":   {"oil", "wait", "look"},
	} {
		if diff := cmp.Diff(want, afterOf(ForBuild(forked(), build), "close")); diff != "" {
			t.Errorf("build %q, close comes after (-want +got):\n%s", build, diff)
		}
	}
}

// Where the dropped step was the only way, its own precedence is taken over.
func TestForBuildKeepsTheOrderThroughDroppedSteps(t *testing.T) {
	p := forked()
	p.Steps[5].After = []string{"wait"}
	if got := afterOf(ForBuild(p, "b4"), "close"); !slices.Equal(got, []string{"open"}) {
		t.Errorf("close comes after %v, want open", got)
	}
}

func TestForBuildDropsWhatBelongsToOtherBuilds(t *testing.T) {
	q := ForBuild(forked(), "b4")
	if len(q.Observations) != 1 || q.Observations[0].ID != "dry" {
		t.Errorf("observations are %v, want dry only", q.Observations)
	}
	if len(q.Faults) != 1 || len(q.Hazards) != 0 {
		t.Errorf("%d faults and %d hazards, want one and none", len(q.Faults), len(q.Hazards))
	}
	if p := forked(); len(p.Steps) != 6 || len(ForBuild(p, "").Steps) != 6 {
		t.Error("the whole procedure lost steps")
	}
}
