package content

import (
	"fmt"
	"slices"
)

func (c *checker) stepsRules() {
	var ids []string
	after := map[string][]string{}
	for _, s := range c.p.Steps {
		ids = append(ids, s.ID)
		after[s.ID] = append(after[s.ID], s.After...)
	}
	c.order(ids, after, func(i int) string { return join(at("steps", i), "after") }, "the steps go in a circle", "comes after")
	greased := map[string]int{}
	for i := range c.p.Steps {
		s, path := &c.p.Steps[i], at("steps", i)
		c.phase(path, s)
		c.stepTools(path, s)
		c.stepGreases(path, i, greased)
		c.stepBuilds(path, s)
		if s.Hold != nil && s.Hold.Critical && s.Hold.Unless != "" {
			c.add(join(path, "hold.unless"), "a critical hold point always applies", "leave unless out, or leave critical out")
		}
	}
	c.provedFirst()
}

// mayFollow says after the steps of which phases a step may come at once. Only
// what would undo the order of the work is refused: looking, cleaning and testing
// come in between everywhere.
var mayFollow = map[Phase][]Phase{
	PhaseIsolate: {PhaseIsolate, PhaseInspect},
	PhaseStrip:   {PhaseIsolate, PhaseStrip, PhaseInspect, PhaseClean},
}

func (c *checker) phase(path string, s *Step) {
	allowed, bound := mayFollow[s.Phase]
	if !bound {
		return
	}
	for k, id := range s.After {
		if before := c.steps[id]; before != nil && slices.Contains(Phases, before.Phase) && !slices.Contains(allowed, before.Phase) {
			c.add(at(join(path, "after"), k), fmt.Sprintf("a step of the phase %s comes after %q, which is of the phase %s", s.Phase, id, before.Phase), "mend the order or one of the phases")
		}
	}
}

func (c *checker) stepTools(path string, s *Step) {
	if len(s.Tools) == 0 && len(s.ToolsToo)+len(s.ToolsNot) > 0 {
		c.add(join(path, "tools"), "is missing: tools are accepted or forbidden where none is named", "add tools: with what the step is done with")
	}
	for k, id := range s.ToolsToo {
		if slices.Contains(s.Tools, id) {
			c.add(at(join(path, "also_accepted"), k), fmt.Sprintf("%q stands under tools already", id), "delete one of the two")
		}
	}
	seen := map[string]bool{}
	for k, n := range s.ToolsNot {
		p := join(at(join(path, "tools_not"), k), "tool")
		if slices.Contains(s.Tools, n.Tool) || slices.Contains(s.ToolsToo, n.Tool) {
			c.add(p, fmt.Sprintf("%q is both used and forbidden", n.Tool), "delete it from one of the two lists")
		}
		if seen[n.Tool] {
			c.add(p, fmt.Sprintf("%q stands in this list already", n.Tool), "delete one of the two")
		}
		seen[n.Tool] = true
	}
}

// stepGreases checks that what is greased takes a product, and at one step only.
func (c *checker) stepGreases(path string, i int, greased map[string]int) {
	for k, ref := range c.p.Steps[i].Greases {
		p := at(join(path, "greases"), k)
		part, s := c.surface(ref)
		if s == nil {
			continue // a reference that leads nowhere is reported already
		}
		if s.Treatment == DryClean || s.Treatment == AsSupplied {
			c.add(p, fmt.Sprintf("the surface is %s: nothing goes on it", s.Treatment), "take it out, or mend the treatment of the surface")
		}
		if !meet(c.p.Steps[i].Builds, part.Builds) {
			c.add(p, fmt.Sprintf("the step and the part %q have no build in common", part.ID), "mend the builds of one of them")
		}
		if first, twice := greased[ref]; twice && meet(c.p.Steps[first].Builds, c.p.Steps[i].Builds) {
			c.add(p, fmt.Sprintf("%s gets its product at the step %q already", ref, c.p.Steps[first].ID), "name it at one step only")
		}
		greased[ref] = i
	}
}

// stepBuilds checks that what a step works on is there in a build of the step.
func (c *checker) stepBuilds(path string, s *Step) {
	if slices.ContainsFunc(s.Builds, func(b string) bool { return !slices.Contains(c.buildIDs(), b) }) {
		return // a reference that leads nowhere is reported already
	}
	apart := func(path, what, id string, builds []string) {
		if !meet(s.Builds, builds) {
			c.add(path, fmt.Sprintf("the step and the %s %q have no build in common", what, id), "mend the builds of one of them")
		}
	}
	if j := c.joints[s.Joint]; j != nil {
		apart(join(path, "joint"), "joint", s.Joint, j.Builds)
	}
	if st := c.stacks[s.Stack]; st != nil {
		apart(join(path, "stack"), "stack", s.Stack, st.Builds)
	}
	for k, id := range s.Parts {
		if p := c.parts[id]; p != nil {
			apart(at(join(path, "parts"), k), "part", id, p.Builds)
		}
	}
}
