package content

import (
	"fmt"
	"slices"

	"soloright/content/torque"
)

func (c *checker) settingsRules() {
	for i := range c.p.Settings {
		s, path := &c.p.Settings[i], at("settings", i)
		c.readings(path, s)
		c.limit(join(path, "limit"), &s.Limit, &s.Resolution)
		if end := s.Limit.Max; end != nil || s.Limit.Min != nil {
			if end == nil {
				end = s.Limit.Min
			}
			c.sameMeasure(join(path, "near"), &s.Near, end, "the limit")
		}
	}
}

func (c *checker) readings(path string, s *Setting) {
	n, path := len(s.Readings), join(path, "readings")
	switch {
	case n == 0 || s.WorkOut == "":
		return
	case s.WorkOut == Direct && n != 1:
		c.add(path, fmt.Sprintf("%d readings, and the value is the reading itself", n), "name one reading, or say under work_out how they make one value")
	case s.WorkOut == Difference && n != 2:
		c.add(path, fmt.Sprintf("%d readings, and a difference is of two", n), "name the first and the second")
	case s.WorkOut != Direct && n < 2:
		c.add(path, fmt.Sprintf("one reading, and %s takes at least two", s.WorkOut), "name every reading, or write work_out: direct")
	}
}

func (c *checker) inspectionsRules() {
	for i := range c.p.Inspections {
		n, path := &c.p.Inspections[i], at("inspections", i)
		c.inspection(path, n)
		if n.Clean != nil {
			c.rightAndWrong(join(path, "clean"), "not", n.Clean.With, n.Clean.Not)
		}
		if p := c.parts[n.Part]; p != nil {
			c.disposed(path, n, p)
		}
	}
}

func (c *checker) inspection(path string, n *Inspection) {
	switch {
	case n.Limit != nil && len(n.Cases) > 0:
		c.add(path, "has a limit and cases", "make two inspections of them: one measured, one described")
	case n.Limit == nil && len(n.Cases) == 0 && n.Clean == nil:
		c.add(path, "states nothing", "add a limit: or cases:, or clean: where it is only cleaned")
	}
	if n.Limit != nil {
		c.limit(join(path, "limit"), n.Limit, n.Resolution)
		if n.Outside == "" {
			c.add(join(path, "outside"), "is missing: outside the limit there is a verdict", "add outside: dress or renew")
		}
		if n.Resolution == nil {
			c.add(join(path, "resolution"), "is missing: a measured inspection names the resolution of its gauge", "add resolution: as in 0.01 mm")
		}
		return
	}
	if n.Outside != "" {
		c.add(join(path, "outside"), "there is no limit to be outside of", "leave it out or add limit:")
	}
	if n.Resolution != nil {
		c.add(join(path, "resolution"), "there is no limit to measure", "leave it out or add limit:")
	}
}

// disposed checks that an inspection and the disposition of its part agree.
func (c *checker) disposed(path string, n *Inspection, p *Part) {
	if !c.covers(n.Builds, p.Builds) {
		c.add(join(path, "part"), fmt.Sprintf("the part %q does not belong to every build of the inspection", p.ID), "give the inspection the builds of its part")
	}
	if n.Limit == nil && len(n.Cases) == 0 {
		return
	}
	switch p.Disposition {
	case AlwaysRenew:
		kept := func(k Case) bool { return k.Verdict == VerdictRefit || k.Verdict == VerdictDress }
		if n.Limit != nil || slices.ContainsFunc(n.Cases, kept) {
			c.add(join(path, "part"), fmt.Sprintf("the part %q is always renewed, and here it may be refitted", p.ID), "write disposition: inspect at the part, or take the inspection out")
		}
	case RefitAsItIs:
		c.add(join(path, "part"), fmt.Sprintf("the part %q is refitted as it is, and here it is inspected", p.ID), "write disposition: inspect at the part, or take the inspection out")
	}
}

func (c *checker) testsRules() {
	for i := range c.p.Tests {
		for j := range c.p.Tests[i].Accept {
			c.criterion(at(join(at("tests", i), "accept"), j), &c.p.Tests[i].Accept[j])
		}
	}
}

func (c *checker) criterion(path string, k *Criterion) {
	described := len(k.Pass) > 0 || len(k.Fail) > 0
	switch {
	case k.Limit == nil && !described:
		c.add(path, "has nothing to accept or refuse by", "add limit: and resolution:, or pass: and fail:")
	case k.Limit != nil && described:
		c.add(path, "has a limit and things seen", "make two criteria of them: one measured, one described")
	case described && len(k.Pass) == 0:
		c.add(join(path, "pass"), "is missing: what may be seen when the test is passed", "add pass: with at least one entry")
	case described && len(k.Fail) == 0:
		c.add(join(path, "fail"), "is missing: what may be seen when the test is failed", "add fail: with at least one entry")
	}
	c.rightAndWrong(path, "fail", k.Pass, k.Fail)
	if k.Limit != nil {
		c.limit(join(path, "limit"), k.Limit, k.Resolution)
		if k.Resolution == nil {
			c.add(join(path, "resolution"), "is missing: a measured criterion names the resolution of its gauge", "add resolution: as in 0.05 bar")
		}
	} else if k.Resolution != nil {
		c.add(join(path, "resolution"), "there is no limit to measure", "leave it out or add limit:")
	}
}

func (c *checker) toolsRules() {
	for i, t := range c.p.Tools {
		path := at("tools", i)
		if t.Wrench != nil && t.Adapter != nil {
			c.add(join(path, "adapter"), "a wrench is no adapter", "list the adapter as a tool of its own")
		}
		if t.Wrench != nil {
			c.wrench(join(path, "wrench"), t.Name, t.Wrench)
		}
	}
}

// wrench asks package torque whether the scale is possible.
func (c *checker) wrench(path, name string, w *Wrench) {
	u := w.Min.Unit()
	for i, q := range []torque.Quantity{w.Min, w.Max, w.Graduation} {
		if q.IsZero() || q.Unit().Dimension() != torque.Torque || q.Value().Sign() < min(i, 1) {
			return // reported already: only the least mark may be 0
		}
		if q.Unit() != u {
			c.add(path, fmt.Sprintf("its scale is in %s and in %s", u, q.Unit()), "give min, max and graduation in the one unit of the scale")
			return
		}
	}
	scale := torque.Wrench{Name: name, Unit: u, Min: w.Min.Value(), Max: w.Max.Value(), Graduation: w.Graduation.Value()}
	if err := scale.Check(); err != nil {
		c.add(path, err.Error(), "")
	}
}
