package web

import (
	"fmt"
	"html/template"
	"maps"
	"regexp"
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
		"dated":  dated,
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

var isoDay = regexp.MustCompile(`\b[0-9]{4}-[0-9]{2}-[0-9]{2}\b`)

// dated prints a sentence with its first letter in upper case, in which no day is
// broken over two lines.
func dated(sentence string) template.HTML {
	return template.HTML(isoDay.ReplaceAllString(template.HTMLEscapeString(upperFirst(sentence)), `<span class="nb">$0</span>`)) // escaped before
}
