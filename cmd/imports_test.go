package cmd_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
)

// The domain: pure functions of their arguments. What reads files stays out of
// quiz and scoring, so they are given facts and never fetch them.
var (
	facts  = []string{"content", "content/torque", "content/bolting"}
	domain = []string{"content/...", "quiz/...", "scoring/..."}
)

const (
	gin       = "github.com/gin-gonic/gin/..."
	gonum     = "gonum.org/v1/gonum/..."
	sqlx      = "github.com/jmoiron/sqlx/..."
	validator = "github.com/go-playground/validator/v10"
)

// A rule says what one package of ours imports by itself. The standard library
// is free; prohibitions, below, say where it is not.
type rule struct {
	who  string   // a path below the module
	ours []string // packages of ours, below the module
	libs []string // libraries
}

// mayImport holds one rule for each package. A package that no rule names fails
// the test: whoever adds one decides here where it belongs.
var mayImport = []rule{
	// What a procedure states.
	{"content", facts, []string{validator}},
	{"content/torque", nil, nil},
	{"content/bolting", []string{"content/torque"}, nil},
	{"content/procfile", facts, []string{"go.yaml.in/yaml/v4", "go.yaml.in/yaml/v4/plugin/loaderlimits", "github.com/google/jsonschema-go/..."}},
	{"content/library", append(facts, "content/procfile"), nil},

	// What is asked, and what an answer is worth.
	{"quiz", facts, []string{gonum}},
	{"quiz/itemmodel", append(facts, "quiz"), nil},
	{"scoring", append(facts, "quiz/...", "scoring/itemstat"), []string{gonum}},
	{"scoring/itemstat", nil, []string{gonum}},
	{"scoring/itemhealth", []string{"scoring/itemstat"}, []string{gonum}},
	{"scoring/held", []string{"scoring/itemstat"}, nil},
	{"scoring/clearance", facts, nil},
	{"scoring/rebuild", append(facts, "scoring/clearance"), nil},
	{"scoring/ledger", nil, []string{"golang.org/x/mod/sumdb/tlog", "golang.org/x/mod/sumdb/note"}},

	// The application, and what stands around it.
	{"api", domain, []string{validator, "golang.org/x/crypto/...", "golang.org/x/sync/...", "golang.org/x/text/..."}},
	{"api/edge", []string{"api"}, []string{gin}},
	{"api/paper", append(domain, "api"), []string{"codeberg.org/go-pdf/fpdf", "github.com/piglig/go-qr/...", "golang.org/x/image/..."}},
	{"api/v1", append(domain, "api", "api/edge", "api/paper"), []string{gin, "github.com/getkin/kin-openapi/..."}},
	{"api/store", append(domain, "api"), []string{sqlx, "github.com/lib/pq/...", "modernc.org/sqlite/...", "github.com/pressly/goose/v3/..."}},
	{"api/store/storetest", append(domain, "api", "api/store"), []string{"..."}},
	{"api/testenv", nil, []string{"github.com/chromedp/...", "github.com/lib/pq/..."}},
	{"web", append(domain, "api", "api/edge", "api/paper", "web/drawing"), []string{gin, "golang.org/x/text/..."}},
	{"web/drawing", domain, nil},

	// Where everything is chosen and joined.
	{"cmd/soloright", append(domain, "api/...", "web/...", "cmd/soloright/..."), []string{"..."}},
	{"cmd/soloright/crew", append(domain, "api"), nil},
	// What an auditor has to trust: the ledger and what it imports, and beyond that
	// only what reads the command line and draws the progress.
	{"cmd/soloright-verify", []string{"scoring/ledger"}, []string{"golang.org/x/mod/sumdb/tlog", "golang.org/x/mod/sumdb/note", "github.com/alecthomas/kong", "github.com/schollz/progressbar/v3"}},
}

// A prohibition says what a package must not reach, by however many steps.
// None of the libraries that the domain is allowed reaches any of this by
// itself, so there are no exceptions.
type prohibition struct {
	who   []string // packages of ours
	never []string // full import paths
	why   string
}

var mayNotReach = []prohibition{
	{append(domain, "api"), []string{"net/http", gin, "database/sql", sqlx},
		"the rules know no face and no database"},
	{[]string{"api/v1", "web/..."}, []string{module + "/api/store/..."},
		"a face that could reach the store could forget a rule"},
	{[]string{"web/..."}, []string{module + "/api/v1"},
		"the faces do not know each other"},
	{[]string{"api/..."}, []string{module + "/web/..."},
		"the faces do not know each other"},
	{[]string{"content/...", "quiz/...", "scoring/...", "api/...", "web/..."}, []string{module + "/cmd/..."},
		"only cmd chooses, so nothing leans on what it chose"},
	{[]string{"cmd/soloright-verify"}, []string{"database/sql", sqlx, gin},
		"an auditor checks files, and needs nothing that serves or stores"},
	{[]string{"cmd/...", "web/...", "api", "api/edge", "api/paper", "api/v1", "api/store"},
		[]string{module + "/api/testenv", module + "/api/store/storetest", "github.com/chromedp/...", "testing"},
		"what tests need does not ship"},
}

