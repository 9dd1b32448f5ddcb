package content_test

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"soloright/content"
	"soloright/content/library"
	"soloright/content/torque"
)

func TestLibraryIsSound(t *testing.T) {
	all, err := library.Procedures()
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range append(all, edited(t)) {
		for _, problem := range content.Validate(p) {
			t.Errorf("%s: %s", p.ID, problem)
		}
		for _, b := range p.Builds {
			if len(content.Facts(content.ForBuild(p, b.ID))) == 0 {
				t.Errorf("%s: the build %s states nothing", p.ID, b.ID)
			}
		}
	}
}

// An empty procedure lacks every key that is required, and only those.
func TestEmptyProcedure(t *testing.T) {
	got := map[string]bool{}
	for _, p := range content.Validate(&content.Procedure{}) {
		got[p.Path] = true
	}
	for _, k := range content.Keys(reflect.TypeFor[content.Procedure]()) {
		if got[k.Name] != k.Required {
			t.Errorf("%s: complained about %t, required %t", k.Name, got[k.Name], k.Required)
		}
	}
	if !got[""] {
		t.Error("nothing is said about the lack of facts")
	}
}

// Of a sound procedure, nothing that the files require can be taken away without
// a problem at its place; whatever is taken away, nothing panics.
func TestTakingAwayIsSeen(t *testing.T) {
	p := edited(t)
	for path, f := range settable(reflect.ValueOf(p).Elem(), "") {
		kept := reflect.New(f.value.Type()).Elem()
		kept.Set(f.value)
		f.value.SetZero()
		problems := content.Validate(p)
		f.value.Set(kept)
		number := f.value.CanInt() || f.value.CanFloat()
		if !f.key.Required || number || (f.value.Kind() == reflect.Struct && !content.Scalar(f.value.Type())) {
			continue // a number of 0 is a number, and keys are missed one by one
		}
		if !slices.ContainsFunc(problems, func(p content.Problem) bool { return p.Path == path }) {
			t.Errorf("%s is required and can be missing: %v", path, problems)
		}
	}
	if problems := content.Validate(p); len(problems) > 0 {
		t.Errorf("the test left the procedure spoilt: %v", problems)
	}
}

// What the cases of procfile cannot spoil in one place of the example.
func TestValidateSpoilt(t *testing.T) {
	for name, c := range map[string]struct {
		spoil func(*content.Procedure)
		want  string // the beginning of one problem
	}{
		"isolation without energies": {func(p *content.Procedure) { p.Energies = nil }, "isolation: there is an isolation and no energy"},
		"openings that nothing isolates": {func(p *content.Procedure) { p.Energies, p.Isolation, p.Prerequisites = nil, nil, nil },
			"openings: joints that may hold pressure are opened and nothing isolates them"},
		"bytes that are no text": {func(p *content.Procedure) { p.Owner = "caf\xe9" }, "owner: holds bytes that are no text"},
		"blanks":                 {func(p *content.Procedure) { p.Steps[0].Why = " " }, "steps[0].why: is empty"},
		"long text":              {func(p *content.Procedure) { p.Summary = strings.Repeat("a", 2001) }, "summary: is 2001 bytes long"},
		"long list":              {func(p *content.Procedure) { p.Builds = make([]content.Build, 1001) }, "builds: has 1001 entries"},
		"bad prerequisite":       {func(p *content.Procedure) { p.Prerequisites = []string{"A b"} }, `prerequisites[0]: "A b" is no id`},
	} {
		t.Run(name, func(t *testing.T) {
			p := edited(t)
			c.spoil(p)
			problems := content.Validate(p)
			if !slices.ContainsFunc(problems, func(p content.Problem) bool { return strings.HasPrefix(p.String(), c.want) }) {
				t.Errorf("want %q, got %v", c.want, problems)
			}
		})
	}
	p := edited(t)
	p.Prerequisites = nil
	if problems := content.Validate(p); len(problems) > 0 {
		t.Errorf("no prerequisites: %v", problems)
	}
}

type field struct {
	key   content.Key
	value reflect.Value
}

