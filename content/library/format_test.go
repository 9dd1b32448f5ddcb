package library_test

import (
	"flag"
	"fmt"
	"os"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"soloright/content"
	"soloright/content/library"
	"soloright/content/procfile"
)

var update = flag.Bool("update", false, "write the tables of FORMAT.md anew")

func format(t *testing.T) string {
	t.Helper()
	page, err := library.Format()
	if err != nil {
		t.Fatal(err)
	}
	return string(page)
}

var marker = regexp.MustCompile(`(?m)^<!-- keys: (.*) -->\n(?:\n?\|.*\n)*`)

// The tables of FORMAT.md are made from the types and the meanings of their
// keys, so that the page cannot fall behind.
func TestTablesAreCurrent(t *testing.T) {
	tables := map[string]string{}
	for _, s := range procfile.Describe() {
		tables[s.Name] = table(s)
	}
	page := format(t)
	made := marker.ReplaceAllStringFunc(page, func(old string) string {
		name := marker.FindStringSubmatch(old)[1]
		text, ok := tables[name]
		if !ok {
			t.Errorf("the page asks for the keys of %q, which are not there", name)
		}
		delete(tables, name)
		return "<!-- keys: " + name + " -->\n\n" + text
	})
	for name := range tables {
		t.Errorf("the page lacks the keys of %q", name)
	}
	if *update {
		if err := os.WriteFile("FORMAT.md", []byte(made), 0o644); err != nil {
			t.Fatal(err)
		}
	} else if diff := cmp.Diff(page, made); diff != "" {
		t.Errorf("run the test with -update. -page +types:\n%s", diff)
	}
}

func table(s procfile.Section) string {
	var out strings.Builder
	out.WriteString("| key | required | what | meaning |\n| --- | --- | --- | --- |\n")
	for _, r := range s.Rows {
		need, words := "", ""
		if r.Required {
			need = "yes"
		}
		if r.Allowed != nil {
			words = " One of: " + strings.Join(r.Allowed, ", ") + "."
		}
		fmt.Fprintf(&out, "| `%s` | %s | %s | %s%s |\n", r.Path, need, r.Kind, r.Meaning, words)
	}
	return out.String()
}

// Every key of every type has a meaning and stands on the page.
func TestEveryKeyIsDescribed(t *testing.T) {
	page := format(t)
	seen := map[reflect.Type]bool{}
	var visit func(reflect.Type)
	visit = func(of reflect.Type) {
		for of.Kind() == reflect.Pointer || of.Kind() == reflect.Slice {
			of = of.Elem()
		}
		if content.Scalar(of) || seen[of] {
			return
		}
		seen[of] = true
		for _, k := range content.Keys(of) {
			if !strings.Contains(page, "`"+k.Name+"`") && !strings.Contains(page, "."+k.Name+"`") {
				t.Errorf("FORMAT.md does not mention %s", k.ID())
			}
			visit(k.Type)
		}
	}
	visit(reflect.TypeFor[content.Procedure]())
	visit(reflect.TypeFor[content.Blueprint]())
	for _, s := range procfile.Describe() {
		for _, r := range s.Rows {
			if r.Meaning == "" {
				t.Errorf("%s: %s has no meaning", s.Name, r.Path)
			}
		}
	}
}

// The page names every kind of fact, with the id that Facts gives.
func TestEveryKindOfFactIsListed(t *testing.T) {
	page := format(t)
	for _, f := range exampleFacts(t) {
		if !strings.Contains(page, "`"+string(f.Kind)+"/") {
			t.Errorf("FORMAT.md does not list the facts %s/…", f.Kind)
		}
	}
}

// The example reads, uses every section once, and states facts of every kind.
func TestExample(t *testing.T) {
	p, err := procfile.Read("example.yaml", []byte(exampleText(t)))
	if err != nil {
		t.Fatal(err)
	}
	v := reflect.ValueOf(p).Elem()
	for _, k := range content.Keys(v.Type()) {
		if v.Field(k.Index).IsZero() {
			t.Errorf("the example does not use %s", k.Name)
		}
	}
	var kinds []content.FactKind
	for _, f := range exampleFacts(t) {
		kinds = append(kinds, f.Kind)
	}
	for _, s := range []content.FactKind{content.KindIsolation, content.KindRestore, content.KindProof, content.KindReturn, content.KindOpening,
		content.KindQuantity, content.KindDisposition, content.KindSurface, content.KindNever, content.KindGrease, content.KindFacing, content.KindLayer,
		content.KindSplit, content.KindTarget, content.KindThread, content.KindLoadSteps, content.KindSequence, content.KindCheckPass, content.KindAlign,
		content.KindLength, content.KindAgain, content.KindSetting, content.KindWorkOut, content.KindTest, content.KindCriterion, content.KindInspection,
		content.KindClean, content.KindObservation, content.KindCause, content.KindHazard, content.KindTools, content.KindPrecede, content.KindHold} {
		if !slices.Contains(kinds, s) {
			t.Errorf("the example states no fact of the kind %s", s)
		}
	}
}

func exampleText(t *testing.T) string {
	t.Helper()
	_, block, _ := strings.Cut(format(t), "```yaml\n")
	block, _, ok := strings.Cut(block, "```\n")
	if !ok {
		t.Fatal("FORMAT.md has no yaml block")
	}
	return block
}

func exampleFacts(t *testing.T) []content.Fact {
	t.Helper()
	p, err := procfile.Read("example.yaml", []byte(exampleText(t)))
	if err != nil {
		t.Fatal(err)
	}
	return content.Facts(p)
}
