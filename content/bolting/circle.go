package bolting

import (
	"fmt"
	"slices"
)

// evenCircle is the crossing rule on an equally spaced circle of an even number.
type evenCircle struct {
	n      int
	size   int // of a group: 4 where 4 divides n, else 2
	groups int
}

func newEvenCircle(n int) evenCircle {
	if n%4 == 0 {
		return evenCircle{n, 4, n / 4}
	}
	return evenCircle{n, 2, n / 2}
}

// group numbers the groups so that neighbours differ by 1 modulo their number.
func (c evenCircle) group(place int) int { return place % c.groups }

func (c evenCircle) follows(prefix []int, next int) *fault {
	i := len(prefix)
	if i == 0 {
		return nil
	}
	last := prefix[i-1]
	if i%2 == 1 {
		if d := apart(c.n, last, next); d != c.n/2 {
			return &fault{ClauseOpposite, func() string {
				return fmt.Sprintf("the second of a pair stands opposite the first; %d was next", (last+c.n/2)%c.n+1)
			}}
		}
		return nil
	}
	if i%c.size != 0 {
		return c.second(last, next)
	}
	if f := c.nextGroup(prefix, next); f != nil {
		return f
	}
	if apart(c.n, last, next) == 1 { // never asked of 4 bolts, which are one group
		return &fault{ClauseFollow, func() string { return "they are neighbours, and no fastener directly follows its neighbour" }}
	}
	return nil
}

// second judges the first fastener of the second pair of a four.
func (c evenCircle) second(last, next int) *fault {
	if c.group(last) != c.group(next) {
		return &fault{ClauseQuarter, func() string {
			return fmt.Sprintf("the second pair of a four stands a quarter turn from the first; %s was next", c.pair(last+c.n/4))
		}}
	}
	return nil
}

// nextGroup judges the first fastener of a group.
func (c evenCircle) nextGroup(prefix []int, next int) *fault {
	last := c.group(prefix[len(prefix)-1])
	if !c.beside(last, c.group(next)) {
		return nil
	}
	used := make([]bool, c.groups)
	for _, place := range prefix {
		used[c.group(place)] = true
	}
	for g, u := range used {
		if !u && !c.beside(last, g) {
			return &fault{ClauseGroup, func() string {
				return fmt.Sprintf("its group is beside the last one while %s was still free", c.name(g))
			}}
		}
	}
	return nil
}

// beside reports whether two different groups have neighbouring fasteners.
func (c evenCircle) beside(a, b int) bool { return apart(c.groups, a, b) == 1 }

// name names a group by its first pair.
func (c evenCircle) name(group int) string {
	if c.size == 4 {
		return "the group of " + c.pair(group)
	}
	return c.pair(group)
}

// pair names a place and its opposite, the lower number first.
func (c evenCircle) pair(place int) string {
	a := place % (c.n / 2)
	return fmt.Sprintf("%d–%d", a+1, a+c.n/2+1)
}

// apart is how many places two fasteners of a circle of n stand apart, the shorter way.
func apart(n, a, b int) int {
	d := ((a-b)%n + n) % n
	return min(d, n-d)
}

// oddCircle is the crossing rule on an equally spaced circle of an odd number.
type oddCircle struct{ n int }

func (c oddCircle) follows(prefix []int, next int) *fault {
	if len(prefix) == 0 {
		return nil
	}
	last, half := prefix[len(prefix)-1], (c.n-1)/2
	if apart(c.n, last, next) == half {
		return nil
	}
	return &fault{ClauseStep, func() string {
		may := fmt.Sprint((last+half)%c.n + 1)
		if other := (last + half + 1) % c.n; slices.Contains(prefix, (last+half)%c.n) {
			may = fmt.Sprint(other + 1)
		} else if !slices.Contains(prefix, other) {
			may += fmt.Sprintf(" or %d", other+1)
		}
		return fmt.Sprintf("the next of %d stands %d places on, either way; %s was next", c.n, half, may)
	}}
}
