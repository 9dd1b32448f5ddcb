package library_test

import (
	"encoding/json"
	"math/big"
	"os"
	"slices"
	"strings"
	"testing"

	"soloright/content"
	"soloright/content/bolting"
	"soloright/content/library"
	"soloright/content/torque"
)

// plants are the procedures that this file looks at closely, with the distinct facts
// that each of their builds states at least.
var plants = map[string]int{"mechanical-seal": 90, "flanged-joint": 60}

// buildsOf returns the procedure as it reads for each of its builds.
func buildsOf(p *content.Procedure) map[string]*content.Procedure {
	if len(p.Builds) == 0 {
		return map[string]*content.Procedure{"": p}
	}
	out := map[string]*content.Procedure{}
	for _, b := range p.Builds {
		out[b.ID] = content.ForBuild(p, b.ID)
	}
	return out
}

// eachPlant runs the check on every build of the two procedures.
func eachPlant(t *testing.T, check func(t *testing.T, p *content.Procedure)) {
	t.Helper()
	for id := range plants {
		for build, p := range buildsOf(read(t, id)) {
			t.Run(strings.Trim(id+" "+build, " "), func(t *testing.T) { check(t, p) })
		}
	}
}

// A fact that restates another, by its words, does not count.
func TestPlantsStateManyFacts(t *testing.T) {
	eachPlant(t, func(t *testing.T, p *content.Procedure) {
		texts := map[string]bool{}
		for _, f := range content.Facts(p) {
			texts[f.Text] = true
		}
		if want := plants[p.ID]; len(texts) < want {
			t.Errorf("%d facts, want %d or more", len(texts), want)
		}
	})
}

func TestNoPrecedenceOfAPlantRestatesOthers(t *testing.T) {
	eachPlant(t, func(t *testing.T, p *content.Procedure) {
		ix := content.NewIndex(p)
		for _, s := range p.Steps {
			for _, a := range s.After {
				if slices.ContainsFunc(s.After, func(b string) bool { return ix.Comes(a, b) }) {
					t.Errorf("that %s comes after %s follows from its other precedences", s.ID, a)
				}
			}
		}
	})
}

// publishedTables returns the tables of one source and meaning in
// testdata/cross-patterns.json by the number of fasteners.
func publishedTables(t *testing.T, source, means string) map[int][]int {
	t.Helper()
	raw, err := os.ReadFile("../../testdata/cross-patterns.json")
	if err != nil {
		t.Fatal(err)
	}
	var all []struct {
		Source   string `json:"source"`
		Means    string `json:"means"`
		Sequence []int  `json:"sequence"`
	}
	if err := json.Unmarshal(raw, &all); err != nil {
		t.Fatal(err)
	}
	out := map[int][]int{}
	for _, row := range all {
		if strings.HasPrefix(row.Source, source) && row.Means == means {
			out[len(row.Sequence)] = row.Sequence
		}
	}
	return out
}

func seriesTo(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i + 1
	}
	return out
}

// Every circle of 4, 8, 12 or 16 takes the published order however the joint is turned
// or mirrored, and never the way round the circle.
func TestPublishedOrdersFitTheCircles(t *testing.T) {
	legacy := publishedTables(t, "ASME PCC-1", bolting.OrderOfPlaces)
	delete(legacy, 24) // no joint of the library is that large
	met := map[int]int{}
	for id := range plants {
		for _, j := range read(t, id).Joints {
			table := legacy[j.Pattern.Count]
			if j.Sequence == nil || table == nil || j.Pattern.Shape != "circle" {
				continue
			}
			met[j.Pattern.Count]++
			for _, turn := range bolting.Symmetries(j.Pattern) {
				turned := make([]int, len(table))
				for i, place := range table {
					turned[i] = turn[place-1]
				}
				if v := bolting.Judge(j.Pattern, j.Sequence.Rule, turned); !v.Right {
					t.Errorf("%s, %s: %v is refused: %s", id, j.ID, turned, v.Reason)
				}
			}
			if bolting.Judge(j.Pattern, j.Sequence.Rule, seriesTo(j.Pattern.Count)).Right {
				t.Errorf("%s, %s: round the circle passes for a crossing order", id, j.ID)
			}
		}
	}
	for n := range legacy {
		if met[n] == 0 {
			t.Errorf("no joint has %d fasteners on a circle", n)
		}
	}
}

// The flange with 12 studs pins the published table as it is stamped on the
// places. Read as an order of places it would be wrong.
func TestStampedTableOfTheTwelveStuds(t *testing.T) {
	j := content.NewIndex(read(t, "flanged-joint")).Joint("flange-b12")
	stamped := publishedTables(t, "ASME PCC-1", bolting.Stamped)[12]
	if r := j.Sequence.Rule; r.Means != bolting.Stamped || !slices.Equal(r.Pinned, stamped) {
		t.Fatalf("the rule is %+v, want the stamped table", r)
	}
	if bolting.Judge(j.Pattern, j.Sequence.Rule, stamped).Right {
		t.Error("the stamped numbers pass for the order of the places")
	}
}

