package procfile

import (
	"encoding/json"
	"fmt"
	"reflect"

	"github.com/google/jsonschema-go/jsonschema"

	"soloright/content"
	"soloright/content/torque"
)

const draft = "https://json-schema.org/draft/2020-12/schema"

// Schema returns the JSON Schema (draft 2020-12) of a procedure file, for editors
// that check and complete YAML. It is made from the types of package content, so
// it cannot fall behind them. It knows one key at a time: what Read accepts passes
// it, and what passes it may still be refused by Read.
func Schema() ([]byte, error) {
	return schemaOf(reflect.TypeFor[content.Procedure](), "Procedure file")
}

// BlueprintSchema returns the JSON Schema of a blueprint file.
func BlueprintSchema() ([]byte, error) {
	return schemaOf(reflect.TypeFor[content.Blueprint](), "Blueprint file")
}

func schemaOf(t reflect.Type, title string) ([]byte, error) {
	w := &schemaWriter{defs: map[string]*jsonschema.Schema{}, types: map[string]reflect.Type{}}
	root, err := w.object(t)
	if err != nil {
		return nil, err
	}
	root.Schema, root.Title, root.Defs = draft, title, w.defs
	out, err := json.MarshalIndent(root, "", "  ")
	if err != nil {
		return nil, fmt.Errorf("write the JSON Schema: %w", err)
	}
	return append(out, '\n'), nil
}

// schemaWriter gathers one definition for each struct type.
type schemaWriter struct {
	defs  map[string]*jsonschema.Schema
	types map[string]reflect.Type
}

// texts are the schemas of values that stand in a file as text of a certain form.
// The patterns ask for less than the parsers do: a number and then a unit.
var texts = map[reflect.Type]*jsonschema.Schema{
	reflect.TypeFor[torque.Quantity]():  {Type: "string", Pattern: `^\s*[+−-]?\s*[0-9.,]+(/[0-9]+)?\s*/?[^0-9.,/\s].*$`},
	reflect.TypeFor[torque.Tolerance](): {Type: "string", Pattern: `^\s*(±|[+−-]).*[0-9].*[^0-9.,/\s]\s*$`},
	reflect.TypeFor[content.Date]():     {Type: "string", Pattern: `^[0-9]{4}-[0-9]{2}-[0-9]{2}$`, Format: "date"},
}

// object makes the closed schema of a struct; the structs in it become definitions.
func (w *schemaWriter) object(t reflect.Type) (*jsonschema.Schema, error) {
	known := map[reflect.Type]*jsonschema.Schema{}
	for text, s := range texts {
		known[text] = s
	}
	for _, k := range content.Keys(t) {
		if inner := structOf(k.Type); inner != nil {
			if err := w.define(inner); err != nil {
				return nil, err
			}
			known[inner] = &jsonschema.Schema{Ref: "#/$defs/" + inner.Name()}
		}
	}
	s, err := jsonschema.ForType(t, &jsonschema.ForOptions{TypeSchemas: known})
	if err != nil {
		return nil, fmt.Errorf("make the JSON Schema of %s: %w", t.Name(), err)
	}
	for _, k := range content.Keys(t) {
		p := s.Properties[k.Name]
		refine(p, k)
		p.Description = meaning[k.ID()]
	}
	return s, nil
}

func (w *schemaWriter) define(t reflect.Type) error {
	if have, ok := w.types[t.Name()]; ok {
		if have != t {
			return fmt.Errorf("make the JSON Schema: two types are called %s", t.Name())
		}
		return nil
	}
	w.types[t.Name()] = t
	s, err := w.object(t)
	w.defs[t.Name()] = s
	return err
}

// refine narrows what the types alone give: no null, no empty list or text, the
// words and ids that are allowed.
func refine(s *jsonschema.Schema, k content.Key) {
	for _, t := range s.Types {
		if t != "null" {
			s.Type = t
		}
	}
	s.Types = nil
	one := 1
	if s.Type == "array" {
		s.MinItems = &one
		s.UniqueItems = s.Items.Type == "string"
		refine(s.Items, k)
		return
	}
	if s.Type != "string" || s.Pattern != "" {
		return
	}
	if words := content.Allowed(k); words != nil {
		for _, word := range words {
			s.Enum = append(s.Enum, word)
		}
		return
	}
	s.MinLength = &one
	if k.Name == "id" || (content.RefersTo(k) != "" && content.RefersTo(k) != "surfaces") {
		s.Pattern = content.IDSyntax
	}
}
