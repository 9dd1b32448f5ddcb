package procfile

import (
	"maps"
	"strings"

	"soloright/content"
)

// judge adds the problems of a check, each at the place of its path or of the
// nearest key round it, but for those that follow from errors of the reading.
func (r *reader) judge(problems []content.Problem) {
	c := r.consequences()
	for _, p := range problems {
		if !c.follows(p) {
			r.failAt(r.place(p.Path), p.Path, p.Message, p.Remedy)
		}
	}
}

// consequences says what cannot be judged because something could not be read.
type consequences struct {
	spoiled  map[string]bool // what could not be read
	above    map[string]bool // what it stands in
	sections map[string]bool // lists of which an entry or its id could not be read
}

func (r *reader) consequences() consequences {
	c := consequences{spoiled: maps.Clone(r.spoiled), above: map[string]bool{}, sections: map[string]bool{}}
	for path := range r.spoiled {
		c.sections[path] = true
		if entry := strings.TrimSuffix(path, ".id"); strings.HasSuffix(entry, "]") {
			c.sections[parent(entry)] = true
		}
		for p := path; p != ""; p = parent(p) {
			c.above[parent(p)] = true
		}
	}
	return c
}

// follows reports whether a problem stands at, above or below something that
// could not be read, or is a reference into a section that could not.
func (c consequences) follows(p content.Problem) bool {
	for path := p.Path; path != ""; path = parent(path) {
		if c.spoiled[path] {
			return true
		}
	}
	return c.spoiled[""] || c.above[p.Path] || (p.Into != "" && c.sections[p.Into])
}

// place is where a path stands, or the nearest key round it.
func (r *reader) place(path string) position {
	for ; path != ""; path = parent(path) {
		if at, ok := r.at[path]; ok {
			return at
		}
	}
	return r.at[""]
}

// parent cuts the last key or index off a path.
func parent(path string) string {
	return path[:max(0, strings.LastIndexAny(path, ".["))]
}
