package v1

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"net/http"
	"os"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/gin-gonic/gin"
	"github.com/google/jsonschema-go/jsonschema"

	"soloright/api"
	"soloright/content"
	"soloright/quiz"
	"soloright/scoring/itemstat"
)

var update = flag.Bool("update", false, "write openapi.json anew")

// obj is a JSON object whose keys are written in order.
type obj = map[string]any

// drafter collects the schemas of named types under components.
type drafter struct {
	t       *testing.T
	schemas obj
	named   map[reflect.Type]*jsonschema.Schema
}

// words are the types with a fixed set of texts.
var words = map[reflect.Type][]any{
	reflect.TypeFor[api.Role]():  {api.Technician, api.Trainer, api.SafetyOfficer, api.Administrator},
	reflect.TypeFor[api.Mode]():  {api.Practice, api.Qualifying, api.DeltaSitting},
	reflect.TypeFor[api.State](): {states[0], states[1], states[2], states[3]},
	reflect.TypeFor[quiz.Kind](): {quiz.Choice, quiz.Multiple, quiz.Match, quiz.Order, quiz.Sequence, quiz.Numeric, quiz.Hotspot},
}

func newDrafter(t *testing.T) *drafter {
	d := &drafter{t: t, schemas: obj{}, named: map[reflect.Type]*jsonschema.Schema{
		reflect.TypeFor[itemstat.Figure](): figureSchema(),
		reflect.TypeFor[time.Time]():       {Type: "string", Format: "date-time"},
		reflect.TypeFor[content.Date]():    {Type: "string", Format: "date"},
		reflect.TypeFor[quiz.Fraction]():   {Type: "string", Pattern: `^-?[0-9]+(/[0-9]+)?$`, Description: "an exact fraction"},
		reflect.TypeFor[quiz.Seed]():       {Type: "string"},
	}}
	for ty, texts := range words {
		s := &jsonschema.Schema{Type: "string"}
		for _, w := range texts {
			s.Enum = append(s.Enum, fmt.Sprint(w))
		}
		d.named[ty] = s
	}
	return d
}

// ref makes the schema of a value's type a component and returns a reference to it.
func (d *drafter) ref(v any) obj {
	d.t.Helper()
	ty := reflect.TypeOf(v)
	if _, done := d.schemas[ty.Name()]; !done {
		s, err := jsonschema.ForType(ty, &jsonschema.ForOptions{TypeSchemas: d.named})
		if err != nil {
			d.t.Fatalf("schema of %s: %v", ty, err)
		}
		limits(d.t, s, ty)
		d.schemas[ty.Name()] = nullable(d.t, s)
	}
	return obj{"$ref": "#/components/schemas/" + ty.Name()}
}

// limits puts what the validator holds a command to into its schema, so that a
// client can know it beforehand.
func limits(t *testing.T, s *jsonschema.Schema, ty reflect.Type) {
	t.Helper()
	for i := range ty.NumField() {
		name, _ := jsonName(ty.Field(i))
		field := s.Properties[name]
		for rule := range strings.SplitSeq(ty.Field(i).Tag.Get("validate"), ",") {
			word, value, _ := strings.Cut(rule, "=")
			if n, err := strconv.Atoi(value); err == nil && field != nil {
				limit(field, word, n)
			} else if word == "required" && field != nil && field.Type == "string" {
				field.MinLength = new(1)
			}
		}
	}
}

// limit sets one bound: of a text's length in characters, or of a number.
func limit(s *jsonschema.Schema, word string, n int) {
	text := s.Type == "string" || slices.Contains(s.Types, "string")
	switch {
	case word == "min" && text:
		s.MinLength = &n
	case word == "max" && text:
		s.MaxLength = &n
	case word == "min":
		s.Minimum = new(float64(n))
	case word == "max":
		s.Maximum = new(float64(n))
	}
}

