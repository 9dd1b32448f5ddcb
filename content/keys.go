package content

import (
	"encoding"
	"reflect"
	"strings"
	"sync"
)

// Key is one key of a procedure file: a field of one of the types of this package.
type Key struct {
	Name     string       // "load_steps"
	Owner    reflect.Type // the struct that has it
	Type     reflect.Type // of its value
	Index    int          // of the field in Owner
	Required bool         // its json tag has no omitempty
}

// ID names the key among all types, "Joint.load_steps"; that of an entry of a
// list, which has no owner, is its name.
func (k Key) ID() string {
	if k.Owner == nil {
		return k.Name
	}
	return k.Owner.Name() + "." + k.Name
}

// Keys returns the keys of a struct type in the order of its fields. It is the
// one place that knows how a Go field becomes a key: reading, checking, the JSON
// Schema and the page for trainers all go by it, so a new field needs no other
// code. The list is shared: nobody may change it.
func Keys(t reflect.Type) []Key {
	if known, ok := keysOf.Load(t); ok {
		return known.([]Key)
	}
	known, _ := keysOf.LoadOrStore(t, makeKeys(t))
	return known.([]Key)
}

// keysOf keeps the keys of each type: they are asked for at every value.
var keysOf sync.Map

func makeKeys(t reflect.Type) []Key {
	var out []Key
	for i := range t.NumField() {
		f := t.Field(i)
		name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
		if !f.IsExported() || name == "-" {
			continue
		}
		if name == "" {
			name = strings.ToLower(f.Name)
		}
		out = append(out, Key{Name: name, Owner: t, Type: f.Type, Index: i, Required: options != "omitempty"})
	}
	return out
}

// Scalar reports whether a value of the type stands in a file as one word or
// text: it reads and writes itself as text, or is no list and no struct.
func Scalar(t reflect.Type) bool {
	if t.Implements(textMarshaler) {
		return true
	}
	switch t.Kind() {
	case reflect.Slice, reflect.Pointer:
		return false
	case reflect.Struct:
		return len(Keys(t)) == 0
	}
	return true
}

var textMarshaler = reflect.TypeFor[encoding.TextMarshaler]()

// place is a key with its value in one procedure.
type place struct {
	Key
	path  string
	value reflect.Value // pointers followed; not valid where there is none
}

// walk visits every key that the value has, outside in, those that are missing
// from it included. Elements of lists are visited through their keys.
func walk(v reflect.Value, path string, visit func(place)) {
	for v.Kind() == reflect.Pointer {
		v = v.Elem()
	}
	switch {
	case !v.IsValid() || Scalar(v.Type()):
		return
	case v.Kind() == reflect.Slice:
		for i := range v.Len() {
			walk(v.Index(i), at(path, i), visit)
		}
	case v.Kind() == reflect.Struct:
		for _, k := range Keys(v.Type()) {
			f := v.Field(k.Index)
			for f.Kind() == reflect.Pointer {
				f = f.Elem()
			}
			visit(place{k, join(path, k.Name), f})
			walk(f, join(path, k.Name), visit)
		}
	}
}

func join(path, key string) string {
	if path == "" {
		return key
	}
	return path + "." + key
}
