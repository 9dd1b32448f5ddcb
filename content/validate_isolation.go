package content

import (
	"fmt"
	"slices"
)

func (c *checker) isolation() {
	iso := c.p.Isolation
	switch {
	case iso == nil && len(c.p.Energies) > 0:
		c.add("energies", "there are energies and no section isolation", "add isolation: what comes before the first isolating point, the first opening and the way back to service")
	case iso != nil && len(c.p.Energies) == 0:
		c.add("isolation", "there is an isolation and no energy to isolate", "list the energies or leave the isolation out")
	case iso == nil && len(c.p.Openings) > 0 && len(c.p.Prerequisites) == 0:
		c.add("openings", "joints that may hold pressure are opened and nothing isolates them", "list the energies, or require the procedure that isolates them under prerequisites")
	}
	if iso != nil {
		c.acts(iso)
		c.inPhase("isolation.step", iso.Step, PhaseIsolate)
	}
	for i := range c.p.Energies {
		c.energy(at("energies", i), &c.p.Energies[i])
	}
	for i, o := range c.p.Openings {
		c.rightAndWrong(at("openings", i), "not", []string{o.Do}, o.Not)
	}
}

// acts checks that every act of the isolation has an id and a text of its own:
// they stand beside each other in one item.
func (c *checker) acts(iso *Isolation) {
	type act struct {
		path string
		Action
	}
	var all []act
	for i, a := range iso.Prepare {
		all = append(all, act{at("isolation.prepare", i), a})
	}
	all = append(all, act{"isolation.shutdown", iso.Shutdown}, act{"isolation.first_opening", iso.FirstOpening})
	for i, a := range iso.Restore {
		all = append(all, act{at("isolation.restore", i), a})
	}
	for i, a := range all {
		for _, b := range all[:i] {
			if a.ID == b.ID && a.ID != "" && listOf(a.path) != listOf(b.path) {
				c.add(join(a.path, "id"), fmt.Sprintf("the id %q is taken by %s", a.ID, b.path), "give each act of the isolation an id of its own")
			}
			if sameText(a.Text, b.Text) {
				c.add(join(a.path, "text"), fmt.Sprintf("reads the same as %s", b.path), "say what is different about it, or delete one")
			}
		}
	}
}

func (c *checker) energy(path string, e *Energy) {
	if e.ID == "shutdown" || e.ID == "opening" {
		c.add(join(path, "id"), fmt.Sprintf("the id %q is kept for the facts isolation/shutdown and isolation/opening", e.ID), "give the energy another id")
	}
	c.inPhase(join(path, "step"), e.Step, PhaseIsolate)
	c.rightAndWrong(path, "no_proof", []string{e.Prove}, e.NoProof)
	acts := map[string]string{}
	for _, a := range []struct{ key, text string }{{"isolate", e.Isolate}, {"lock", e.Lock}, {"relieve", e.Relieve}, {"prove", e.Prove}} {
		if first, ok := acts[folded(a.text)]; ok && a.text != "" {
			c.add(join(path, a.key), fmt.Sprintf("reads the same as %s", first), "isolating, locking, relieving and proving are four acts; write each of them out")
		}
		acts[folded(a.text)] = a.key
	}
	if r := e.Returns; r != nil {
		c.rightAndWrong(join(path, "returns"), "not", []string{r.Do}, r.Not)
	}
}

// inPhase checks that a step that something names belongs to a phase.
func (c *checker) inPhase(path, id string, phase Phase) {
	if s := c.steps[id]; s != nil && s.Phase != phase {
		c.add(path, fmt.Sprintf("the step %q is of the phase %s", id, s.Phase), fmt.Sprintf("name a step of the phase %s", phase))
	}
}

// provedFirst checks that whatever opens the machine comes after the proof of
// every energy: each step of the phase strip, and each step that states an
// opening. An opening that must itself come before a proof belongs to relieving,
// as the clearing of a choked drain does.
func (c *checker) provedFirst() {
	before := ancestors(c.p.Steps)
	for i, s := range c.p.Steps {
		follows := slices.ContainsFunc(s.After, func(id string) bool { return c.steps[id] != nil && c.steps[id].Phase == PhaseStrip })
		if s.Phase == PhaseStrip && !follows { // what follows a step of strip is as late as that one
			c.afterProofs(join(at("steps", i), "after"), s.ID, before)
		}
	}
	for i, o := range c.p.Openings {
		relieves := slices.ContainsFunc(c.p.Energies, func(e Energy) bool { return before[e.Step][o.Step] })
		if s := c.steps[o.Step]; s != nil && s.Phase != PhaseStrip && !relieves {
			c.afterProofs(join(at("openings", i), "step"), o.Step, before)
		}
	}
}

func (c *checker) afterProofs(path, step string, before map[string]map[string]bool) {
	var missing []string
	for _, e := range c.p.Energies {
		if c.steps[e.Step] != nil && !before[step][e.Step] && !slices.Contains(missing, e.Step) {
			missing = append(missing, e.Step)
		}
	}
	if len(missing) > 0 {
		c.add(path, fmt.Sprintf("the step %q opens the machine and does not come after the proof of zero at %s", step, andList(missing)),
			"let it come after the last of the isolating steps")
	}
}