// settable lists every key of a value by its path.
func settable(v reflect.Value, path string) map[string]field {
	out := map[string]field{}
	var visit func(v reflect.Value, path string)
	visit = func(v reflect.Value, path string) {
		for v.Kind() == reflect.Pointer && !v.IsNil() {
			v = v.Elem()
		}
		switch {
		case v.Kind() == reflect.Slice:
			for i := range v.Len() {
				visit(v.Index(i), fmt.Sprintf("%s[%d]", path, i))
			}
		case v.Kind() == reflect.Struct && !content.Scalar(v.Type()):
			for _, k := range content.Keys(v.Type()) {
				p := k.Name
				if path != "" {
					p = path + "." + k.Name
				}
				out[p] = field{k, v.Field(k.Index)}
				visit(v.Field(k.Index), p)
			}
		}
	}
	visit(v, path)
	return out
}

// Whatever a procedure holds, checking and taking it apart do not panic, and
// each problem says something.
func TestValidateNeverPanics(t *testing.T) {
	words := []string{"", "a", "b", "torque", "cross", "pinned", "isolate", "strip", "directional", "a/a", "Ä", "\x00", "always-renew", "gap", "half-range"}
	rapid.Check(t, func(t *rapid.T) {
		p := new(content.Procedure)
		fill(t, reflect.ValueOf(p).Elem(), words, 0)
		for _, problem := range content.Validate(p) {
			if problem.Message == "" {
				t.Fatalf("an empty message at %s", problem.Path)
			}
		}
		content.Compare(p, p)
	})
}

func fill(t *rapid.T, v reflect.Value, words []string, depth int) {
	switch v.Kind() {
	case reflect.String:
		v.SetString(rapid.SampledFrom(words).Draw(t, "text"))
	case reflect.Int:
		v.SetInt(int64(rapid.IntRange(-2, 6).Draw(t, "number")))
	case reflect.Bool:
		v.SetBool(rapid.Bool().Draw(t, "flag"))
	case reflect.Float64:
		v.SetFloat(float64(rapid.IntRange(-2, 2).Draw(t, "place")))
	case reflect.Pointer:
		if rapid.Bool().Draw(t, "given") {
			v.Set(reflect.New(v.Type().Elem()))
			fill(t, v.Elem(), words, depth+1)
		}
	case reflect.Slice:
		n := rapid.IntRange(0, 2).Draw(t, "length")
		v.Set(reflect.MakeSlice(v.Type(), n, n))
		for i := range n {
			fill(t, v.Index(i), words, depth+1)
		}
	case reflect.Struct:
		if v.Type() == reflect.TypeFor[torque.Quantity]() {
			texts := []string{"1 N·m", "2 mm", "0 bar", "-3 °", "5 min", "1/3 turn"}
			q, _ := torque.Parse(rapid.SampledFrom(texts).Draw(t, "quantity"))
			v.Set(reflect.ValueOf(q))
			return
		}
		for _, k := range content.Keys(v.Type()) {
			fill(t, v.Field(k.Index), words, depth+1)
		}
	}
}

