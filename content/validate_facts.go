package content

import (
	"fmt"
	"reflect"
	"slices"
)

// stated checks the facts themselves: there are some, each has an id of its own,
// and in each build that it holds for a step states it.
func (c *checker) stated() {
	facts := Facts(c.p)
	if len(facts) == 0 {
		c.add("", "states no fact", "state at least one thing that a technician must hold")
	}
	said := map[string]bool{}
	for _, build := range c.buildIDs() {
		q := ForBuild(c.p, build)
		steps := newElements(q).steps
		for _, f := range Facts(q) {
			if steps[f.Step] != nil || (c.steps[f.Step] == nil && f.Step != "") {
				continue // stated, or a reference that leads nowhere and is reported already
			}
			if path := c.elementPath(f); !said[path] {
				said[path] = true
				c.unstated(path, build, f)
			}
		}
	}
}

// buildIDs lists the builds, or "" for a procedure without.
func (c *checker) buildIDs() []string {
	if len(c.p.Builds) == 0 {
		return []string{""}
	}
	ids := make([]string, len(c.p.Builds))
	for i, b := range c.p.Builds {
		ids[i] = b.ID
	}
	return ids
}

func (c *checker) unstated(path, build string, f Fact) {
	in, section := "", sectionOfKind(f.Kind)
	if build != "" && f.Step != "" {
		in = fmt.Sprintf(" of the build %q", build)
	}
	c.add(join(path, "step"), fmt.Sprintf("no step%s states %q", in, f.Subject), fmt.Sprintf("name it under %s at a step, or add step: with the id of one", keyAtStep(section)))
}

// keyAtStep is the key under which a step names an element of a section.
func keyAtStep(section string) string {
	if section == "parts" {
		return section
	}
	return singular(section)
}

// elementPath is the path of the element that states a fact.
func (c *checker) elementPath(f Fact) string {
	section := sectionOfKind(f.Kind)
	v := reflect.ValueOf(c.p).Elem()
	for _, k := range Keys(v.Type()) {
		if k.Name != section {
			continue
		}
		for i := range v.Field(k.Index).Len() {
			if entryKey(v.Field(k.Index).Index(i), "id") == f.Subject {
				return at(section, i)
			}
		}
	}
	return section
}

// sectionOfKind is the section whose elements state facts of the kind.
func sectionOfKind(k FactKind) string {
	switch k {
	case KindIsolation, KindProof, KindReturn:
		return "energies"
	case KindOpening:
		return "openings"
	case KindLayer, KindSplit:
		return "stacks"
	case KindSetting, KindWorkOut:
		return "settings"
	case KindTest, KindCriterion:
		return "tests"
	case KindInspection, KindClean:
		return "inspections"
	case KindObservation:
		return "observations"
	case KindCause:
		return "faults"
	case KindHazard:
		return "hazards"
	case KindTools, KindPrecede, KindHold:
		return "steps"
	}
	if slices.Contains([]FactKind{KindQuantity, KindDisposition, KindSurface, KindNever, KindGrease, KindFacing}, k) {
		return "parts"
	}
	return "joints"
}