func TestPlantsUseEveryWay(t *testing.T) {
	work, by := map[content.WorkOut]bool{}, map[content.TightenBy]bool{}
	for id := range plants {
		p := read(t, id)
		for _, s := range p.Settings {
			work[s.WorkOut] = true
		}
		for _, j := range p.Joints {
			by[j.Tighten.By] = true
		}
	}
	for _, w := range []content.WorkOut{content.HalfRange, content.Range, content.Difference, content.Sum, content.Mean, content.Direct} {
		if !work[w] {
			t.Errorf("no setting is worked out by %s", w)
		}
	}
	for _, b := range []content.TightenBy{content.ByTorque, content.ByTorqueAngle, content.ByTurns, content.ByGap, content.ToStop} {
		if !by[b] {
			t.Errorf("no joint is tightened by %s", b)
		}
	}
}

// A match needs several rows for each bin, and an order several pairs.
func TestPlantsGiveTheModelsEnough(t *testing.T) {
	eachPlant(t, func(t *testing.T, p *content.Procedure) {
		dispositions, facings := map[content.Disposition]int{}, map[content.FacingKind]int{}
		for _, e := range p.Parts {
			dispositions[e.Disposition]++
			if e.Facing != nil {
				facings[e.Facing.Kind]++
			}
			for _, s := range e.Surfaces {
				if len(s.Never) == 0 {
					t.Errorf("%s, %s: nothing is stated never to go on it", e.Name, s.Name)
				}
			}
		}
		for _, d := range []content.Disposition{content.AlwaysRenew, content.InspectRefit, content.RefitAsItIs} {
			if dispositions[d] < 4 {
				t.Errorf("%d parts are %q, want 4 or more", dispositions[d], d.Words())
			}
		}
		for _, k := range []content.FacingKind{content.Directional, content.Reversible, content.AsPipework} {
			if facings[k] == 0 {
				t.Errorf("no part goes in %s", k)
			}
		}
		if n := len(p.Hazards); n < 5 {
			t.Errorf("%d hazards, want 5 or more", n)
		}
	})
}

// comparablePairs counts the pairs of layers of which one has to be in before the other.
func comparablePairs(st content.Stack) int {
	steps := make([]content.Step, len(st.Layers)) // the layers' order as a step graph
	for i, l := range st.Layers {
		steps[i] = content.Step{ID: l.ID, After: l.On}
	}
	ix := content.NewIndex(&content.Procedure{Steps: steps})
	n := 0
	for _, a := range st.Layers {
		for _, b := range st.Layers {
			if ix.Comes(a.ID, b.ID) {
				n++
			}
		}
	}
	return n
}

// measurement.md: no order item with fewer than six comparable pairs.
func TestStacksOfThePlantsCanBeOrdered(t *testing.T) {
	eachPlant(t, func(t *testing.T, p *content.Procedure) {
		if len(p.Stacks) == 0 {
			t.Error("there is no stack")
		}
		for _, st := range p.Stacks {
			if n := len(st.Layers); n < 5 || n > 8 {
				t.Errorf("%s has %d layers, want 5 to 8", st.ID, n)
			}
			if n := comparablePairs(st); n < 6 {
				t.Errorf("%s has %d comparable pairs, want 6 or more", st.ID, n)
			}
		}
	})
}

// EPDM swells in mineral oil and grease, so it never gets any (common practice, no source).
func TestEPDMNeverGetsMineralGrease(t *testing.T) {
	mineral := []string{"lithium grease", "petroleum jelly", "machine oil"}
	met := 0
	for id := range plants {
		for _, e := range read(t, id).Parts {
			for _, s := range e.Surfaces {
				if e.Material != "EPDM" {
					continue
				}
				met++
				if slices.Contains(mineral, s.Product) {
					t.Errorf("%s, %s: %s goes on EPDM", id, e.Name, s.Product)
				}
				if !slices.ContainsFunc(s.Never, func(w content.Wrong) bool { return slices.Contains(mineral, w.Text) }) {
					t.Errorf("%s, %s: it does not say that mineral grease never goes on", id, e.Name)
				}
			}
		}
	}
	if met < 5 {
		t.Errorf("%d surfaces of EPDM, want 5 or more", met)
	}
}

// Two wrenches read in another unit than the manual's newton metres, one of them on a
// display, and an adapter states its length.
func TestPlantsHaveWrenchesInOtherUnits(t *testing.T) {
	for id := range plants {
		other, digital, adapters := 0, 0, 0
		for _, tool := range read(t, id).Tools {
			if tool.Adapter != nil {
				adapters++
			}
			if w := tool.Wrench; w != nil && w.Max.Unit() != torque.NewtonMetre {
				other++
				if w.Digital {
					digital++
				}
			}
		}
		if other < 2 || digital < 1 || adapters < 1 {
			t.Errorf("%s: %d wrenches in other units, %d digital, %d adapters", id, other, digital, adapters)
		}
	}
}

