package cmd_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// A goFile is one Go file of the tree, read and parsed.
type goFile struct {
	path   string // below the top of the tree, with slashes
	set    *token.FileSet
	syntax *ast.File
}

func (f goFile) isTest() bool { return strings.HasSuffix(f.path, "_test.go") }

// imports reports whether the file imports a package by its full path.
func (f goFile) imports(full string) bool {
	return slices.ContainsFunc(f.syntax.Imports, func(s *ast.ImportSpec) bool {
		return s.Path.Value == strconv.Quote(full)
	})
}

// line returns the number of the line that pos stands on.
func (f goFile) line(pos token.Pos) int { return f.set.Position(pos).Line }

// goFiles returns every Go file of the tree, sorted by path.
func goFiles(t *testing.T) []goFile {
	t.Helper()
	var files []goFile
	for name, text := range allFiles(t) {
		if path.Ext(name) != ".go" {
			continue
		}
		set := token.NewFileSet()
		syntax, err := parser.ParseFile(set, name, text, parser.SkipObjectResolution)
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, goFile{path: name, set: set, syntax: syntax})
	}
	slices.SortFunc(files, func(a, b goFile) int { return strings.Compare(a.path, b.path) })
	return files
}

// allFiles returns the text of every file of the tree by its path. Reading them
// in this process also tells the go command that these tests depend on each.
func allFiles(t *testing.T) map[string]string {
	t.Helper()
	top, ignored, texts := os.DirFS(".."), ignores(t), map[string]string{}
	err := fs.WalkDir(top, ".", func(name string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if name == ".git" || ignored(name) {
			if entry.IsDir() {
				return fs.SkipDir
			}
			return nil
		}
		if entry.IsDir() {
			return nil
		}
		text, err := fs.ReadFile(top, name)
		texts[name] = string(text)
		return err
	})
	if err != nil {
		t.Fatalf("read the tree: %v", err)
	}
	return texts
}

// ignores returns a function that reports whether .gitignore names a path below
// the top: what building and running leave lying about is not part of the tree.
func ignores(t *testing.T) func(name string) bool {
	t.Helper()
	text, err := os.ReadFile("../.gitignore")
	if err != nil {
		t.Fatal(err)
	}
	var globs []string
	for line := range strings.Lines(string(text)) {
		globs = append(globs, strings.TrimSuffix(strings.TrimSpace(line), "/"))
	}
	return func(name string) bool {
		return slices.ContainsFunc(globs, func(glob string) bool {
			against := path.Base(name)
			if anchored, ok := strings.CutPrefix(glob, "/"); ok {
				glob, against = anchored, name
			}
			ok, err := path.Match(glob, against)
			return err == nil && ok
		})
	}
}
