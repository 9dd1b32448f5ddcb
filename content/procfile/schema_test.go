package procfile_test

import (
	"encoding/json"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/jsonschema-go/jsonschema"
	"go.yaml.in/yaml/v4"

	"soloright/content/library"
	"soloright/content/procfile"
	"soloright/content/torque"
)

// The schemas in the folder are what editors are pointed at; they are made, not written.
func TestSchemasAreCurrent(t *testing.T) {
	for file, make := range map[string]func() ([]byte, error){
		"procedure.schema.json": procfile.Schema,
		"blueprint.schema.json": procfile.BlueprintSchema,
	} {
		got, err := make()
		if err != nil {
			t.Fatal(err)
		}
		if *update {
			if err := os.WriteFile(file, got, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(string(want), string(got)); diff != "" {
			t.Errorf("%s is not what the types give; run the test with -update. -file +types:\n%s", file, diff)
		}
	}
}

func resolved(t *testing.T, schema func() ([]byte, error)) *jsonschema.Resolved {
	t.Helper()
	text, err := schema()
	if err != nil {
		t.Fatal(err)
	}
	var s jsonschema.Schema
	if err := json.Unmarshal(text, &s); err != nil {
		t.Fatal(err)
	}
	r, err := s.Resolve(nil)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// What reads passes the schema.
func TestSchemaAcceptsWhatReads(t *testing.T) {
	schema := resolved(t, procfile.Schema)
	sources := map[string][]byte{"the example": []byte(example(t))}
	procedures, err := library.Procedures()
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range procedures {
		if sources[p.ID], err = library.Source(p.ID); err != nil {
			t.Fatal(err)
		}
		if text := library.BlueprintSource(p.ID); text != nil {
			if err := resolved(t, procfile.BlueprintSchema).Validate(generic(t, text)); err != nil {
				t.Errorf("blueprint of %s: %v", p.ID, err)
			}
		}
	}
	for name, text := range sources {
		if err := schema.Validate(generic(t, text)); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// Slips that concern one key are seen by the schema, so in the editor.
func TestSchemaRefusesSlips(t *testing.T) {
	schema := resolved(t, procfile.Schema)
	for name, edit := range map[string][2]string{
		"unknown key":             {"owner:", "Owner:"},
		"unknown key inside":      {"    fastener: bolt", "    fastner: bolt"},
		"missing key":             {"title: Renewal of the rod seals of a clamp cylinder\n", ""},
		"missing key inside":      {"    hold_time: 5 min\n", ""},
		"number for a text":       {`revision: "A"`, "revision: 3"},
		"text for a number":       {"      count: 4", "      count: four"},
		"text for true":           {"    normal: true", "    normal: yes"},
		"null":                    {"summary: Strip on the bench, renew the seals, rebuild and leak test.", "summary:"},
		"empty list":              {"prerequisites: [energy-isolation]", "prerequisites: []"},
		"same twice":              {"    after: [piston-on, cushion-in]", "    after: [piston-on, piston-on]"},
		"not an allowed word":     {"    phase: inspect", "    phase: look"},
		"not an allowed word (2)": {"hand: right", "hand: up"},
		"no id":                   {"  - id: leak\n", "  - id: Leak Test\n"},
		"no id of a step":         {"    after: [cover-on]", "    after: [Cover on]"},
		"quantity without a unit": {"    pressure: 6 bar", `    pressure: "6"`},
		"bare number":             {"    pressure: 6 bar", "    pressure: 6"},
		"unit without a number":   {"    pressure: 6 bar", "    pressure: bar"},
		"tolerance":               {"tolerance: ±10 %", "tolerance: 10 %"},
		"date":                    {"issued: 2026-03-02", "issued: 2 March 2026"},
	} {
		t.Run(name, func(t *testing.T) {
			spoilt := strings.Replace(example(t), edit[0], edit[1], 1)
			if spoilt == example(t) {
				t.Fatalf("the example has no %q", edit[0])
			}
			if schema.Validate(generic(t, []byte(spoilt))) == nil {
				t.Error("the schema takes it")
			}
			if _, err := procfile.Read("f.yaml", []byte(spoilt)); err == nil {
				t.Error("Read takes it")
			}
		})
	}
}

// The patterns of the schema ask for less than the parsers: they pass whatever
// the parsers read, in every unit and spelling.
func TestSchemaPatternsPassWhatParses(t *testing.T) {
	schema := resolved(t, procfile.Schema)
	quantities := []string{"13,6Nm", "−3 °C", "1/4 turn", ".5 bar", "120 in-lb", "5 %", "3 pcs", " 13.6 N·m "}
	for d := torque.Torque; d <= torque.Count; d++ {
		for _, u := range torque.Units(d) {
			quantities = append(quantities, "12.5 "+u.String())
		}
	}
	for _, q := range quantities {
		if _, err := torque.Parse(q); err != nil {
			t.Fatal(err)
		}
		passes(t, schema, "pressure: 6 bar", "pressure: "+strconv.Quote(q))
	}
	for _, tol := range []string{"±10 %", "±1.5 N·m", "−5 % +10 %", "+/-10 %", "+10 % / -5 %", "± 0.5 N·m"} {
		if _, err := torque.ParseTolerance(tol); err != nil {
			t.Fatal(err)
		}
		passes(t, schema, "tolerance: ±10 %", "tolerance: "+strconv.Quote(tol))
	}
}

func passes(t *testing.T, schema *jsonschema.Resolved, old, with string) {
	t.Helper()
	text := strings.Replace(example(t), old, with, 1)
	if err := schema.Validate(generic(t, []byte(text))); err != nil {
		t.Errorf("%s: %v", with, err)
	}
}

// generic reads YAML as an editor does: into JSON's kinds of values by the core
// schema of YAML 1.2, in which a date is a text.
func generic(t *testing.T, text []byte) any {
	t.Helper()
	var doc yaml.Node
	if err := yaml.Load(text, &doc); err != nil {
		t.Fatal(err)
	}
	return genericNode(doc.Content[0])
}

func genericNode(n *yaml.Node) any {
	switch {
	case n.Kind == yaml.MappingNode:
		out := map[string]any{}
		for i := 0; i < len(n.Content); i += 2 {
			out[n.Content[i].Value] = genericNode(n.Content[i+1])
		}
		return out
	case n.Kind == yaml.SequenceNode:
		out := []any{}
		for _, c := range n.Content {
			out = append(out, genericNode(c))
		}
		return out
	case n.Tag == "!!int" || n.Tag == "!!float":
		f, err := strconv.ParseFloat(n.Value, 64)
		if err != nil {
			return n.Value
		}
		return f
	case n.Tag == "!!bool":
		return n.Value == "true"
	case n.Tag == "!!null":
		return nil
	}
	return n.Value
}
