package web

import (
	"fmt"
	"html/template"
	"maps"
	"unicode"
	"unicode/utf8"

	"soloright/content"
	"soloright/web/drawing"
)

// funcs are the functions that templates may call.
func (f *Face) funcs() template.FuncMap {
	all := template.FuncMap{
		"phases": func() []content.Phase { return content.Phases },
		"upper":  upperFirst,
		"zones":  zones,
		"defs":   func() template.HTML { return drawing.Defs },
	}
	maps.Copy(all, lessonFuncs())
	return all
}

// upperFirst prints a value with its first letter in upper case.
func upperFirst(v any) string {
	s := fmt.Sprint(v)
	r, n := utf8.DecodeRuneInString(s)
	if n == 0 {
		return s
	}
	return string(unicode.ToUpper(r)) + s[n:]
}

// zones are the reference letters or numbers on the edge of a drawing sheet:
// letters from the top without I and O, numbers from the left, after ISO 5457.
func zones(kind string) []string {
	if kind == "letters" {
		return []string{"A", "B", "C", "D"}
	}
	return []string{"1", "2", "3", "4", "5", "6"}
}