// nullable turns the schema into plain JSON, without the null that pointers and
// slices may be in Go: the face never sends nor takes one, and says so.
func nullable(t *testing.T, s *jsonschema.Schema) any {
	t.Helper()
	raw, err := json.Marshal(s)
	if err != nil {
		t.Fatal(err)
	}
	var v any
	if err := json.Unmarshal(raw, &v); err != nil {
		t.Fatal(err)
	}
	return withoutNull(v)
}

func withoutNull(v any) any {
	switch v := v.(type) {
	case obj:
		if types, ok := v["type"].([]any); ok {
			types = slices.DeleteFunc(types, func(x any) bool { return x == "null" })
			if len(types) == 1 {
				v["type"] = types[0]
			}
		}
		if v["additionalProperties"] != nil {
			if not, ok := v["additionalProperties"].(obj); ok && reflect.DeepEqual(not, obj{"not": obj{}}) {
				v["additionalProperties"] = false
			}
		}
		for k := range v {
			v[k] = withoutNull(v[k])
		}
	case []any:
		for i := range v {
			v[i] = withoutNull(v[i])
		}
	}
	return v
}

var pathParameter = regexp.MustCompile(`:([a-z]+)`)

func (d *drafter) operation(r route) obj {
	op := obj{"operationId": r.id, "summary": r.summary, "responses": d.responses(r)}
	if r.open {
		op["security"] = []any{}
	}
	var params []any
	for _, m := range pathParameter.FindAllStringSubmatch(r.path, -1) {
		params = append(params, obj{"name": m[1], "in": "path", "required": true, "schema": obj{"type": "string"}})
	}
	for _, p := range r.query {
		params = append(params, obj{"name": p.name, "in": "query", "description": p.what, "schema": obj{"type": "string"}})
	}
	if params != nil {
		op["parameters"] = params
	}
	if r.text {
		file := obj{"type": "object", "description": "a procedure file; content/library/FORMAT.md says what it may hold"}
		op["requestBody"] = obj{"required": true, "content": obj{"application/yaml": obj{"schema": file}}}
	} else if r.body != nil {
		op["requestBody"] = obj{"required": true, "content": obj{"application/json": obj{"schema": d.ref(r.body)}}}
	}
	return op
}

func (d *drafter) responses(r route) obj {
	ok := obj{"description": "done"}
	if r.gives != "" {
		ok["content"] = obj{r.gives: obj{"schema": obj{"type": "string"}}}
	} else if r.result != nil {
		ok["content"] = obj{"application/json": obj{"schema": d.ref(r.result)}}
	} else if r.status == 200 {
		ok["content"] = obj{"application/json": obj{"schema": obj{"type": "object"}}}
	}
	out := obj{strconv.Itoa(r.status): ok}
	if r.also != 0 {
		out[strconv.Itoa(r.also)] = ok
	}
	problem := obj{"application/problem+json": obj{"schema": d.ref(Problem{})}}
	for _, status := range r.failures() {
		out[strconv.Itoa(status)] = obj{"description": "see detail", "content": problem}
	}
	return out
}

