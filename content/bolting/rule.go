package bolting

import (
	"errors"
	"fmt"
)

// RuleKind is the kind of a sequence rule.
type RuleKind string

// The kinds of rules.
const (
	Cross    RuleKind = "cross"    // the crossing rule
	Circular RuleKind = "circular" // round the circle, either way, for check passes
	Pinned   RuleKind = "pinned"   // a published table that the procedure pins
)

// What a pinned table lists. The two differ, for example, for 12 bolts.
const (
	OrderOfPlaces = "order-of-places" // the places in the order in which they are tightened
	Stamped       = "stamped"         // for each place the order stamped beside it
)

// Rule is a sequence rule. Pinned and Means belong to a pinned table only; the table
// counts up to rotation and reflection of the joint, unless the pattern pins a start
// fastener: then only as it stands.
type Rule struct {
	Kind   RuleKind `json:"kind"`
	Pinned []int    `json:"pinned,omitempty"`
	Means  string   `json:"means,omitempty"`
}

// Check returns why the rule cannot judge the pattern and what to write instead,
// or nil. It checks the pattern first.
func (r Rule) Check(p Pattern) error {
	_, err := bind(p, r)
	return err
}

// bind makes the judge of the rule for the pattern.
func bind(p Pattern, r Rule) (judge, error) {
	if err := p.Check(); err != nil {
		return nil, err
	}
	if r.Kind != Pinned && (len(r.Pinned) > 0 || r.Means != "") {
		return nil, fmt.Errorf("a table with the rule %q: leave the table out, or write the kind pinned", string(r.Kind))
	}
	switch r.Kind {
	case Cross:
		return bindCross(p)
	case Circular:
		return bindCircular(p)
	case Pinned:
		return bindPinned(p, r)
	}
	return nil, fmt.Errorf("sequence rule %q is not known: write cross, circular or pinned", string(r.Kind))
}

func bindCross(p Pattern) (judge, error) {
	switch {
	case p.Count < 4:
		return nil, fmt.Errorf("a crossing pattern of %d fasteners: it needs 4; pin a sequence", p.Count)
	case p.Shape == Free:
		return nil, errors.New("a crossing pattern on a free pattern: it has no rule; pin a sequence")
	case p.Shape == Circle && p.Count%2 == 1:
		return oddCircle{p.Count}, nil
	case p.Shape == Circle:
		return newEvenCircle(p.Count), nil
	}
	return bindPairs(p)
}

func bindPairs(p Pattern) (judge, error) {
	g := measure(p.Points)
	if !g.symmetric() {
		return nil, errors.New("a crossing pattern needs every fastener to have another opposite through the centre: mend the points or pin a sequence")
	}
	if p.StartAt > 0 && g.ring[p.StartAt-1] > 0 {
		return nil, fmt.Errorf("start at fastener %d: a crossing pattern starts nearest the centre; start there or pin a sequence", p.StartAt)
	}
	return pairs{g}, nil
}

func bindCircular(p Pattern) (judge, error) {
	c := circular{make([]int, p.Count)}
	if p.Shape == Circle {
		for i := range c.spot {
			c.spot[i] = i
		}
		return c, nil
	}
	order, ok := measure(p.Points).around()
	if !ok {
		return nil, errors.New("round the circle: one fastener stands in the centre or behind another; pin a sequence")
	}
	for spot, i := range order {
		c.spot[i] = spot
	}
	return c, nil
}

func bindPinned(p Pattern, r Rule) (judge, error) {
	if len(r.Pinned) != p.Count {
		return nil, fmt.Errorf("a pinned table of %d for %d fasteners: list each once", len(r.Pinned), p.Count)
	}
	if at, why := notPermutation(p.Count, r.Pinned); at >= 0 {
		return nil, fmt.Errorf("pinned table: %s; list each of 1 to %d once", why, p.Count)
	}
	order := r.Pinned
	switch r.Means {
	case OrderOfPlaces:
	case Stamped:
		order = make([]int, p.Count)
		for i, turn := range r.Pinned {
			order[turn-1] = i + 1
		}
	default:
		return nil, fmt.Errorf("pinned table: what it lists (%q) is not known: write %s or %s", r.Means, OrderOfPlaces, Stamped)
	}
	if p.StartAt > 0 && order[0] != p.StartAt {
		return nil, fmt.Errorf("pinned table: it starts at fastener %d, the pattern at %d; make them agree", order[0], p.StartAt)
	}
	return newTable(p, order), nil
}
