package content

import (
	"fmt"
	"slices"
	"strings"
)

// order checks a partial order: that it has no circle, and that nothing in it
// is said twice. Each circle that a walk in the order of the file runs into is
// shown once. path gives the path of an element's list by its index.
func (c *checker) order(ids []string, after map[string][]string, path func(int) string, circle, verb string) {
	found := circles(ids, after)
	for _, ring := range found {
		c.add(path(slices.Index(ids, ring[0])), fmt.Sprintf("%s: %s", circle, strings.Join(ring, " "+verb+" ")),
			"take one of these out of the list of the one before it")
	}
	if len(found) > 0 {
		return
	}
	before := closure(ids, after)
	for i, id := range ids {
		if slices.Index(ids, id) != i {
			continue // a double id is reported already
		}
		for k, a := range after[id] {
			for _, other := range after[id] {
				if before[other][a] {
					c.add(at(path(i), k), fmt.Sprintf("%q follows already, since %q %s it", a, other, verb), "delete it: one order is one fact, stated once")
					break
				}
			}
		}
	}
}

// circles returns the circles that a depth-first walk runs into, each as the
// ids along it with the first again at the end.
func circles(ids []string, after map[string][]string) [][]string {
	const (
		open = 1
		done = 2
	)
	var found [][]string
	var trail []string
	state := map[string]int{}
	var visit func(id string)
	visit = func(id string) {
		state[id] = open
		trail = append(trail, id)
		for _, a := range after[id] {
			switch state[a] {
			case open:
				ring := slices.Clone(trail[slices.Index(trail, a):])
				found = append(found, append(ring, a))
			case 0:
				if slices.Contains(ids, a) {
					visit(a)
				}
			}
		}
		trail = trail[:len(trail)-1]
		state[id] = done
	}
	for _, id := range ids {
		if state[id] == 0 {
			visit(id)
		}
	}
	return found
}

// closure returns for each id everything that comes before it. The order must
// have no circle.
func closure(ids []string, after map[string][]string) map[string]map[string]bool {
	all := map[string]map[string]bool{}
	var visit func(id string) map[string]bool
	visit = func(id string) map[string]bool {
		if set, ok := all[id]; ok {
			return set
		}
		set := map[string]bool{}
		all[id] = set
		for _, a := range after[id] {
			set[a] = true
			for b := range visit(a) {
				set[b] = true
			}
		}
		return set
	}
	for _, id := range ids {
		visit(id)
	}
	return all
}
