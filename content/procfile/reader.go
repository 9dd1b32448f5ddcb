package procfile

import (
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strings"

	"go.yaml.in/yaml/v4"

	"soloright/content"
)

// reader walks the node tree of a file beside the Go types and fills them in. It
// goes on after an error, so that all are reported at once.
type reader struct {
	file    string
	errs    []Error
	at      map[string]position
	spoiled map[string]bool // paths that were complained about already
}

type position struct{ line, column int }

func newReader(file string) *reader {
	return &reader{file: file, at: map[string]position{}, spoiled: map[string]bool{}}
}

func (r *reader) document(root *yaml.Node, out any) {
	r.at[""] = position{root.Line, root.Column}
	v := reflect.ValueOf(out).Elem()
	r.value(root, v, content.Key{Type: v.Type(), Required: true}, "")
}

// fail reports an error at a node. Whatever is found later at the same path or
// below it follows from it and is not reported.
func (r *reader) fail(n *yaml.Node, path, message, remedy string) {
	r.failAt(position{n.Line, n.Column}, path, message, remedy)
}

func (r *reader) failAt(p position, path, message, remedy string) {
	r.spoiled[path] = true
	r.errs = append(r.errs, Error{File: r.file, Line: p.line, Column: p.column, Path: path, Message: message, Remedy: remedy})
}

// judge adds the problems of a check, each at the place of its path or of the
// nearest key round it, but for those that follow from errors of the reading.
func (r *reader) judge(problems []content.Problem) {
	c := r.consequences()
	for _, p := range problems {
		if !c.follows(p) {
			r.failAt(r.place(p.Path), p.Path, p.Message, p.Remedy)
		}
	}
}

// consequences says what cannot be judged because something could not be read.
type consequences struct {
	spoiled  map[string]bool // what could not be read
	above    map[string]bool // what it stands in
	sections map[string]bool // lists of which an entry or its id could not be read
}

func (r *reader) consequences() consequences {
	c := consequences{spoiled: maps.Clone(r.spoiled), above: map[string]bool{}, sections: map[string]bool{}}
	for path := range r.spoiled {
		c.sections[path] = true
		if entry := strings.TrimSuffix(path, ".id"); strings.HasSuffix(entry, "]") {
			c.sections[parent(entry)] = true
		}
		for p := path; p != ""; p = parent(p) {
			c.above[parent(p)] = true
		}
	}
	return c
}

// follows reports whether a problem stands at, above or below something that
// could not be read, or is a reference into a section that could not.
func (c consequences) follows(p content.Problem) bool {
	for path := p.Path; path != ""; path = parent(path) {
		if c.spoiled[path] {
			return true
		}
	}
	return c.spoiled[""] || c.above[p.Path] || (p.Into != "" && c.sections[p.Into])
}

// place is where a path stands, or the nearest key round it.
func (r *reader) place(path string) position {
	for ; path != ""; path = parent(path) {
		if at, ok := r.at[path]; ok {
			return at
		}
	}
	return r.at[""]
}

// parent cuts the last key or index off a path.
func parent(path string) string {
	return path[:max(0, strings.LastIndexAny(path, ".["))]
}

// value reads a node into a Go value; k is the key that it stands under.
func (r *reader) value(n *yaml.Node, v reflect.Value, k content.Key, path string) {
	if !r.plain(n, k, path) {
		return
	}
	switch t := v.Type(); {
	case t.Kind() == reflect.Pointer:
		p := reflect.New(t.Elem())
		r.value(n, p.Elem(), k, path)
		v.Set(p)
	case content.Scalar(t):
		r.scalar(n, v, k, path)
	case t.Kind() == reflect.Slice:
		r.list(n, v, k, path)
	case t.Kind() == reflect.Struct:
		r.mapping(n, v, k, path)
	default:
		r.fail(n, path, "cannot be read", "leave the key out")
	}
}

// plain refuses what YAML can do and a procedure file has no use for. It
// reports whether there is a value to read.
func (r *reader) plain(n *yaml.Node, k content.Key, path string) bool {
	switch {
	case n.Kind == yaml.AliasNode:
		r.fail(n, path, "aliases are not used here", "write the value out, or put a text that begins with * in quotes")
		return false
	case n.Anchor != "":
		r.fail(n, path, "anchors are not used here", fmt.Sprintf("delete &%s, or put a text that begins with & in quotes", n.Anchor))
	case n.Style&yaml.TaggedStyle != 0:
		r.fail(n, path, "tags are not used here", fmt.Sprintf("delete %s, or put a text that begins with ! in quotes", n.Tag))
		return false
	case n.Kind == yaml.ScalarNode && n.Tag == "!!null":
		r.fail(n, path, "has no value", giveOrDelete(k))
		return false
	}
	return true
}

// ofEntry is the Index of the key that stands for an entry of a list.
const ofEntry = -1

