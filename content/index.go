package content

import "strings"

// Index finds the facts and elements of one procedure by id. It is built once
// and only read; safe for concurrent use. What it returns must not be changed.
type Index struct {
	elements
	facts  []Fact
	byID   map[FactID]int
	byKind map[FactKind][]Fact
	before map[string]map[string]bool // step → every step that must be done before it
}

// NewIndex indexes the procedure as it is; for one build pass what [ForBuild]
// returns. The cost is linear, plus the closure of the step graph.
func NewIndex(p *Procedure) *Index {
	ix := &Index{elements: newElements(p), facts: Facts(p), byID: map[FactID]int{}, byKind: map[FactKind][]Fact{}}
	for i, f := range ix.facts {
		ix.byID[f.ID] = i
		ix.byKind[f.Kind] = append(ix.byKind[f.Kind], f)
	}
	ix.before = ancestors(p.Steps)
	return ix
}

// Facts returns every fact in the order of [Facts].
func (ix *Index) Facts() []Fact { return ix.facts }

// Of returns the facts of one kind, in order.
func (ix *Index) Of(k FactKind) []Fact { return ix.byKind[k] }

// Fact finds a fact by id.
func (ix *Index) Fact(id FactID) (Fact, bool) {
	i, ok := ix.byID[id]
	if !ok {
		return Fact{}, false
	}
	return ix.facts[i], true
}

// Comes reports whether step earlier must be done before step later, directly
// or through others.
func (ix *Index) Comes(earlier, later string) bool { return ix.before[later][earlier] }

// elements finds the parts of a procedure by id.
type elements struct {
	parts       map[string]*Part
	stacks      map[string]*Stack
	joints      map[string]*Joint
	steps       map[string]*Step
	tools       map[string]*Tool
	settings    map[string]*Setting
	tests       map[string]*Test
	inspections map[string]*Inspection
	energies    map[string]*Energy
	hazards     map[string]*Hazard
	faults      map[string]*Fault
	openings    map[string]*Opening
	seen        map[string]*Observation
}

func newElements(p *Procedure) elements {
	return elements{
		parts:       byID(p.Parts, func(e *Part) string { return e.ID }),
		stacks:      byID(p.Stacks, func(e *Stack) string { return e.ID }),
		joints:      byID(p.Joints, func(e *Joint) string { return e.ID }),
		steps:       byID(p.Steps, func(e *Step) string { return e.ID }),
		tools:       byID(p.Tools, func(e *Tool) string { return e.ID }),
		settings:    byID(p.Settings, func(e *Setting) string { return e.ID }),
		tests:       byID(p.Tests, func(e *Test) string { return e.ID }),
		inspections: byID(p.Inspections, func(e *Inspection) string { return e.ID }),
		energies:    byID(p.Energies, func(e *Energy) string { return e.ID }),
		hazards:     byID(p.Hazards, func(e *Hazard) string { return e.ID }),
		faults:      byID(p.Faults, func(e *Fault) string { return e.ID }),
		openings:    byID(p.Openings, func(e *Opening) string { return e.ID }),
		seen:        byID(p.Observations, func(e *Observation) string { return e.ID }),
	}
}

// byID keeps the first of each id: duplicates are reported by Validate.
func byID[T any](all []T, id func(*T) string) map[string]*T {
	m := make(map[string]*T, len(all))
	for i := range all {
		if k := id(&all[i]); m[k] == nil {
			m[k] = &all[i]
		}
	}
	return m
}

// The elements by id; nil where there is none.

func (e *elements) Part(id string) *Part               { return e.parts[id] }
func (e *elements) Stack(id string) *Stack             { return e.stacks[id] }
func (e *elements) Joint(id string) *Joint             { return e.joints[id] }
func (e *elements) Step(id string) *Step               { return e.steps[id] }
func (e *elements) Tool(id string) *Tool               { return e.tools[id] }
func (e *elements) Setting(id string) *Setting         { return e.settings[id] }
func (e *elements) Test(id string) *Test               { return e.tests[id] }
func (e *elements) Inspection(id string) *Inspection   { return e.inspections[id] }
func (e *elements) Energy(id string) *Energy           { return e.energies[id] }
func (e *elements) Hazard(id string) *Hazard           { return e.hazards[id] }
func (e *elements) Fault(id string) *Fault             { return e.faults[id] }
func (e *elements) Opening(id string) *Opening         { return e.openings[id] }
func (e *elements) Observation(id string) *Observation { return e.seen[id] }

// Surface finds a surface by "part/surface"; nil, nil where there is none.
func (e *elements) Surface(ref string) (*Part, *Surface) { return e.surface(ref) }

func (e *elements) surface(ref string) (*Part, *Surface) {
	part, id, _ := strings.Cut(ref, "/")
	p := e.parts[part]
	if p == nil {
		return nil, nil
	}
	for i := range p.Surfaces {
		if p.Surfaces[i].ID == id {
			return p, &p.Surfaces[i]
		}
	}
	return nil, nil
}

// ancestors returns for each step every step that must be done before it.
// Cycles, which Validate refuses, end the walk without harm.
func ancestors(steps []Step) map[string]map[string]bool {
	after := map[string][]string{}
	for _, s := range steps {
		after[s.ID] = s.After
	}
	all := map[string]map[string]bool{}
	for _, s := range steps {
		seen := map[string]bool{}
		walk := append([]string(nil), s.After...)
		for len(walk) > 0 {
			id := walk[len(walk)-1]
			walk = walk[:len(walk)-1]
			if !seen[id] {
				seen[id] = true
				walk = append(walk, after[id]...)
			}
		}
		all[s.ID] = seen
	}
	return all
}