// At each step that tightens to a torque, every wrench that is named or accepted can
// be set to it, and every wrench that is refused cannot.
func TestWrenchesOfThePlantsSuitTheirJoints(t *testing.T) {
	eachPlant(t, func(t *testing.T, p *content.Procedure) {
		ix, met := content.NewIndex(p), 0
		for _, s := range p.Steps {
			j := ix.Joint(s.Joint)
			if j == nil || j.Tighten.Torque == nil {
				continue
			}
			met++
			for _, tool := range slices.Concat(s.Tools, s.ToolsToo) {
				if w := ix.Tool(tool).Wrench; w != nil && !suits(t, w, j) {
					t.Errorf("%s: %s cannot be set to %s", s.ID, tool, j.Tighten.Torque.Text())
				}
			}
			for _, no := range s.ToolsNot {
				if w := ix.Tool(no.Tool).Wrench; w != nil && suits(t, w, j) {
					t.Errorf("%s: %s is refused, and it can be set to %s", s.ID, no.Tool, j.Tighten.Torque.Text())
				}
			}
		}
		if met == 0 {
			t.Error("no step tightens to a torque")
		}
	})
}

// bolt is what a torque is checked against: the tensile stress area in mm² (ISO 898-1,
// from memory), the yield stress in N/mm² (class 8.8: 640, 10.9: 940, stainless A2-70 and
// A4-70: 450, chromium-molybdenum alloy: 720; from memory), and the nut factor of its film
// (dry 0.20, oiled 0.16, dry film and nickel paste 0.15, molybdenum paste 0.13: common
// practice, no source).
type bolt struct{ diameter, area, yield, factor float64 }

var bolts = map[string]bolt{
	"drive-screws": {6, 20.1, 450, 0.17}, "frame": {10, 58.0, 640, 0.15}, "casing": {12, 84.3, 450, 0.15},
	"foot": {16, 157, 640, 0.16}, "coupling": {8, 36.6, 940, 0.15}, "strap": {8, 36.6, 450, 0.20},
	"flange-b4": {16, 157, 640, 0.16}, "flange-b8": {16, 157, 450, 0.15}, "flange-b12": {24, 353, 720, 0.13}, "flange-b16": {27, 459, 720, 0.15},
}

// T = K·D·F: the torque neither leaves the fastener nearly slack nor brings it near
// yield; where an angle follows, the first stage is the smaller part.
func TestTorquesFitTheirBolts(t *testing.T) {
	for id := range plants {
		for _, j := range read(t, id).Joints {
			if j.Tighten.Torque == nil || j.ID == "impeller-nut" { // that one is judged by its sleeve, not by a bolt
				continue
			}
			b, known := bolts[j.ID]
			if !known {
				t.Errorf("%s, %s: add its bolt to the table", id, j.ID)
				continue
			}
			newtonMetres, err := j.Tighten.Torque.In(torque.NewtonMetre)
			if err != nil {
				t.Fatal(err)
			}
			force, _ := newtonMetres.Quo(newtonMetres, new(big.Rat).SetFloat64(b.factor*b.diameter/1000)).Float64()
			share := force / b.area / b.yield
			low, high := 0.25, 0.90
			if j.Tighten.By == content.ByTorqueAngle {
				low, high = 0.10, 0.30
			}
			if share < low || share > high {
				t.Errorf("%s, %s: %s loads the bolt to %.2f of yield", id, j.ID, j.Tighten.Torque.Text(), share)
			}
		}
	}
}

// Critical is kept for what hurts somebody or wrecks the machine.
func TestAFewFactsOfThePlantsAreCritical(t *testing.T) {
	eachPlant(t, func(t *testing.T, p *content.Procedure) {
		facts, critical := content.Facts(p), 0
		for _, f := range facts {
			if f.Critical {
				critical++
			}
		}
		if 4*critical > len(facts) || 10*critical < len(facts) {
			t.Errorf("%d of %d facts are critical", critical, len(facts))
		}
	})
}

// A fact that always appears must be stated by every build.
func TestAlwaysFactsHoldForEveryBuild(t *testing.T) {
	eachPlant(t, func(t *testing.T, p *content.Procedure) {
		ix := content.NewIndex(p)
		bp := blueprint(t, p.ID)
		if len(bp.Always) == 0 || len(bp.Always) > 9 {
			t.Errorf("%d facts always appear, want a few", len(bp.Always))
		}
		for _, id := range bp.Always {
			if f, ok := ix.Fact(id); !ok || !f.Critical {
				t.Errorf("%s always appears: stated %v, critical %v", id, ok, f.Critical)
			}
		}
	})
}

func blueprint(t *testing.T, id string) *content.Blueprint {
	t.Helper()
	bp, ok := library.Blueprint(id)
	if !ok {
		t.Fatalf("%s has no blueprint", id)
	}
	return bp
}
