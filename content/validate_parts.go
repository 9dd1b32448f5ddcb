package content

import (
	"fmt"
	"slices"

	"soloright/content/torque"
)

func (c *checker) partsRules() {
	for i := range c.p.Parts {
		e, path := &c.p.Parts[i], at("parts", i)
		if e.Critical && e.Disposition != AlwaysRenew {
			c.add(join(path, "critical"), "only a part that is always renewed can be critical: the miss is to refit it", "write disposition: always-renew, or mark the inspection critical instead")
		}
		for j := range e.Surfaces {
			c.surfaceRules(at(join(path, "surfaces"), j), &e.Surfaces[j])
		}
		if e.Facing != nil {
			c.facing(join(path, "facing"), e.Facing)
		}
	}
}

func (c *checker) surfaceRules(path string, s *Surface) {
	named := s.Treatment == Lubricate || s.Treatment == AntiSeize || s.Treatment == ThreadLock
	if named && s.Product == "" {
		c.add(join(path, "product"), fmt.Sprintf("is missing: the treatment %s names one", s.Treatment), "add product: with the name on the tin, as in silicone grease")
	}
	if !named && s.Product != "" {
		c.add(join(path, "product"), fmt.Sprintf("the treatment %s takes no product", s.Treatment), "leave the product out, or write treatment: lubricant, anti-seize or threadlock")
	}
	c.rightAndWrong(path, "never", []string{s.Product}, s.Never)
}

func (c *checker) facing(path string, f *Facing) {
	if sameText(f.Toward, f.Away) {
		c.add(join(path, "away"), "is the same as toward", "name the two ends of the surrounding differently")
	}
	if f.Kind == Directional {
		if f.Feature == "" {
			c.add(join(path, "feature"), "is missing: a directional part has a feature that faces one way", "add feature: as in the open side")
		}
		return
	}
	if f.Feature != "" {
		c.add(join(path, "feature"), fmt.Sprintf("a part that is %s has no feature that faces one way", f.Kind), "leave the feature out or write kind: directional")
	}
	if f.Critical {
		c.add(join(path, "critical"), "only a directional facing can be critical: no way round of this part is wrong enough", "leave it out or write kind: directional")
	}
	if f.Wrong != "" && f.Kind == Reversible {
		c.add(join(path, "if_wrong"), "a reversible part cannot be the wrong way round", "leave it out or write kind: directional")
	}
}

func (c *checker) stacksRules() {
	for i := range c.p.Stacks {
		st, path := &c.p.Stacks[i], at("stacks", i)
		if sameText(st.From, st.Far) {
			c.add(join(path, "far"), "is the same as from", "name the two ends differently")
		}
		var ids []string
		after := map[string][]string{}
		for _, l := range st.Layers {
			ids = append(ids, l.ID)
			after[l.ID] = append(after[l.ID], l.On...)
		}
		for j, l := range st.Layers {
			c.layer(at(join(path, "layers"), j), st, l, ids)
		}
		index := func(k int) string { return join(at(join(path, "layers"), k), "on") }
		c.order(ids, after, index, "the layers lie on each other in a circle", "goes in after")
	}
}

func (c *checker) layer(path string, st *Stack, l Layer, ids []string) {
	for k, on := range l.On {
		if !slices.Contains(ids, on) {
			c.problems = append(c.problems, Problem{Path: at(join(path, "on"), k), Message: fmt.Sprintf("the stack has no layer %q", on),
				Remedy: didYouMean(on, ids, "name a layer of this stack by its id"), Into: listOf(path)})
		}
	}
	if l.Critical && len(l.On) == 0 && l.Split == nil {
		c.add(join(path, "critical"), "the layer lies on nothing and has no split, so nothing about it can be missed", "say what it lies on, or leave critical out")
	}
	if p := c.parts[l.Part]; p != nil && !c.covers(st.Builds, p.Builds) {
		c.add(join(path, "part"), fmt.Sprintf("the part %q does not belong to every build of the stack", l.Part), "give the stack the builds of its parts")
	}
	if l.Split != nil {
		c.split(join(path, "split"), l.Split)
	}
}

func (c *checker) split(path string, s *Split) {
	right := aroundCircle(s.Angle)
	seen := []torque.Quantity{}
	for i, w := range s.Not {
		p := join(at(join(path, "not"), i), "angle")
		wrong := aroundCircle(w.Angle)
		if right == nil || wrong == nil {
			continue
		}
		if wrong.Cmp(right) == 0 {
			c.add(p, fmt.Sprintf("%s is stated both right and wrong", w.Angle.Text()), "give an angle that is wrong")
		}
		if slices.ContainsFunc(seen, func(q torque.Quantity) bool { return aroundCircle(q).Cmp(wrong) == 0 }) {
			c.add(p, fmt.Sprintf("%s stands in this list already", w.Angle.Text()), "delete one of the two")
		}
		seen = append(seen, w.Angle)
	}
}

// covers reports whether whatever holds for the builds `these` finds, in each of
// them, what holds for the builds `those`; an empty list means all builds.
func (c *checker) covers(these, those []string) bool {
	if len(these) == 0 {
		for _, b := range c.p.Builds {
			these = append(these, b.ID)
		}
	}
	return len(those) == 0 || !slices.ContainsFunc(these, func(b string) bool { return !slices.Contains(those, b) })
}

func didYouMean(word string, list []string, otherwise string) string {
	if n := Nearest(word, list); n != "" {
		return fmt.Sprintf("did you mean %s?", n)
	}
	return otherwise
}
