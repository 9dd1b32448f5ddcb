package content

import (
	"cmp"
	"fmt"
	"slices"
)

// ValidateBlueprint returns everything that is wrong with the blueprint, all at
// once. With a nil procedure it looks only at what the blueprint says by itself.
// Whether the procedure can fill it is said by assembly, which knows the items.
func ValidateBlueprint(b *Blueprint, p *Procedure) []Problem {
	c := &checker{p: p}
	c.fields(b)
	c.bounds(b)
	c.topics(b)
	if p != nil {
		c.fits(b, p)
	}
	return c.problems
}

func (c *checker) bounds(b *Blueprint) {
	if b.Items < 24 || b.Items > 40 {
		c.add("items", fmt.Sprintf("a form of %d items is not allowed", b.Items), "ask for 24 to 40")
	}
	if b.Cut < 50 || b.Cut > 100 {
		c.add("cut", fmt.Sprintf("a cut score of %d %% is not allowed", b.Cut), "give whole percent from 50 to 100")
	}
	if b.Minutes < 1 || b.Minutes > 480 {
		c.add("minutes", fmt.Sprintf("a time of %d minutes is not allowed", b.Minutes), "give 1 to 480; half a minute to two minutes an item is usual")
	}
	if b.MinIsolation < 0 || b.MinIsolation > b.Items || b.MaxIsolation > 0 && b.MinIsolation > b.MaxIsolation {
		c.add("min_isolation", fmt.Sprintf("at least %d items on isolation are asked for, and at most %d", b.MinIsolation, cmp.Or(b.MaxIsolation, b.Items)), "lower it, or raise max_isolation")
	}
	if b.MaxIsolation > 0 && b.MaxCritical > 0 && b.MaxIsolation > b.MaxCritical {
		c.add("max_isolation", fmt.Sprintf("%d items on isolation, and at most %d critical ones, which they are among", b.MaxIsolation, b.MaxCritical), "lower it, or raise max_critical")
	}
	if b.Difficulty != 0 && (b.Difficulty < 50 || b.Difficulty > 100) {
		c.add("difficulty", fmt.Sprintf("a difficulty of %d %% is not allowed", b.Difficulty), "give the mark that somebody at the cut is to expect, from 50 to 100; the cut itself is usual")
	}
	if most := b.Items / 4; b.Information < 0 || b.Information > most {
		c.add("information", fmt.Sprintf("%d items cannot tell %d per squared logit", b.Items, b.Information), fmt.Sprintf("give at most %d: an item tells ¼ at the most", most))
	}
}

func (c *checker) topics(b *Blueprint) {
	least, most, unbounded := 0, 0, len(b.Topics) < len(Topics)
	seen := map[Topic]bool{}
	for i, t := range b.Topics {
		path := at("topics", i)
		if seen[t.Topic] {
			c.add(join(path, "topic"), fmt.Sprintf("the topic “%s” has a rule above", t.Topic), "keep one rule for each topic")
		}
		seen[t.Topic] = true
		if t.Max > 0 && t.Max < t.Min {
			c.add(join(path, "max"), fmt.Sprintf("the maximum %d is below the minimum %d", t.Max, t.Min), "raise it, or leave it out for no bound")
		}
		least += max(0, t.Min)
		most += t.Max
		unbounded = unbounded || t.Max == 0
	}
	if least > b.Items {
		c.add("topics", fmt.Sprintf("the minima come to %d items, the form has %d", least, b.Items), "lower the minima or ask for more items")
	}
	if !unbounded && most < b.Items {
		c.add("topics", fmt.Sprintf("the maxima come to %d items, the form has %d", most, b.Items), "raise a maximum or ask for fewer items")
	}
	if len(b.Always) > b.Items {
		c.add("always", fmt.Sprintf("%d facts always appear, the form has %d items", len(b.Always), b.Items), "list fewer facts or ask for more items")
	}
}

// fits checks the blueprint against the facts of its procedure.
func (c *checker) fits(b *Blueprint, p *Procedure) {
	if b.Procedure != "" && b.Procedure != p.ID {
		c.add("procedure", fmt.Sprintf("is for %q, the procedure is %q", b.Procedure, p.ID), "name the procedure "+p.ID)
	}
	var ids []string
	topics := map[Topic]bool{}
	for _, f := range Facts(p) {
		ids = append(ids, string(f.ID))
		topics[f.Kind.Topic()] = true
	}
	for i, id := range b.Always {
		if slices.Contains(ids, string(id)) {
			continue
		}
		c.add(at("always", i), fmt.Sprintf("the procedure states no fact %q", id),
			didYouMean(string(id), ids, "name a fact as the preview of the procedure lists it, as in facing/rod-cup-seal"))
	}
	for i, t := range b.Topics {
		if t.Min > 0 && slices.Contains(Topics, t.Topic) && !topics[t.Topic] {
			c.add(join(at("topics", i), "min"), fmt.Sprintf("the procedure states nothing on “%s”", t.Topic), "give 0 or leave the topic out")
		}
	}
}
