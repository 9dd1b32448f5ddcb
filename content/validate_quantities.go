package content

import (
	"fmt"
	"strings"

	"soloright/content/torque"
)

// measure says what a key measures and how small its value may be.
type measure struct {
	of    torque.Dimension // Dimensionless: any
	least least
}

type least int

const (
	any0     least = iota // any value, below zero too
	notBelow              // zero or more
	above                 // more than zero
)

// measureOf holds the keys whose values must be of one kind, or may not be
// below zero, wherever they stand.
var measureOf = map[string]measure{
	"Wrench.min":            {torque.Torque, notBelow},
	"Wrench.max":            {torque.Torque, above},
	"Wrench.graduation":     {torque.Torque, above},
	"Wrench.length":         {torque.Length, above},
	"Tool.adapter":          {torque.Length, above},
	"Split.angle":           {torque.Angle, notBelow},
	"WrongAngle.angle":      {torque.Angle, notBelow},
	"Length.length":         {torque.Length, above},
	"Tighten.torque":        {torque.Torque, above},
	"Tighten.angle":         {torque.Angle, above},
	"Tighten.gap":           {torque.Length, above},
	"Align.every":           {torque.Angle, above},
	"Align.max_torque":      {torque.Torque, above},
	"Align.max_angle":       {torque.Angle, above},
	"Test.pressure":         {torque.Pressure, any0},
	"Test.hold_time":        {torque.Time, above},
	"Setting.resolution":    {torque.Dimensionless, above},
	"Criterion.resolution":  {torque.Dimensionless, above},
	"Inspection.resolution": {torque.Dimensionless, above},
}

// quantity checks what a value measures and its sign, and that counts are not
// below zero.
func (c *checker) quantity(f place) {
	if f.value.CanInt() && f.value.Int() < 0 {
		c.add(f.path, fmt.Sprintf("%d is below zero", f.value.Int()), "give a number of 0 or more")
	}
	q, ok := f.value.Interface().(torque.Quantity)
	m, known := measureOf[f.Key.ID()]
	if !ok || !known || q.IsZero() {
		return
	}
	if m.of != torque.Dimensionless && q.Unit().Dimension() != m.of {
		c.add(f.path, fmt.Sprintf("%s is %s, and %s is wanted", q.Text(), a(q.Unit().Dimension()), a(m.of)), "give it in "+units(m.of))
		return
	}
	switch sign := q.Value().Sign(); {
	case m.least == above && sign <= 0:
		c.add(f.path, q.Text()+" is not above zero", "give a value above zero")
	case m.least == notBelow && sign < 0:
		c.add(f.path, q.Text()+" is below zero", "give a value of zero or more")
	}
}

// a names a dimension with its article.
func a(d torque.Dimension) string {
	if d == torque.Angle {
		return "an " + d.String()
	}
	return "a " + d.String()
}

// units lists the units of a dimension, "N·m, dN·m … or kgf·cm".
func units(d torque.Dimension) string {
	all := torque.Units(d)
	names := make([]string, len(all))
	for i, u := range all {
		names[i] = u.String()
	}
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	return strings.Join(names[:len(names)-1], ", ") + " or " + names[len(names)-1]
}

// sameMeasure reports whether two values can be compared, and complains where
// they cannot. What is not given is left alone.
func (c *checker) sameMeasure(path string, q, like *torque.Quantity, what string) bool {
	if q == nil || like == nil || q.IsZero() || like.IsZero() {
		return false
	}
	have, want := q.Unit().Dimension(), like.Unit().Dimension()
	if have == want {
		return true
	}
	c.add(path, fmt.Sprintf("%s is %s, and %s, %s, is %s", q.Text(), a(have), what, like.Text(), a(want)), "give both in "+units(want)+", or both in "+units(have))
	return false
}

// limit checks a range of measured values, and that the gauge can tell within
// from without.
func (c *checker) limit(path string, l *Limit, resolution *torque.Quantity) {
	if l.Min == nil && l.Max == nil {
		c.add(path, "has neither a min nor a max", "give one of them or both")
		return
	}
	comparable := c.sameMeasure(join(path, "max"), l.Max, l.Min, "the min")
	if comparable && compare(*l.Min, *l.Max) > 0 {
		c.add(join(path, "min"), fmt.Sprintf("the min %s is above the max %s", l.Min.Text(), l.Max.Text()), "swap them or mend one")
	}
	end := l.Max
	if end == nil {
		end = l.Min
	}
	bothEnds := l.Min != nil && l.Max != nil
	if (bothEnds && !comparable) || !c.sameMeasure(sibling(path, "resolution"), resolution, end, "the limit") || !bothEnds {
		return
	}
	if band := width(*l.Min, *l.Max); band != nil && band.Sign() > 0 && band.Cmp(inUnit(*resolution, l.Max.Unit())) < 0 {
		c.add(sibling(path, "resolution"), fmt.Sprintf("a gauge that reads to %s cannot tell %s from %s", resolution.Text(), l.Min.Text(), l.Max.Text()), "give the resolution of a finer gauge")
	}
}

// sibling is the path of another key beside the last one of a path.
func sibling(path, key string) string { return path[:strings.LastIndex(path, ".")+1] + key }
