// Package drawing draws the figures of items as SVG, by the conventions of
// engineering drawings: thick visible edges, thin hatching at 45° on cut faces,
// chain lines for axes (ISO 128). Figures carry no styles of their own but
// classes; a page needs the patterns of [Defs] once and the style sheet.
package drawing

import (
	"fmt"
	"html"
	"html/template"
	"strings"
)

// Defs are the hatch patterns that all figures of a page share.
const Defs template.HTML = `<svg width="0" height="0" aria-hidden="true" class="defs"><defs>` +
	`<pattern id="metal" width="7" height="7" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><path d="M0 0V7" stroke="currentColor" stroke-width=".9"/></pattern>` +
	`<pattern id="rubber" width="4" height="4" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><path d="M0 0V4M0 0H4" stroke="currentColor" stroke-width=".9"/></pattern>` +
	`<pattern id="body" width="11" height="11" patternUnits="userSpaceOnUse" patternTransform="rotate(-45)"><path d="M0 0V11" stroke="currentColor" stroke-width=".7"/></pattern>` +
	`</defs></svg>`

// svg collects the elements of one figure.
type svg struct{ b strings.Builder }

// open begins a figure of the given size in drawing units, with its text alternative.
func (s *svg) open(w, h int, label string) {
	fmt.Fprintf(&s.b, `<svg class="dw" viewBox="0 0 %d %d" role="img" aria-label="%s">`, w, h, html.EscapeString(label))
}

// openLive begins a figure whose parts are answered on: it is a group of its
// own for a screen reader, not one picture.
func (s *svg) openLive(w, h int, label string) {
	fmt.Fprintf(&s.b, `<svg class="dw" viewBox="0 0 %d %d" role="group" aria-label="%s">`, w, h, html.EscapeString(label))
}

func (s *svg) close() template.HTML {
	s.b.WriteString(`</svg>`)
	return template.HTML(s.b.String()) // every text in it went through escape
}

func (s *svg) raw(format string, a ...any) { fmt.Fprintf(&s.b, format, a...) }

func (s *svg) line(class string, x1, y1, x2, y2 float64) {
	s.raw(`<path class="%s" d="M%s %sL%s %s"/>`, class, num(x1), num(y1), num(x2), num(y2))
}

// text writes a text in lines of at most about wide units, from y downward.
func (s *svg) text(x, y float64, anchor, words string, wide int) {
	for i, l := range wrap(words, wide/7) {
		s.raw(`<text x="%s" y="%s" text-anchor="%s">%s</text>`, num(x), num(y+float64(i)*16), anchor, html.EscapeString(l))
	}
}

// more is how many lines the longest of the texts takes beyond the first.
func more(wide int, texts ...string) int {
	n := 1
	for _, t := range texts {
		n = max(n, len(wrap(t, wide/7)))
	}
	return n - 1
}

// num writes a coordinate with at most one decimal.
func num(v float64) string {
	s := fmt.Sprintf("%.1f", v)
	s = strings.TrimSuffix(s, ".0")
	if s == "-0" {
		return "0"
	}
	return s
}

// wrap breaks a text at spaces into lines of at most n characters, where a word allows it.
func wrap(text string, n int) []string {
	var lines []string
	line := ""
	for _, w := range strings.Fields(text) {
		switch {
		case line == "":
			line = w
		case len([]rune(line))+1+len([]rune(w)) <= n:
			line += " " + w
		default:
			lines = append(lines, line)
			line = w
		}
	}
	return append(lines, line)
}