func TestValidateBlueprint(t *testing.T) {
	p := edited(t)
	sound := func() content.Blueprint {
		return content.Blueprint{Procedure: p.ID, Items: 30, Minutes: 45, Cut: 80,
			Topics: []content.TopicRule{{Topic: content.TopicIsolation, Min: 3, Max: 8}, {Topic: content.TopicTightening, Min: 2}},
			Always: []content.FactID{"facing/rod-seal"}}
	}
	for _, c := range []struct {
		name  string
		spoil func(*content.Blueprint)
		want  []string // paths
	}{
		{"sound", func(*content.Blueprint) {}, nil},
		{"bounds", func(b *content.Blueprint) { b.Items, b.Cut, b.Minutes = 23, 49, 0 }, []string{"items", "cut", "minutes"}},
		{"bounds above", func(b *content.Blueprint) { b.Items, b.Cut, b.Minutes = 41, 101, 1000 }, []string{"items", "cut", "minutes"}},
		{"bounds inclusive", func(b *content.Blueprint) { b.Items, b.Cut = 24, 50 }, nil},
		{"bounds inclusive above", func(b *content.Blueprint) { b.Items, b.Cut = 40, 100 }, nil},
		{"unknown topic", func(b *content.Blueprint) { b.Topics[0].Topic = "sealing" }, []string{"topics[0].topic"}},
		{"topic twice", func(b *content.Blueprint) { b.Topics[1].Topic = content.TopicIsolation }, []string{"topics[1].topic"}},
		{"minimum above maximum", func(b *content.Blueprint) { b.Topics[0].Min = 9 }, []string{"topics[0].max"}},
		{"below zero", func(b *content.Blueprint) { b.Topics[1].Min, b.Topics[1].Max = -1, -1 }, []string{"topics[1].min", "topics[1].max"}},
		{"more on isolation than critical", func(b *content.Blueprint) { b.MaxIsolation, b.MaxCritical = 3, 2 }, []string{"max_isolation"}},
		{"forms as hard as each other", func(b *content.Blueprint) { b.Difficulty, b.Information = b.Items+50, b.Items/4 }, nil},
		{"nobody at the cut expects that", func(b *content.Blueprint) { b.Difficulty = 49 }, []string{"difficulty"}},
		{"more than there is", func(b *content.Blueprint) { b.Difficulty, b.Information = 101, b.Items/4+1 }, []string{"difficulty", "information"}},
		{"bounds below zero", func(b *content.Blueprint) { b.MaxIsolation, b.MaxCritical = -1, -1 }, []string{"max_isolation", "max_critical"}},
		{"minima exceed items", func(b *content.Blueprint) { b.Topics[1].Min = 28 }, []string{"topics"}},
		{"maxima short of items", func(b *content.Blueprint) {
			b.Topics = nil
			for _, topic := range content.Topics {
				b.Topics = append(b.Topics, content.TopicRule{Topic: topic, Max: 3})
			}
		}, []string{"topics"}},
		{"unknown fact", func(b *content.Blueprint) { b.Always = append(b.Always, "facing/rod-seel") }, []string{"always[1]"}},
		{"fact twice", func(b *content.Blueprint) { b.Always = append(b.Always, b.Always[0]) }, []string{"always[1]"}},
		{"another procedure", func(b *content.Blueprint) { b.Procedure = "another" }, []string{"procedure"}},
		{"more facts than items", func(b *content.Blueprint) {
			b.Always = nil
			for _, f := range content.Facts(p)[:31] {
				b.Always = append(b.Always, f.ID)
			}
		}, []string{"always"}},
		{"no topics", func(b *content.Blueprint) { b.Topics = nil }, []string{"topics"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := sound()
			c.spoil(&b)
			var got []string
			seen := map[string]bool{}
			for _, problem := range content.ValidateBlueprint(&b, p) {
				if !seen[problem.Path] {
					got = append(got, problem.Path)
				}
				seen[problem.Path] = true
			}
			if fmt.Sprint(sorted(got)) != fmt.Sprint(sorted(c.want)) {
				t.Errorf("problems at %v, want %v", got, c.want)
			}
		})
	}
}

func TestValidateBlueprintAgainstFacts(t *testing.T) {
	p := edited(t)
	p.Observations, p.Faults = nil, nil
	b := content.Blueprint{Procedure: p.ID, Items: 30, Minutes: 45, Cut: 80, Topics: []content.TopicRule{{Topic: content.TopicDiagnosis, Min: 1}}}
	problems := content.ValidateBlueprint(&b, p)
	if len(problems) != 1 || problems[0].Path != "topics[0].min" {
		t.Errorf("a topic that nothing is stated on: %v", problems)
	}
	if b.Topics[0].Min = 0; len(content.ValidateBlueprint(&b, p)) > 0 {
		t.Error("a topic of none is refused")
	}
}

func TestNearest(t *testing.T) {
	keys := []string{"torque", "tolerance", "thread", "text", "step", "steps", "id", "of"}
	for word, want := range map[string]string{
		"torqe": "torque", "toruqe": "torque", "Torque": "torque", "tolernace": "tolerance", "stepp": "step", "steps": "steps",
		"tex": "text", "qqqqqq": "", "x": "", "": "", "supplier": "", "ie": "id",
	} {
		if got := content.Nearest(word, keys); got != want {
			t.Errorf("Nearest(%q) = %q, want %q", word, got, want)
		}
	}
}

func sorted(s []string) []string {
	out := slices.Clone(s)
	slices.Sort(out)
	return out
}
