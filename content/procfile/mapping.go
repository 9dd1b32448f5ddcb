package procfile

import (
	"fmt"
	"reflect"
	"slices"
	"strings"

	"go.yaml.in/yaml/v4"

	"soloright/content"
)

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
