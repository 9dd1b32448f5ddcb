package procfile

import (
	"reflect"
	"strings"

	"soloright/content"
)

// Section is a part of the page that describes the format: the keys of one
// section of a file, or of a type that stands in several.
type Section struct {
	Name string // "joints"
	Rows []Row
}

// Row describes one key.
type Row struct {
	Path     string   // within an entry of the section, "lengths[].at"
	Required bool     // wherever what it stands in is given
	Meaning  string   // one or two sentences
	Allowed  []string // the words it may take; nil: not bound
	Kind     string   // "text", "id", "list of steps" …
}

// shared are the types that are described once, for all the keys that hold them.
var shared = []struct {
	name, one, many string
	of              reflect.Type
}{
	{"wrongs", "wrong", "wrongs", reflect.TypeFor[content.Wrong]()},
	{"acts", "act", "acts", reflect.TypeFor[content.Action]()},
	{"limits", "limit", "limits", reflect.TypeFor[content.Limit]()},
	{"causes and controls", "cause", "causes", reflect.TypeFor[content.Cause]()},
}

// Describe returns every key of a procedure file and of a blueprint file: first
// the keys at the top, then section by section, then what several sections share.
func Describe() []Section {
	top := Section{Name: "top"}
	var sections []Section
	for _, k := range content.Keys(reflect.TypeFor[content.Procedure]()) {
		top.Rows = append(top.Rows, row(k, k.Name))
		if t := structOf(k.Type); t != nil {
			sections = append(sections, Section{k.Name, rows(t, "")})
		}
	}
	all := append([]Section{top}, sections...)
	for _, s := range shared {
		all = append(all, Section{s.name, rows(s.of, "")})
	}
	return append(all, Section{"blueprint", rows(reflect.TypeFor[content.Blueprint](), "")})
}

func rows(t reflect.Type, prefix string) []Row {
	var out []Row
	for _, k := range content.Keys(t) {
		out = append(out, row(k, prefix+k.Name))
		inner := structOf(k.Type)
		if inner == nil || isShared(inner) {
			continue
		}
		dot := "."
		if k.Type.Kind() == reflect.Slice {
			dot = "[]."
		}
		out = append(out, rows(inner, prefix+k.Name+dot)...)
	}
	return out
}

func row(k content.Key, path string) Row {
	return Row{Path: path, Required: k.Required, Meaning: meaning[k.ID()], Allowed: content.Allowed(k), Kind: kindOfKey(k)}
}

// structOf is the struct that a key holds, or holds a list of; nil for none.
func structOf(t reflect.Type) reflect.Type {
	for t.Kind() == reflect.Pointer || t.Kind() == reflect.Slice {
		t = t.Elem()
	}
	if content.Scalar(t) {
		return nil
	}
	return t
}

func isShared(t reflect.Type) bool {
	for _, s := range shared {
		if s.of == t {
			return true
		}
	}
	return false
}

// kindOfKey says in a word or two what a key holds.
func kindOfKey(k content.Key) string {
	t, list := k.Type, ""
	for t.Kind() == reflect.Pointer || t.Kind() == reflect.Slice {
		if t.Kind() == reflect.Slice {
			list = "list of "
		}
		t = t.Elem()
	}
	one := map[reflect.Kind]string{reflect.Bool: "true or false", reflect.Int: "whole number", reflect.Float64: "number"}[t.Kind()]
	if one != "" {
		if list != "" {
			one += "s"
		}
		return list + one
	}
	if content.Scalar(t) {
		return scalarKind(k, t, list)
	}
	for _, s := range shared {
		switch {
		case s.of == t && list != "" && k.Name == "controls":
			return "list of controls"
		case s.of == t && list != "":
			return list + s.many
		case s.of == t:
			return s.one
		}
	}
	if list != "" {
		return "list"
	}
	return "keys"
}

// idsElsewhere says what the keys name that name no element of a section.
var idsElsewhere = map[string]string{
	"Layer.on": "layers", "Procedure.prerequisites": "procedures", "Blueprint.procedure": "id of a procedure", "Blueprint.always": "facts",
}

func scalarKind(k content.Key, t reflect.Type, list string) string {
	switch {
	case idsElsewhere[k.ID()] != "":
		return list + idsElsewhere[k.ID()]
	case content.RefersTo(k) != "" && list != "":
		return list + content.RefersTo(k)
	case content.RefersTo(k) != "":
		return "id of a " + strings.TrimSuffix(content.RefersTo(k), "s")
	case k.Name == "id":
		return "id"
	case content.Allowed(k) != nil:
		return "word"
	case parsers[t] != nil:
		return list + strings.ToLower(t.Name())
	case list != "":
		return "list of texts"
	}
	return "text"
}
