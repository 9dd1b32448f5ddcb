// Package library holds the procedures that ship with the program: each a file
// ID.yaml, with a blueprint ID.blueprint.yaml beside it where the default one
// does not do. FORMAT.md says how a trainer writes one.
package library

import (
	"embed"
	"fmt"
	"slices"
	"strings"
	"sync"

	"soloright/content"
	"soloright/content/procfile"
)

//go:embed *.yaml FORMAT.md
var files embed.FS

const blueprintSuffix = ".blueprint.yaml"

// shelf is the library, read.
type shelf struct {
	procedures []*content.Procedure // by id
	blueprints map[string]*content.Blueprint
}

// open reads every embedded file, once.
var open = sync.OnceValues(readShelf)

// Procedures returns every procedure of the library, in the order of the ids.
// They are read once and shared: nobody may change them. An error means that the
// program was built with a file that does not read.
func Procedures() ([]*content.Procedure, error) {
	s, err := open()
	if err != nil {
		return nil, err
	}
	return slices.Clone(s.procedures), nil
}

// Procedure returns the procedure with the id.
func Procedure(id string) (*content.Procedure, error) {
	s, err := open()
	if err != nil {
		return nil, err
	}
	for _, p := range s.procedures {
		if p.ID == id {
			return p, nil
		}
	}
	return nil, fmt.Errorf("the library has no procedure %q", id)
}

// Blueprint returns the blueprint that stands beside the procedure, and whether
// there is one.
func Blueprint(id string) (*content.Blueprint, bool) {
	s, err := open()
	if err != nil {
		return nil, false
	}
	b, ok := s.blueprints[id]
	return b, ok
}

// Source returns the text of the procedure's file.
func Source(id string) ([]byte, error) { return source(id + ".yaml") }

// BlueprintSource returns the text of the blueprint beside the procedure, nil
// where there is none.
func BlueprintSource(id string) []byte {
	text, err := source(id + blueprintSuffix)
	if err != nil {
		return nil
	}
	return text
}

// Format returns FORMAT.md, the page that says how a procedure file is written.
func Format() ([]byte, error) { return source("FORMAT.md") }

func source(name string) ([]byte, error) {
	text, err := files.ReadFile(name)
	if err != nil {
		return nil, fmt.Errorf("the library has no file %s", name)
	}
	return text, nil
}

func readShelf() (*shelf, error) {
	s := &shelf{blueprints: map[string]*content.Blueprint{}}
	entries, err := files.ReadDir(".")
	if err != nil {
		return nil, fmt.Errorf("list the library: %w", err)
	}
	for _, e := range entries {
		id, isProcedure := strings.CutSuffix(e.Name(), ".yaml")
		if !isProcedure || strings.HasSuffix(e.Name(), blueprintSuffix) {
			continue
		}
		if err := s.take(id); err != nil {
			return nil, fmt.Errorf("read the library:\n%w", err)
		}
	}
	return s, s.prerequisites()
}

// take reads a procedure and the blueprint beside it.
func (s *shelf) take(id string) error {
	text, err := Source(id)
	if err != nil {
		return err
	}
	p, err := procfile.Read(id+".yaml", text)
	if err != nil {
		return err
	}
	if p.ID != id {
		return fmt.Errorf("the file %s.yaml holds the procedure %q", id, p.ID)
	}
	s.procedures = append(s.procedures, p)
	if text := BlueprintSource(id); text != nil {
		s.blueprints[id], err = procfile.ReadBlueprintFor(id+blueprintSuffix, text, p)
	}
	return err
}

// prerequisites checks what one file cannot know: that the procedures it
// requires are there.
func (s *shelf) prerequisites() error {
	for _, p := range s.procedures {
		for _, id := range p.Prerequisites {
			if !slices.ContainsFunc(s.procedures, func(q *content.Procedure) bool { return q.ID == id }) {
				return fmt.Errorf("%s requires the procedure %q, which the library does not have", p.ID, id)
			}
		}
	}
	return nil
}
