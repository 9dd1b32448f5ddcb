package content

import (
	"fmt"
	"strconv"
)

// Problem is one thing that is wrong with a procedure or a blueprint.
type Problem struct {
	Path    string // where, in the keys of a file: "joints[2].align"; "" is the whole of it
	Message string // what is wrong
	Remedy  string // what to write instead
	Into    string // of a reference that leads nowhere: the section it points into; else ""
}

// String returns the problem as one line, "joints[2].align: message; remedy".
func (p Problem) String() string {
	s := p.Message
	if p.Path != "" {
		s = p.Path + ": " + s
	}
	if p.Remedy != "" {
		s += "; " + p.Remedy
	}
	return s
}

// Validate returns everything that is wrong with the procedure, all at once, in
// the order of the sections; none means that every fact of it may be served. It
// changes nothing and never panics, whatever the procedure holds.
//
// The cost is that of the order of the steps, at most the square of their number;
// a list of more than a thousand entries is refused before that is worked out.
//
// What one procedure cannot know is left to who holds them all: whether its
// prerequisites exist.
func Validate(p *Procedure) []Problem {
	c := &checker{p: p, elements: newElements(p)}
	if c.fields(p); c.tooLong {
		return c.problems
	}
	c.references(p)
	c.prerequisites()
	c.isolation()
	c.toolsRules()
	c.partsRules()
	c.stacksRules()
	c.jointsRules()
	c.settingsRules()
	c.inspectionsRules()
	c.testsRules()
	c.diagnosisRules()
	c.stepsRules()
	c.stated()
	return c.problems
}

// checker gathers problems. Each of its methods looks at one subject and goes
// on after a problem, so that all are reported at once.
type checker struct {
	elements
	p        *Procedure
	problems []Problem
	tooLong  bool // some list is beyond what a procedure can need
}

// add reports a problem at a path.
func (c *checker) add(path, message, remedy string) {
	c.problems = append(c.problems, Problem{Path: path, Message: message, Remedy: remedy})
}

func (c *checker) prerequisites() {
	for i, id := range c.p.Prerequisites {
		switch {
		case id == c.p.ID:
			c.add(at("prerequisites", i), "a procedure cannot require itself", "delete it")
		case !idSyntax.MatchString(id):
			c.add(at("prerequisites", i), fmt.Sprintf("%q is no id of a procedure", id), "use lower-case letters, digits and single hyphens")
		}
	}
}

// at is the path of element i of a list.
func at(list string, i int) string { return list + "[" + strconv.Itoa(i) + "]" }
