package procfile

import (
	"fmt"
	"reflect"

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
