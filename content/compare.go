package content

// Comparison is how a new revision of a procedure differs from an old one, fact
// by fact. A fact that is in both with the same value, text and criticality is
// in none of the lists.
type Comparison struct {
	Added    []Fact   // in the new revision only, in its order
	Removed  []Fact   // in the old revision only, in its order
	Changed  []Change // another value, in the order of the new revision
	Reworded []Change // the same value in another text
	Regraded []Change // the same value, critical in one of the two only; may be reworded too
}

// Change is one fact as two revisions state it.
type Change struct {
	Old, New Fact
}

// Compare compares two revisions of a procedure by the ids of their facts. The
// order of the file and the steps that state the facts do not count. The cost is
// linear.
func Compare(old, new *Procedure) Comparison {
	var c Comparison
	before := map[FactID]Fact{}
	for _, f := range Facts(old) {
		before[f.ID] = f
	}
	here := map[FactID]bool{}
	for _, f := range Facts(new) {
		here[f.ID] = true
		if was, ok := before[f.ID]; ok {
			c.compare(Change{Old: was, New: f})
		} else {
			c.Added = append(c.Added, f)
		}
	}
	for _, f := range Facts(old) {
		if !here[f.ID] {
			c.Removed = append(c.Removed, f)
		}
	}
	return c
}

func (c *Comparison) compare(both Change) {
	if both.Old.Value != both.New.Value {
		c.Changed = append(c.Changed, both)
		return
	}
	if both.Old.Text != both.New.Text {
		c.Reworded = append(c.Reworded, both)
	}
	if both.Old.Critical != both.New.Critical {
		c.Regraded = append(c.Regraded, both)
	}
}

// Delta returns the facts that whoever was cleared on the old revision must show
// again, as the new one states them: what was added, then what was changed.
func (c Comparison) Delta() []Fact {
	out := make([]Fact, 0, len(c.Added)+len(c.Changed))
	out = append(out, c.Added...)
	for _, ch := range c.Changed {
		out = append(out, ch.New)
	}
	return out
}

// Same reports whether a clearance carries over as it is: no fact was added,
// removed or changed.
func (c Comparison) Same() bool {
	return len(c.Added) == 0 && len(c.Removed) == 0 && len(c.Changed) == 0
}
