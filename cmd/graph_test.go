package cmd_test

import (
	"encoding/json"
	"errors"
	"io"
	"os/exec"
	"slices"
	"strings"
	"testing"
)

// module is what every import path of ours begins with.
const module = "soloright"

// A pkg is one package of the import graph, without its tests.
type pkg struct {
	ImportPath string
	Standard   bool
	GoFiles    []string
	Imports    []string
}

// A graph holds the packages of the module and all that they need, by path.
type graph map[string]pkg

// loadGraph asks the go command for the import graph of this module.
func loadGraph(t *testing.T) graph {
	t.Helper()
	list := exec.Command("go", "list", "-deps", "-json=ImportPath,Standard,GoFiles,Imports", "./...")
	list.Dir = ".."
	var complaint strings.Builder
	list.Stderr = &complaint
	out, err := list.Output()
	if err != nil {
		t.Fatalf("go list: %v: %s", err, complaint.String())
	}
	g := graph{}
	for in := json.NewDecoder(strings.NewReader(string(out))); ; {
		var p pkg
		err := in.Decode(&p)
		if errors.Is(err, io.EOF) {
			return g
		}
		if err != nil {
			t.Fatalf("go list: %v", err)
		}
		g[p.ImportPath] = p
	}
}

// ours returns the paths below the module of its packages, sorted. A folder
// that holds nothing but tests is no package that anybody imports.
func (g graph) ours() []string {
	var names []string
	for path, p := range g {
		if name, ok := strings.CutPrefix(path, module+"/"); ok && len(p.GoFiles) > 0 {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	return names
}

// path returns a shortest chain of imports from a package to one that found
// accepts, both ends included; nil if there is none. The start is not asked.
func (g graph) path(from string, found func(string) bool) []string {
	before := map[string]string{from: ""}
	for queue := []string{from}; len(queue) > 0; queue = queue[1:] {
		for _, next := range g[queue[0]].Imports {
			if _, seen := before[next]; seen {
				continue
			}
			before[next] = queue[0]
			if found(next) {
				return chain(before, next)
			}
			queue = append(queue, next)
		}
	}
	return nil
}

// chain walks back from the end of a path and returns it from its start.
func chain(before map[string]string, end string) []string {
	var steps []string
	for at := end; at != ""; at = before[at] {
		steps = append(steps, at)
	}
	slices.Reverse(steps)
	return steps
}

// matches reports whether a pattern names the path: the path itself, with
// "/..." also everything below it, and "..." everything.
func matches(pattern, path string) bool {
	if pattern == "..." || pattern == path {
		return true
	}
	top, deep := strings.CutSuffix(pattern, "/...")
	return deep && (path == top || strings.HasPrefix(path, top+"/"))
}

func matchesAny(patterns []string, path string) bool {
	return slices.ContainsFunc(patterns, func(p string) bool { return matches(p, path) })
}
