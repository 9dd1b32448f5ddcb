package cmd_test

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"path"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// impure tells, by import path, which names a pure function must not use. What
// is built from a given seed is allowed.
var impure = map[string]func(name string) bool{
	"time": func(name string) bool {
		return slices.Contains([]string{"Now", "Since", "Until", "After", "AfterFunc", "Tick", "NewTimer", "NewTicker", "Sleep"}, name)
	},
	"math/rand/v2": func(name string) bool {
		return !slices.Contains([]string{"New", "NewChaCha8", "NewPCG", "NewZipf", "Rand", "Source", "ChaCha8", "PCG", "Zipf"}, name)
	},
	"math/rand":   func(string) bool { return true },
	"crypto/rand": func(string) bool { return true },
}

// Time and randomness are arguments of the domain, so the same question gets
// the same answer on any day.
func TestDomainTakesTimeAndChance(t *testing.T) {
	for _, f := range goFiles(t) {
		if f.isTest() || !matchesAny(domain, path.Dir(f.path)) {
			continue
		}
		for _, use := range impureUses(f.syntax) {
			t.Errorf("%s: %s: time and randomness are arguments here", f.path, use)
		}
	}
}

// impureUses returns what a file uses of the packages in impure.
func impureUses(f *ast.File) []string {
	local := map[string]string{}
	for _, spec := range f.Imports {
		full, err := strconv.Unquote(spec.Path.Value)
		if err != nil || impure[full] == nil {
			continue
		}
		name := path.Base(strings.TrimSuffix(full, "/v2"))
		if spec.Name != nil {
			name = spec.Name.Name
		}
		local[name] = full
	}
	var found []string
	ast.Inspect(f, func(n ast.Node) bool {
		sel, ok := n.(*ast.SelectorExpr)
		if !ok {
			return true
		}
		if x, ok := sel.X.(*ast.Ident); ok && local[x.Name] != "" && impure[local[x.Name]](sel.Sel.Name) {
			found = append(found, local[x.Name]+"."+sel.Sel.Name)
		}
		return true
	})
	return found
}

func TestImpureUses(t *testing.T) {
	for body, want := range map[string]string{
		`import "time"; var x = time.Now()`:                                  "[time.Now]",
		`import "time"; var x = time.Second`:                                 "[]",
		`import clock "time"; var x = clock.Now`:                             "[time.Now]",
		`import "math/rand/v2"; var x = rand.IntN(3)`:                        "[math/rand/v2.IntN]",
		`import "math/rand/v2"; func f(r *rand.Rand) int { return r.Int() }`: "[]",
		`import "crypto/rand"; var x = rand.Reader`:                          "[crypto/rand.Reader]",
	} {
		f, err := parser.ParseFile(token.NewFileSet(), "x.go", "package x; "+body, 0)
		if err != nil {
			t.Fatal(err)
		}
		if got := fmt.Sprint(impureUses(f)); got != want {
			t.Errorf("%s: found %s, want %s", body, got, want)
		}
	}
}