func TestImports(t *testing.T) {
	g := loadGraph(t)
	for _, complaint := range breaches(g) {
		t.Error(complaint)
	}
}

// breaches returns a sentence for each import that a rule forbids.
func breaches(g graph) []string {
	var found []string
	for _, name := range g.ours() {
		i := slices.IndexFunc(mayImport, func(r rule) bool { return r.who == name })
		if i < 0 {
			found = append(found, fmt.Sprintf("no rule says what %s may import", name))
			continue
		}
		found = append(found, mayImport[i].breaches(g)...)
		for _, p := range mayNotReach {
			if matchesAny(p.who, name) {
				found = append(found, p.breaches(g, name)...)
			}
		}
	}
	return found
}

func (r rule) breaches(g graph) []string {
	var found []string
	for _, path := range g[module+"/"+r.who].Imports {
		name, isOurs := strings.CutPrefix(path, module+"/")
		switch {
		case isOurs && !matchesAny(r.ours, name):
			found = append(found, fmt.Sprintf("%s imports %s, and no rule lets it", r.who, name))
		case !isOurs && !g[path].Standard && !matchesAny(r.libs, path):
			found = append(found, fmt.Sprintf("%s imports the library %s, and no rule lets it", r.who, path))
		}
	}
	return found
}

func (p prohibition) breaches(g graph, name string) []string {
	var found []string
	for _, never := range p.never {
		steps := g.path(module+"/"+name, func(path string) bool { return matches(never, path) })
		if steps != nil {
			found = append(found, fmt.Sprintf("%s reaches %s, but %s", name, strings.Join(steps[1:], " → "), p.why))
		}
	}
	return found
}

// Each rule finds the import that it is there to forbid, near and far.
func TestImportsFindsBreaches(t *testing.T) {
	for _, c := range []struct {
		imports []string // "package path path …", each below the module unless it has a dot or is in the standard library
		want    string
	}{
		{[]string{"soloright/quiz soloright/content", "soloright/content"}, ""},
		{[]string{"soloright/gossip"}, "no rule says what gossip may import"},
		{[]string{"soloright/content soloright/quiz", "soloright/quiz"}, "content imports quiz"},
		{[]string{"soloright/content net/http"}, "content reaches net/http"},
		{[]string{"soloright/quiz soloright/content", "soloright/content " + validator, validator + " net/http"},
			"quiz reaches soloright/content → " + validator + " → net/http"},
		{[]string{"soloright/api github.com/gin-gonic/gin"}, "api reaches github.com/gin-gonic/gin"},
		{[]string{"soloright/api database/sql"}, "api reaches database/sql"},
		{[]string{"soloright/scoring github.com/jmoiron/sqlx"}, "scoring reaches github.com/jmoiron/sqlx"},
		{[]string{"soloright/web soloright/api/paper", "soloright/api/paper soloright/api/store", "soloright/api/store"},
			"web reaches soloright/api/paper → soloright/api/store"},
		{[]string{"soloright/web soloright/api/v1", "soloright/api/v1"}, "web reaches soloright/api/v1"},
		{[]string{"soloright/api/v1 soloright/web", "soloright/web"}, "api/v1 reaches soloright/web"},
		{[]string{"soloright/api soloright/cmd/soloright/crew", "soloright/cmd/soloright/crew"}, "api reaches soloright/cmd/soloright/crew"},
		{[]string{"soloright/scoring/ledger soloright/content", "soloright/content"}, "scoring/ledger imports content"},
		{[]string{"soloright/scoring/ledger golang.org/x/mod/semver"}, "scoring/ledger imports the library golang.org/x/mod/semver"},
		{[]string{"soloright/cmd/soloright-verify soloright/api", "soloright/api"}, "cmd/soloright-verify imports api"},
		{[]string{"soloright/cmd/soloright-verify soloright/scoring/ledger", "soloright/scoring/ledger database/sql"}, "cmd/soloright-verify reaches soloright/scoring/ledger → database/sql"},
		{[]string{"soloright/scoring/itemstat soloright/quiz", "soloright/quiz"}, "scoring/itemstat imports quiz"},
		{[]string{"soloright/cmd/soloright soloright/api/testenv", "soloright/api/testenv"}, "cmd/soloright reaches soloright/api/testenv"},
	} {
		got := strings.Join(breaches(made(c.imports)), "\n")
		if c.want == "" && got != "" || !strings.Contains(got, c.want) {
			t.Errorf("%q: found %q, want %q", c.imports, got, c.want)
		}
	}
}

// made returns the graph in which each line's first package imports the others.
// A path without a dot in its first element, and not ours, is standard.
func made(lines []string) graph {
	g := graph{}
	for _, line := range lines {
		paths := strings.Fields(line)
		for _, path := range paths {
			first, _, _ := strings.Cut(path, "/")
			p := g[path]
			p.ImportPath, p.GoFiles = path, []string{"a.go"}
			p.Standard = first != module && !strings.Contains(first, ".")
			g[path] = p
		}
		p := g[paths[0]]
		p.Imports = paths[1:]
		g[paths[0]] = p
	}
	return g
}
