package procfile_test

import (
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/rogpeppe/go-internal/txtar"

	"soloright/content/procfile"
)

var update = flag.Bool("update", false, "write what the tests got into testdata")

// example is the complete example of FORMAT.md, which most cases spoil in one place.
func example(t testing.TB) string {
	t.Helper()
	page, err := os.ReadFile("../library/FORMAT.md")
	if err != nil {
		t.Fatal(err)
	}
	_, block, _ := strings.Cut(string(page), "```yaml\n")
	block, _, found := strings.Cut(block, "```\n")
	if !found {
		t.Fatal("FORMAT.md has no yaml block")
	}
	return block
}

func TestExampleIsSound(t *testing.T) {
	if _, err := procfile.Read("example.yaml", []byte(example(t))); err != nil {
		t.Error(err)
	}
}

// Each case of testdata/*.txtar spoils a file and lists every error that it must
// give, word for word. A case is either a whole file, or edits to the example:
//
//	< a text of the example, once in it
//	> what stands there instead
//
// with as many lines of each as it takes; what follows "= " is what is wanted.
func TestCases(t *testing.T) {
	base := example(t)
	files, err := filepath.Glob("testdata/*.txtar")
	if err != nil || len(files) == 0 {
		t.Fatal("no cases: ", err)
	}
	for _, file := range files {
		archive, err := txtar.ParseFile(file)
		if err != nil {
			t.Fatal(err)
		}
		for i := range archive.Files {
			c := &archive.Files[i]
			t.Run(strings.TrimSuffix(filepath.Base(file), ".txtar")+"/"+c.Name, func(t *testing.T) {
				input, want := readCase(t, base, string(c.Data))
				got := errorLines(t, input)
				if *update {
					c.Data = []byte(beforeWanted(string(c.Data)) + prefixed("= ", got))
				} else if diff := cmp.Diff(want, got); diff != "" {
					t.Errorf("errors, -want +got:\n%s", diff)
				}
			})
		}
		if *update {
			if err := os.WriteFile(file, txtar.Format(archive), 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
}

func errorLines(t *testing.T, input string) string {
	t.Helper()
	p, err := procfile.Read("f.yaml", []byte(input))
	if err == nil {
		return ""
	}
	if p != nil {
		t.Error("a file with errors gave a procedure")
	}
	var all *procfile.Errors
	if !errors.As(err, &all) {
		t.Fatalf("the error is a %T", err)
	}
	return err.Error() + "\n"
}

// readCase gives the input of a case and the errors it wants.
func readCase(t *testing.T, base, text string) (input, want string) {
	t.Helper()
	var old, replaced, whole []string
	spoil := func() {
		if len(old) == 0 {
			return
		}
		o, r := strings.Join(old, "\n"), strings.Join(replaced, "\n")
		if n := strings.Count(base, o); n != 1 {
			t.Fatalf("stands %d times in the example:\n%s", n, o)
		}
		base = strings.Replace(base, o, r, 1)
		old, replaced = nil, nil
	}
	for line := range strings.Lines(text) {
		line = strings.TrimSuffix(line, "\n")
		switch {
		case strings.HasPrefix(line, "< "):
			if len(replaced) > 0 {
				spoil()
			}
			old = append(old, line[2:])
		case strings.HasPrefix(line, "> ") || line == ">":
			replaced = append(replaced, strings.TrimPrefix(strings.TrimPrefix(line, ">"), " "))
		case strings.HasPrefix(line, "= "):
			want += line[2:] + "\n"
		default:
			whole = append(whole, line)
		}
	}
	spoil()
	if len(whole) > 0 {
		return strings.Join(whole, "\n") + "\n", want
	}
	return base, want
}

func beforeWanted(text string) string {
	var out strings.Builder
	for line := range strings.Lines(text) {
		if !strings.HasPrefix(line, "= ") {
			out.WriteString(line)
		}
	}
	return out.String()
}

func prefixed(prefix, lines string) string {
	var out strings.Builder
	for line := range strings.Lines(lines) {
		fmt.Fprint(&out, prefix, line)
	}
	return out.String()
}
