package content

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
)

// folded is a text as it is compared: case and spacing do not make two texts different.
func folded(s string) string { return strings.ToLower(strings.Join(strings.Fields(s), " ")) }

func sameText(a, b string) bool { return a != "" && folded(a) == folded(b) }

// rightAndWrong checks that nothing is stated both right and wrong; key is the
// list of what is wrong below path.
func (c *checker) rightAndWrong(path, key string, right []string, wrong []Wrong) {
	for i, w := range wrong {
		if slices.ContainsFunc(right, func(r string) bool { return sameText(r, w.Text) }) {
			c.add(join(at(join(path, key), i), "text"), fmt.Sprintf("“%s” is stated both right and wrong", w.Text), "delete it from one of the two lists")
		}
	}
}

// labels are the keys whose text tells one entry of a section from the others
// where people read it; the first that a type has counts.
var labels = []string{"name", "title", "text", "seen", "symptom", "hazard", "source", "what"}

// alike checks that no two entries of a list read the same, unless they hold for
// different builds: in an item they could not be told apart.
func (c *checker) alike(f place) {
	if f.value.Kind() != reflect.Slice || f.value.Type().Elem() == reflect.TypeFor[Wrong]() || f.value.Type().Elem().Kind() != reflect.Struct {
		return
	}
	key := labelOf(f.value.Type().Elem())
	if key == "" || strings.HasPrefix(f.path, "isolation.") {
		return
	}
	first := map[string][]int{}
	for i := range f.value.Len() {
		e := f.value.Index(i)
		label := folded(entryKey(e, key))
		if label == "" {
			continue
		}
		for _, j := range first[label] {
			if meet(buildsOf(e), buildsOf(f.value.Index(j))) {
				c.add(join(at(f.path, i), key), fmt.Sprintf("reads the same as %s", at(f.path, j)), "name what tells them apart, as in “inlet cap” and “outlet cap”")
				break
			}
		}
		first[label] = append(first[label], i)
	}
}

func labelOf(t reflect.Type) string {
	for _, l := range labels {
		if slices.ContainsFunc(Keys(t), func(k Key) bool { return k.Name == l && k.Type.Kind() == reflect.String }) {
			return l
		}
	}
	return ""
}

// buildsOf returns the builds that an entry is bound to; none means all.
func buildsOf(v reflect.Value) []string {
	for _, k := range Keys(v.Type()) {
		if builds, ok := v.Field(k.Index).Interface().([]string); ok && k.Name == "builds" {
			return builds
		}
	}
	return nil
}

// meet reports whether two lists of builds have one in common.
func meet(a, b []string) bool {
	return len(a) == 0 || len(b) == 0 || slices.ContainsFunc(a, func(s string) bool { return slices.Contains(b, s) })
}

// listOf is the path of the list that an entry stands in; of no entry, itself.
func listOf(path string) string {
	if strings.HasSuffix(path, "]") {
		return path[:strings.LastIndex(path, "[")]
	}
	return path
}
