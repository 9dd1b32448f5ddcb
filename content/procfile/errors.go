package procfile

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Error is one error of a file.
type Error struct {
	File    string // as it was given to Read
	Line    int    // from 1
	Column  int    // from 1, in characters
	Path    string // the keys that lead there, "joints[2].align"; "" is the whole file
	Message string // what is wrong
	Remedy  string // what to write instead
}

// Error returns the error as one line, "file:line:column: path: message; remedy".
func (e Error) Error() string {
	s := fmt.Sprintf("%s:%d:%d: ", e.File, e.Line, e.Column)
	if e.Path != "" {
		s += e.Path + ": "
	}
	s += e.Message
	if e.Remedy != "" {
		s += "; " + e.Remedy
	}
	return s
}

// Errors is everything that is wrong with a file, in the order of the lines.
type Errors struct {
	List []Error
}

// Error returns the errors, one a line.
func (e *Errors) Error() string {
	lines := make([]string, len(e.List))
	for i, one := range e.List {
		lines[i] = one.Error()
	}
	return strings.Join(lines, "\n")
}

// sorted returns the reader's errors in the order of the lines; those at one
// place stand in the order in which they were found.
func (r *reader) sorted() *Errors {
	slices.SortStableFunc(r.errs, func(a, b Error) int {
		return cmp.Or(cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column))
	})
	return &Errors{List: r.errs}
}