func giveOrDelete(k content.Key) string {
	switch {
	case k.Index == ofEntry:
		return "give " + content.Wanted(k) + ", or delete the entry"
	case k.Required:
		return "give " + content.Wanted(k)
	}
	return "give " + content.Wanted(k) + ", or leave the key out"
}

func (r *reader) list(n *yaml.Node, v reflect.Value, k content.Key, path string) {
	if n.Kind != yaml.SequenceNode {
		r.fail(n, path, "a list is wanted, this is "+kind(n), "write each entry behind a hyphen on a line of its own, or short ones in [ ]")
		return
	}
	v.Set(reflect.MakeSlice(v.Type(), len(n.Content), len(n.Content)))
	entry := content.Key{Owner: k.Owner, Name: k.Name, Type: v.Type().Elem(), Index: ofEntry}
	for i, item := range n.Content {
		p := fmt.Sprintf("%s[%d]", path, i)
		r.at[p] = position{item.Line, item.Column}
		r.value(item, v.Index(i), entry, p)
	}
}

func (r *reader) mapping(n *yaml.Node, v reflect.Value, k content.Key, path string) {
	if n.Kind != yaml.MappingNode {
		r.fail(n, path, "keys with values are wanted, this is "+kind(n), "write it as key: value, with the keys "+strings.Join(names(content.Keys(v.Type())), ", "))
		return
	}
	keys := content.Keys(v.Type())
	seen := map[string]bool{}
	for i := 0; i+1 < len(n.Content); i += 2 {
		if brokenText(n, i, keys) {
			r.fail(n.Content[i], path, fmt.Sprintf("the comma before “%s” ends the text that it belongs to", shortened(n.Content[i].Value)), "put a text with a comma in quotes where it stands in { }")
			continue
		}
		if key := r.key(n.Content[i], keys, seen, path); key != nil {
			r.keyed(n.Content[i], n.Content[i+1], v.Field(key.Index), *key, join(path, key.Name))
		}
	}
	for _, key := range keys {
		if p := join(path, key.Name); key.Required && !seen[key.Name] && !r.spoiled[p] {
			r.failAt(r.at[path], p, "is missing", fmt.Sprintf("add %s: and give %s", key.Name, content.Wanted(key)))
		}
	}
}

// brokenText reports whether entry i of a mapping is the rest of a text that a
// comma broke in two: {text: Ease it, then wait} has a key "then wait" without a
// value. It is the commonest slip in these files.
func brokenText(n *yaml.Node, i int, keys []content.Key) bool {
	key, value := n.Content[i], n.Content[i+1]
	return n.Style&yaml.FlowStyle != 0 && key.Kind == yaml.ScalarNode && value.Kind == yaml.ScalarNode &&
		value.Tag == "!!null" && value.Value == "" && !slices.Contains(names(keys), key.Value)
}

// keyed reads the value under a key. Errors of a list or of keys are shown at
// the key above them, those of a single value at the value.
func (r *reader) keyed(key, n *yaml.Node, v reflect.Value, k content.Key, path string) {
	r.at[path] = position{key.Line, key.Column}
	if n.Kind == yaml.ScalarNode {
		r.at[path] = position{n.Line, n.Column}
	}
	r.value(n, v, k, path)
}

// key finds the key that a node names, or reports why it names none.
func (r *reader) key(n *yaml.Node, keys []content.Key, seen map[string]bool, path string) *content.Key {
	p := join(path, n.Value)
	switch {
	case n.Kind != yaml.ScalarNode:
		r.failAt(position{n.Line, n.Column}, join(path, "?"), "a key must be a word", "write key: value")
		return nil
	case n.Tag == "!!merge":
		r.fail(n, p, "merge keys are not used here", "write the keys out")
		return nil
	case n.Anchor != "" || n.Style&yaml.TaggedStyle != 0:
		r.fail(n, p, "a key takes no anchor and no tag", "write the key alone")
		return nil
	case seen[n.Value]:
		r.fail(n, p, "this key stands here already", "delete one of the two")
		return nil
	}
	i := slices.IndexFunc(keys, func(k content.Key) bool { return k.Name == n.Value })
	if i < 0 {
		r.unknown(n, keys, p, path)
		return nil
	}
	seen[n.Value] = true
	return &keys[i]
}

// unknown reports a key that is not known. The key that was probably meant is
// not reported as missing as well.
func (r *reader) unknown(n *yaml.Node, keys []content.Key, p, path string) {
	remedy := "the keys here are " + strings.Join(names(keys), ", ")
	if near := content.Nearest(n.Value, names(keys)); near != "" {
		remedy = fmt.Sprintf("did you mean %s?", near)
		r.spoiled[join(path, near)] = true
	}
	r.fail(n, p, "this key is not known", remedy)
}

func names(keys []content.Key) []string {
	out := make([]string, len(keys))
	for i, k := range keys {
		out[i] = k.Name
	}
	return out
}

func join(path, key string) string {
	if path == "" {
		return key
	}
	return path + "." + key
}
