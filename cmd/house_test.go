package cmd_test

import (
	"go/ast"
	"os"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"
)

// topLevel is all that may stand at the top of the tree, beside dot-files.
var topLevel = []string{
	"cmd", "api", "quiz", "scoring", "content", "web", "testdata",
	"README.md", "DEVELOPERS.md", "go.mod", "go.sum",
}

// The longest file and function that shipped code may hold, in lines.
const (
	longestFile     = 500
	longestFunction = 100
)

func TestTopLevel(t *testing.T) {
	entries, err := os.ReadDir("..")
	if err != nil {
		t.Fatal(err)
	}
	ignored := ignores(t)
	for _, entry := range entries {
		name := entry.Name()
		if strings.HasPrefix(name, ".") || slices.Contains(topLevel, name) || ignored(name) {
			continue
		}
		t.Errorf("%s has no place at the top level: it holds %v", name, topLevel)
	}
}

// The README opens with how to see the program and how to test it; .ci/run
// takes the second from there.
func TestReadmeGivesTheTwoCommands(t *testing.T) {
	text, err := os.ReadFile("../README.md")
	if err != nil {
		t.Fatal(err)
	}
	_, block, _ := strings.Cut(string(text), "```sh\n")
	block, _, _ = strings.Cut(block, "```")
	if want := "go run ./cmd/soloright demo\ngo test ./...\n"; block != want {
		t.Errorf("the first commands of README.md are %q, want %q", block, want)
	}
}

func TestFilesAndFunctionsAreShort(t *testing.T) {
	for _, f := range goFiles(t) {
		if f.isTest() {
			continue
		}
		if n := f.line(f.syntax.FileEnd); n > longestFile {
			t.Errorf("%s has %d lines; past %d it is two things", f.path, n, longestFile)
		}
		for _, decl := range f.syntax.Decls {
			fn, ok := decl.(*ast.FuncDecl)
			if !ok {
				continue
			}
			if n := f.line(fn.End()) - f.line(fn.Pos()) + 1; n > longestFunction {
				t.Errorf("%s: %s has %d lines, at most %d", f.path, fn.Name.Name, n, longestFunction)
			}
		}
	}
}

// A skipped test proves nothing, so whatever skips goes through the one
// function that CI turns into a failure.
func TestOnlyTestenvSkips(t *testing.T) {
	const place, door = "api/testenv/testenv.go", "unreachable"
	var used bool
	for _, f := range goFiles(t) {
		if !f.imports("testing") && !f.imports("pgregory.net/rapid") {
			continue
		}
		for _, decl := range f.syntax.Decls {
			fn, isFunc := decl.(*ast.FuncDecl)
			for _, call := range skips(decl) {
				if f.path == place && isFunc && fn.Name.Name == door {
					used = true
					continue
				}
				t.Errorf("%s:%d skips; only %s in %s may", f.path, f.line(call.Pos()), door, place)
			}
		}
	}
	if !used {
		t.Errorf("%s in %s skips nothing: does this test still see what it looks for?", door, place)
	}
}

// skips returns the calls below n of a method that skips a test.
func skips(n ast.Node) []*ast.CallExpr {
	var found []*ast.CallExpr
	ast.Inspect(n, func(n ast.Node) bool {
		call, ok := n.(*ast.CallExpr)
		if !ok {
			return true
		}
		if sel, ok := call.Fun.(*ast.SelectorExpr); ok && slices.Contains([]string{"Skip", "Skipf", "SkipNow"}, sel.Sel.Name) {
			found = append(found, call)
		}
		return true
	})
	return found
}

// What is not finished is not in the tree, so nothing in it says that it is not.
func TestNoLooseEnds(t *testing.T) {
	// In two halves, or this file would find itself.
	marks := []string{"TO" + "DO", "FIX" + "ME"}
	for name, text := range allFiles(t) {
		if !utf8.ValidString(text) {
			continue
		}
		for i, line := range slices.Collect(strings.Lines(text)) {
			for _, mark := range marks {
				if strings.Contains(line, mark) {
					t.Errorf("%s:%d: %s", name, i+1, strings.TrimSpace(line))
				}
			}
		}
	}
}
