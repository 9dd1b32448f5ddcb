package content

import (
	"fmt"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// IDSyntax is the regular expression of an authored id; fact ids and file names
// are made of them.
const IDSyntax = `^[a-z0-9]+(-[a-z0-9]+)*$`

var idSyntax = regexp.MustCompile(IDSyntax)

// More than any procedure needs; beyond it a file is a slip or an attack.
const (
	longestList = 1000
	longestText = 2000 // bytes
)

// fields checks what holds for every key of the same kind, wherever it stands.
func (c *checker) fields(root any) {
	walk(reflect.ValueOf(root), "", func(f place) {
		if c.given(f) {
			c.words(f)
			c.text(f)
			c.list(f)
			c.alike(f)
			c.id(f)
			c.quantity(f)
		}
	})
}

// given reports whether the key has a value, and complains where one is
// required. Numbers and yes-no values always have one.
func (c *checker) given(f place) bool {
	switch {
	case !empty(f.value):
		return true
	case f.Required:
		c.add(f.path, "is missing or empty", "give "+Wanted(f.Key))
	case f.value.Kind() == reflect.Slice && !f.value.IsNil():
		c.add(f.path, "is an empty list", "list something or leave the key out")
	}
	return false
}

func empty(v reflect.Value) bool {
	switch {
	case !v.IsValid():
		return true
	case v.Kind() == reflect.Slice, v.Kind() == reflect.String:
		return v.Len() == 0
	}
	return v.Kind() == reflect.Struct && Scalar(v.Type()) && v.IsZero()
}

func (c *checker) words(f place) {
	allowed := Allowed(f.Key)
	if allowed == nil || f.value.Kind() != reflect.String || slices.Contains(allowed, f.value.String()) {
		return
	}
	remedy := "write one of: " + strings.Join(allowed, ", ")
	if n := Nearest(f.value.String(), allowed); n != "" {
		remedy = fmt.Sprintf("did you mean %s? Allowed: %s", n, strings.Join(allowed, ", "))
	}
	c.add(f.path, fmt.Sprintf("%q is not an allowed word", f.value.String()), remedy)
}

// text checks that texts are one line that prints, without space at the ends.
func (c *checker) text(f place) {
	switch {
	case f.value.Kind() == reflect.String:
		c.line(f.path, f.value.String())
	case f.value.Kind() == reflect.Slice && f.value.Type().Elem().Kind() == reflect.String:
		for i := range f.value.Len() {
			c.line(at(f.path, i), f.value.Index(i).String())
		}
	}
}

func (c *checker) line(path, s string) {
	switch {
	case !utf8.ValidString(s):
		c.add(path, "holds bytes that are no text", "save the file as UTF-8")
	case len(s) > longestText:
		c.add(path, fmt.Sprintf("is %d bytes long", len(s)), fmt.Sprintf("keep a text below %d", longestText))
	case strings.TrimSpace(s) == "":
		c.add(path, "is empty", "write a text or delete it")
	case strings.ContainsAny(strings.TrimRight(s, "\n"), "\n\r"):
		c.add(path, "runs over more than one line", "write it on one line, or begin it with >- to fold the lines into one")
	case strings.TrimSpace(s) != s:
		c.add(path, "begins or ends with space or a line break", "take the space away; begin a folded text with >- and not with >")
	case strings.ContainsFunc(s, unprintable):
		c.add(path, "holds a character that does not print", "type the text again without it")
	}
}

// unprintable tells control characters and the invisible marks that turn the
// direction of writing; narrow and no-break spaces belong in units and print.
func unprintable(r rune) bool { return unicode.IsControl(r) || unicode.Is(unicode.Cf, r) }

func (c *checker) id(f place) {
	if f.Name == "id" && !idSyntax.MatchString(f.value.String()) {
		c.add(f.path, fmt.Sprintf("%q is no id", f.value.String()), "use lower-case letters, digits and single hyphens, as in rod-cup-seal")
	}
}

// list checks that a list says nothing twice: no id, no label that people read,
// no text.
func (c *checker) list(f place) {
	if f.value.Kind() != reflect.Slice {
		return
	}
	if f.value.Len() > longestList {
		c.tooLong = true
		c.add(f.path, fmt.Sprintf("has %d entries", f.value.Len()), fmt.Sprintf("split the procedure: a list may have %d", longestList))
		return
	}
	c.twice(f, entryID, func(path, id string) {
		c.add(path, fmt.Sprintf("the id %q is taken by an entry above", id), "give each entry an id of its own")
	})
	c.twice(f, entryText, func(path, text string) {
		c.add(path, fmt.Sprintf("“%s” stands in this list already", text), "delete one of the two")
	})
}

// twice finds entries of a list that give the same as an entry before them.
func (c *checker) twice(f place, of func(reflect.Value) (key, text string), found func(path, text string)) {
	seen := map[string]bool{}
	for i := range f.value.Len() {
		key, text := of(f.value.Index(i))
		if text == "" {
			continue
		}
		if seen[text] {
			path := at(f.path, i)
			if key != "" {
				path = join(path, key)
			}
			found(path, text)
		}
		seen[text] = true
	}
}

func entryID(v reflect.Value) (string, string) { return "id", entryKey(v, "id") }

// entryText is an entry that is a text, or the text of a thing stated wrong.
func entryText(v reflect.Value) (string, string) {
	if v.Kind() == reflect.String {
		return "", v.String()
	}
	if v.Type() == reflect.TypeFor[Wrong]() {
		return "text", entryKey(v, "text")
	}
	return "", ""
}

// entryKey returns the text under a key of a struct, "" where it has none.
func entryKey(v reflect.Value, key string) string {
	if v.Kind() != reflect.Struct {
		return ""
	}
	for _, k := range Keys(v.Type()) {
		if k.Name == key && k.Type.Kind() == reflect.String {
			return v.Field(k.Index).String()
		}
	}
	return ""
}
