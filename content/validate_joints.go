package content

import (
	"fmt"
	"slices"
)

func (c *checker) jointsRules() {
	for i := range c.p.Joints {
		j, path := &c.p.Joints[i], at("joints", i)
		c.pattern(path, j)
		c.tighten(join(path, "tighten"), &j.Tighten)
		c.threadState(path, j)
		c.loadSteps(join(path, "load_steps"), j)
		c.lengths(join(path, "lengths"), j)
		if j.Align != nil {
			c.align(join(path, "align"), j.Align, &j.Tighten)
		}
		if cp := j.CheckPass; cp != nil {
			c.rightAndWrong(join(path, "check_pass"), "not", []string{cp.Do}, cp.Not)
		}
		if a := j.Again; a != nil {
			c.rightAndWrong(join(path, "again"), "not", []string{a.When}, a.Not)
		}
		if p := c.parts[j.Fastener]; p != nil && !c.covers(j.Builds, p.Builds) {
			c.add(join(path, "fastener"), fmt.Sprintf("the part %q does not belong to every build of the joint", j.Fastener), "give the joint the builds of its fastener")
		}
	}
	c.fastenerCounts()
}

// pattern asks package bolting whether the fasteners can stand so and whether
// the rule can judge them; its errors say what to write.
func (c *checker) pattern(path string, j *Joint) {
	if j.Pattern.Shape == "" && j.Pattern.Count == 0 {
		return // reported as missing
	}
	if err := j.Pattern.Check(); err != nil {
		c.add(join(path, "pattern"), err.Error(), "")
		return
	}
	if j.Sequence != nil && j.Sequence.Rule.Kind != "" {
		if err := j.Sequence.Rule.Check(j.Pattern); err != nil {
			c.add(join(path, "sequence.rule"), err.Error(), "")
		}
	}
}

// fastenerCounts checks that a build has enough of a fastener for each joint that takes it.
func (c *checker) fastenerCounts() {
	for i, j := range c.p.Joints {
		p := c.parts[j.Fastener]
		if p != nil && p.Quantity > 0 && j.Pattern.Count > p.Quantity {
			c.add(join(at("joints", i), "pattern"), fmt.Sprintf("%d fasteners, and the procedure lists %d of the part %q", j.Pattern.Count, p.Quantity, p.ID), "mend the count here or the quantity there")
		}
	}
}

// fields of a target that each way of tightening needs and may have.
var targetKeys = map[TightenBy]struct{ need, may []string }{
	ByTorque:      {[]string{"torque"}, []string{"tolerance"}},
	ByTorqueAngle: {[]string{"torque", "angle"}, []string{"tolerance"}},
	ByTurns:       {[]string{"angle"}, nil},
	ByGap:         {[]string{"gap"}, []string{"tolerance"}},
	ToStop:        {},
}

func (c *checker) tighten(path string, t *Tighten) {
	keys, known := targetKeys[t.By]
	if !known {
		return // not an allowed word
	}
	for _, k := range []struct {
		name  string
		given bool
	}{{"torque", t.Torque != nil}, {"angle", t.Angle != nil}, {"gap", t.Gap != nil}, {"tolerance", t.Tolerance != nil}} {
		need := slices.Contains(keys.need, k.name)
		switch {
		case need && !k.given:
			c.add(join(path, k.name), fmt.Sprintf("is missing: tightening by %s needs it", t.By), fmt.Sprintf("add %s: or write another word under by", k.name))
		case k.given && !need && !slices.Contains(keys.may, k.name):
			c.add(join(path, k.name), fmt.Sprintf("tightening by %s takes no %s", t.By, k.name), "leave it out or write another word under by")
		}
	}
	c.band(path, t)
}

// band checks that the tolerance fits the target.
func (c *checker) band(path string, t *Tighten) {
	target := t.Torque
	if t.By == ByGap {
		target = t.Gap
	}
	if target == nil || target.IsZero() || t.Tolerance == nil || t.Tolerance.IsZero() {
		return
	}
	lo, _, err := t.Tolerance.Band(*target)
	switch {
	case err != nil:
		c.add(join(path, "tolerance"), fmt.Sprintf("%s does not fit a target of %s", t.Tolerance.Text(), target.Text()), "give it in percent or in the unit of the target")
	case lo.Value().Sign() < 0 || (lo.Value().Sign() == 0 && t.By != ByGap):
		c.add(join(path, "tolerance"), fmt.Sprintf("%s of %s reaches down to nothing", t.Tolerance.Text(), target.Text()), "give a narrower tolerance")
	}
}

func byTorque(by TightenBy) bool { return by == ByTorque || by == ByTorqueAngle }

func (c *checker) threadState(path string, j *Joint) {
	if byTorque(j.Tighten.By) && j.Thread == "" {
		c.add(join(path, "thread"), "is missing: a torque holds for one state of the thread only", "add thread: as in clean and dry, or oiled")
	}
}

func (c *checker) loadSteps(path string, j *Joint) {
	steps := j.LoadSteps
	if len(steps) == 0 {
		return
	}
	if !byTorque(j.Tighten.By) {
		c.add(path, fmt.Sprintf("tightening by %s has no load steps: they are percent of a torque", j.Tighten.By), "leave them out")
	}
	if len(steps) == 1 {
		c.add(path, "one load step is no step", "list at least two, as in [30, 60, 100], or leave them out")
	}
	for i := range steps {
		if i > 0 && steps[i] <= steps[i-1] {
			c.add(at(path, i), fmt.Sprintf("%d %% does not rise above %d %%", steps[i], steps[i-1]), "list the steps in rising order")
		}
	}
	if steps[0] < 1 || steps[len(steps)-1] != 100 {
		c.add(path, fmt.Sprintf("the load steps run from %d %% to %d %%", steps[0], steps[len(steps)-1]), "begin above 0 and end at 100")
	}
}

// lengths checks that every place of the joint gets one length.
func (c *checker) lengths(path string, j *Joint) {
	if len(j.Lengths) == 0 {
		return
	}
	if len(j.Lengths) == 1 {
		c.add(path, "one length for all places tells nobody where to put it", "list at least two lengths, or leave lengths out")
	}
	taken := map[int]string{}
	for i, l := range j.Lengths {
		c.lengthPlaces(at(path, i), l, j.Pattern.Count, taken)
		for k, other := range j.Lengths[:i] {
			if l.Length.Equal(other.Length) && !l.Length.IsZero() {
				c.add(join(at(path, i), "length"), fmt.Sprintf("%s is the length of %s too", l.Length.Text(), at(path, k)), "put all places of one length into one entry")
			}
		}
	}
	var left []int
	for n := 1; n <= min(j.Pattern.Count, 1000); n++ {
		if taken[n] == "" {
			left = append(left, n)
		}
	}
	if len(left) > 0 {
		c.add(path, "no length is given for place "+places(left), fmt.Sprintf("give each of the places 1 to %d a length", j.Pattern.Count))
	}
}

func (c *checker) lengthPlaces(path string, l Length, count int, taken map[int]string) {
	for k, n := range l.At {
		p := at(join(path, "at"), k)
		switch {
		case n < 1 || n > count:
			c.add(p, fmt.Sprintf("there is no place %d in a joint of %d", n, count), fmt.Sprintf("give places from 1 to %d", count))
		case taken[n] != "":
			c.add(p, fmt.Sprintf("the place %d has a length at %s", n, taken[n]), "name each place once")
		default:
			taken[n] = p
		}
	}
}