// failures are the statuses of the problem documents that an operation may
// answer with, but for what any address may: 405 for another method.
func (r route) failures() []int {
	out := append([]int{}, r.errors...)
	if !r.fixed {
		out = append(out, http.StatusInternalServerError, http.StatusServiceUnavailable)
	}
	if !r.open || r.body != nil { // who signs in may be refused too
		out = append(out, http.StatusUnauthorized)
	}
	if r.body != nil || r.text {
		out = append(out, http.StatusBadRequest, http.StatusRequestEntityTooLarge, http.StatusUnsupportedMediaType)
	}
	if r.query != nil {
		out = append(out, http.StatusBadRequest)
	}
	if r.method != http.MethodGet {
		out = append(out, http.StatusForbidden) // from a page of another site
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// draft makes the document from the table and the types.
func draft(t *testing.T) []byte {
	t.Helper()
	d := newDrafter(t)
	paths := obj{}
	for _, r := range routes {
		p := Prefix + pathParameter.ReplaceAllString(r.path, "{$1}")
		item, _ := paths[p].(obj)
		if item == nil {
			item = obj{}
			paths[p] = item
		}
		item[strings.ToLower(r.method)] = d.operation(r)
	}
	doc := obj{
		"openapi": "3.1.0",
		"info": obj{"title": "Soloright", "version": "1", "description": "Sittings, marks and their record. Errors are problem documents (RFC 9457)." +
			" The program teaches and records; it does not make work safe: the maker's manual, local codes and licensed practice come first."},
		"security":   []any{obj{"bearer": []any{}}, obj{"cookie": []any{}}},
		"paths":      paths,
		"components": obj{"schemas": d.schemas, "securitySchemes": obj{"bearer": obj{"type": "http", "scheme": "bearer"}, "cookie": obj{"type": "apiKey", "in": "cookie", "name": "__Host-soloright"}}},
	}
	raw, err := json.MarshalIndent(doc, "", " ")
	if err != nil {
		t.Fatal(err)
	}
	return append(raw, '\n')
}

func TestDocumentIsUpToDate(t *testing.T) {
	got := draft(t)
	if *update {
		if err := os.WriteFile("openapi.json", got, 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if !bytes.Equal(got, document) {
		t.Error("openapi.json is out of date; run go test ./api/v1 -run Document -update")
	}
}

func TestDocumentIsOpenAPI(t *testing.T) {
	doc, err := openapi3.NewLoader().LoadFromData(document)
	if err != nil {
		t.Fatal(err)
	}
	if err := doc.Validate(t.Context(), openapi3.IsOpenAPI31OrLater()); err != nil {
		t.Error(err)
	}
}

// Every object schema is closed: a field that is not described is an error.
func TestEveryObjectIsClosed(t *testing.T) {
	var doc any
	if err := json.Unmarshal(document, &doc); err != nil {
		t.Fatal(err)
	}
	objects := 0
	var walk func(path string, v any)
	walk = func(path string, v any) {
		switch v := v.(type) {
		case obj:
			if v["type"] == "object" && v["properties"] != nil {
				objects++
				if v["additionalProperties"] != false {
					t.Errorf("%s is open", path)
				}
			}
			for k := range v {
				walk(path+"/"+k, v[k])
			}
		case []any:
			for i := range v {
				walk(fmt.Sprint(path, "/", i), v[i])
			}
		}
	}
	walk("", doc)
	if objects < 20 {
		t.Errorf("only %d object schemas found", objects)
	}
}

// The routes that are registered are the ones that are described.
func TestRoutesAreDescribed(t *testing.T) {
	gin.SetMode(gin.ReleaseMode)
	e := gin.New()
	Register(e, nil, nil)
	doc, err := openapi3.NewLoader().LoadFromData(document)
	if err != nil {
		t.Fatal(err)
	}
	described := 0
	for _, r := range e.Routes() {
		if r.Method == http.MethodHead {
			continue // as GET, without the body
		}
		described++
		item := doc.Paths.Value(pathParameter.ReplaceAllString(r.Path, "{$1}"))
		if item == nil || item.GetOperation(r.Method) == nil {
			t.Errorf("%s %s is not described", r.Method, r.Path)
		}
	}
	if described != len(routes) {
		t.Errorf("%d routes are registered, %d described", described, len(routes))
	}
}

// figureSchema is a figure: its number and interval are left out where it is not
// known.
func figureSchema() *jsonschema.Schema {
	number, whole := &jsonschema.Schema{Type: "number"}, &jsonschema.Schema{Type: "integer"}
	return &jsonschema.Schema{Type: "object", Required: []string{"n"}, AdditionalProperties: &jsonschema.Schema{Not: &jsonschema.Schema{}},
		Properties: map[string]*jsonschema.Schema{"value": number, "lo": number, "hi": number, "level": number, "n": whole, "need": whole, "not_yet": {Type: "string"}}}
}
