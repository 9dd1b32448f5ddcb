package procfile

import (
	"encoding"
	"fmt"
	"reflect"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v4"

	"soloright/content"
	"soloright/content/torque"
)

// parsers read the texts that are more than texts.
var parsers = map[reflect.Type]func(string) (any, error){
	reflect.TypeFor[torque.Quantity]():  func(s string) (any, error) { return torque.Parse(s) },
	reflect.TypeFor[torque.Tolerance](): func(s string) (any, error) { return torque.ParseTolerance(s) },
	reflect.TypeFor[content.Date]():     func(s string) (any, error) { return content.ParseDate(s) },
}

// scalar reads one word, number or text.
func (r *reader) scalar(n *yaml.Node, v reflect.Value, k content.Key, path string) {
	if n.Kind != yaml.ScalarNode {
		r.fail(n, path, kindOf(v.Type())+" is wanted, this is "+kind(n), giveOrDelete(k))
		return
	}
	if n.Value == "" {
		r.fail(n, path, "is empty", giveOrDelete(k))
		return
	}
	parse, special := parsers[v.Type()]
	switch {
	case special:
		r.parsed(n, v, k, path, parse)
	case v.CanAddr() && v.Addr().Type().Implements(reflect.TypeFor[encoding.TextUnmarshaler]()):
		r.parsed(n, v, k, path, func(s string) (any, error) {
			p := reflect.New(v.Type())
			err := p.Interface().(encoding.TextUnmarshaler).UnmarshalText([]byte(s))
			return p.Elem().Interface(), err
		})
	default:
		r.basic(n, v, k, path)
	}
}

func (r *reader) parsed(n *yaml.Node, v reflect.Value, k content.Key, path string, parse func(string) (any, error)) {
	got, err := parse(n.Value)
	if err != nil {
		r.fail(n, path, err.Error(), "") // the error says what to write
		return
	}
	v.Set(reflect.ValueOf(got))
}

// basic reads a text, a whole number, a number or true and false. The value is
// kept even when it is of the wrong kind, so that references to it still hold.
func (r *reader) basic(n *yaml.Node, v reflect.Value, k content.Key, path string) {
	ok := false
	switch v.Kind() {
	case reflect.String:
		ok = n.Tag == "!!str" || n.Tag == "!!timestamp"
		v.SetString(n.Value)
	case reflect.Int:
		i, err := strconv.Atoi(n.Value)
		ok = err == nil && n.Tag == "!!int" && strconv.Itoa(i) == n.Value
		v.SetInt(int64(i))
	case reflect.Float64:
		f, err := strconv.ParseFloat(n.Value, 64)
		ok = err == nil && (n.Tag == "!!int" || n.Tag == "!!float") && !strings.ContainsAny(n.Value, "xX_pPiInN")
		v.SetFloat(f)
	case reflect.Bool:
		ok = n.Tag == "!!bool" && (n.Value == "true" || n.Value == "false")
		v.SetBool(n.Value == "true")
	}
	if !ok {
		r.fail(n, path, kindOf(v.Type())+" is wanted, this is "+kind(n), r.instead(n, v.Kind(), k))
	}
}

// instead says how to write the value so that it is of the kind wanted.
func (r *reader) instead(n *yaml.Node, want reflect.Kind, k content.Key) string {
	if want == reflect.String {
		return fmt.Sprintf("put it in quotes: %q", n.Value)
	}
	if n.Style&(yaml.SingleQuotedStyle|yaml.DoubleQuotedStyle) != 0 && (want == reflect.Bool || strings.Trim(n.Value, "0123456789.") == "") {
		return fmt.Sprintf("write %s without quotes", n.Value)
	}
	return "give " + content.Wanted(k)
}

// kind says in plain words what a node is.
func kind(n *yaml.Node) string {
	switch {
	case n.Kind == yaml.SequenceNode:
		return "a list"
	case n.Kind == yaml.MappingNode:
		return "a set of keys"
	case n.Tag == "!!int" || n.Tag == "!!float":
		return "the number " + n.Value
	case n.Tag == "!!bool":
		return "the yes-or-no value " + n.Value
	case n.Tag == "!!null":
		return "nothing"
	}
	return "the text " + strconv.Quote(shortened(n.Value))
}

func shortened(s string) string {
	if r := []rune(s); len(r) > 40 {
		return string(r[:39]) + "…"
	}
	return s
}

func kindOf(t reflect.Type) string {
	switch t.Kind() {
	case reflect.Int:
		return "a whole number"
	case reflect.Float64:
		return "a number"
	case reflect.Bool:
		return "true or false"
	case reflect.Struct:
		return "a single value"
	}
	return "a text"
}
