package content

import "slices"

// ForBuild returns the procedure as it reads for one build: whatever holds for
// other builds only is left out, and so is every reference to it. With build ""
// or no builds in the procedure the copy is complete. The argument is not changed.
func ForBuild(p *Procedure, build string) *Procedure {
	q := *p
	if build == "" || len(p.Builds) == 0 {
		return &q
	}
	q.Parts = keep(p.Parts, build, func(e Part) []string { return e.Builds })
	q.Stacks = keep(p.Stacks, build, func(e Stack) []string { return e.Builds })
	q.Joints = keep(p.Joints, build, func(e Joint) []string { return e.Builds })
	q.Settings = keep(p.Settings, build, func(e Setting) []string { return e.Builds })
	q.Inspections = keep(p.Inspections, build, func(e Inspection) []string { return e.Builds })
	q.Tests = keep(p.Tests, build, func(e Test) []string { return e.Builds })
	q.Observations = keep(p.Observations, build, func(e Observation) []string { return e.Builds })
	q.Faults = keep(p.Faults, build, func(e Fault) []string { return e.Builds })
	q.Hazards = keep(p.Hazards, build, func(e Hazard) []string { return e.Builds })
	q.Steps = stepsFor(&q, keep(p.Steps, build, func(e Step) []string { return e.Builds }))
	return &q
}

// BuildIDs lists the ids of the builds, and "" alone where there are none.
func (p *Procedure) BuildIDs() []string {
	if len(p.Builds) == 0 {
		return []string{""}
	}
	out := make([]string, len(p.Builds))
	for i, b := range p.Builds {
		out[i] = b.ID
	}
	return out
}

func keep[T any](all []T, build string, builds func(T) []string) []T {
	var out []T
	for _, e := range all {
		if b := builds(e); len(b) == 0 || slices.Contains(b, build) {
			out = append(out, e)
		}
	}
	return out
}

// stepsFor drops references to what is not in q. A step that came after a
// dropped one comes after what that one came after, so the order is kept; it is
// stated once, so what follows from the step's other precedences is left out.
func stepsFor(q *Procedure, kept []Step) []Step {
	ix := newElements(q)
	here := map[string]bool{}
	for _, s := range kept {
		here[s.ID] = true
	}
	all := map[string]Step{}
	for _, s := range q.Steps {
		all[s.ID] = s
	}
	out := make([]Step, len(kept))
	for i, s := range kept {
		s.After = throughDropped(s.After, here, all)
		s.Parts = slices.DeleteFunc(slices.Clone(s.Parts), func(id string) bool { return ix.parts[id] == nil })
		s.Greases = slices.DeleteFunc(slices.Clone(s.Greases), func(ref string) bool { _, sf := ix.surface(ref); return sf == nil })
		if ix.joints[s.Joint] == nil {
			s.Joint = ""
		}
		if ix.stacks[s.Stack] == nil {
			s.Stack = ""
		}
		out[i] = s
	}
	before := ancestors(out)
	for i, s := range kept {
		out[i].After = withoutImplied(out[i].After, s.After, before)
	}
	return out
}

// withoutImplied leaves out of after what the file did not state and another of
// them already comes after.
func withoutImplied(after, stated []string, before map[string]map[string]bool) []string {
	var out []string
	for _, a := range after {
		implied := slices.ContainsFunc(after, func(b string) bool { return before[b][a] })
		if !implied || slices.Contains(stated, a) {
			out = append(out, a)
		}
	}
	return out
}

func throughDropped(after []string, here map[string]bool, all map[string]Step) []string {
	var out []string
	seen := map[string]bool{}
	var visit func(ids []string)
	visit = func(ids []string) {
		for _, id := range ids {
			if seen[id] {
				continue
			}
			seen[id] = true
			if here[id] {
				out = append(out, id)
			} else {
				visit(all[id].After)
			}
		}
	}
	visit(after)
	return out
}
