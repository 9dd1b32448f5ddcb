package web

import (
	"fmt"
	"net/url"
	"slices"
	"strings"

	"golang.org/x/net/html"
)

// lint says what is wrong with a page: rules that hold for every page, most of
// them after WCAG 2.2 (page titled 2.4.2, language 3.1.1, labels 1.3.1 and 3.3.2,
// names 4.1.2, text alternatives 1.1.1) and the page's own security policy.
func lint(doc *html.Node) []string {
	var wrong []string
	say := func(format string, a ...any) { wrong = append(wrong, fmt.Sprintf(format, a...)) }
	for _, n := range elements(doc, "html") {
		if lang, _ := attr(n, "lang"); lang != "en" {
			say("lang is %q", lang)
		}
	}
	if t := elements(doc, "title"); len(t) != 1 || !strings.HasSuffix(textOf(t[0]), " · Soloright") || strings.HasPrefix(textOf(t[0]), "·") {
		say("%d titles, or one that says nothing", len(t))
	}
	if h := elements(doc, "h1"); len(h) != 1 || textOf(h[0]) == "" {
		say("%d h1", len(h))
	}
	level := 1
	for _, h := range elements(doc, "h1", "h2", "h3", "h4") {
		if n := int(h.Data[1] - '0'); n > level+1 {
			say("%q is a %s after an h%d", textOf(h), h.Data, level)
		} else {
			level = n
		}
	}
	wrong = append(wrong, lintIDs(doc)...)
	for _, n := range elements(doc) {
		wrong = append(wrong, lintElement(n)...)
	}
	return wrong
}

// lintIDs: no id twice, and what refers to an id finds it.
func lintIDs(doc *html.Node) []string {
	var wrong []string
	ids := map[string]int{}
	for _, n := range elements(doc) {
		if id, ok := attr(n, "id"); ok {
			ids[id]++
			if ids[id] == 2 {
				wrong = append(wrong, "id "+id+" twice")
			}
		}
	}
	labels := map[string]bool{}
	for _, n := range elements(doc) {
		for _, ref := range []string{"for", "aria-labelledby", "aria-describedby"} {
			if id, ok := attr(n, ref); ok && ids[id] == 0 {
				wrong = append(wrong, fmt.Sprintf("%s refers to the id %q, which is not there", ref, id))
			} else if ok && ref == "for" {
				labels[id] = true
			}
		}
		if href, _ := attr(n, "href"); n.Data == "a" && strings.HasPrefix(href, "#") && ids[href[1:]] == 0 {
			wrong = append(wrong, href+" leads nowhere")
		}
	}
	for _, n := range elements(doc, "input", "select", "textarea") {
		kind, _ := attr(n, "type")
		id, _ := attr(n, "id")
		if kind != "hidden" && !labels[id] && !within(n, "label") {
			name, _ := attr(n, "name")
			wrong = append(wrong, "control "+name+" has no label")
		}
	}
	return wrong
}

func within(n *html.Node, name string) bool {
	for p := n.Parent; p != nil; p = p.Parent {
		if p.Data == name {
			return true
		}
	}
	return false
}

func lintElement(n *html.Node) []string {
	var wrong []string
	say := func(format string, a ...any) { wrong = append(wrong, fmt.Sprintf(format, a...)) }
	for _, a := range n.Attr {
		if a.Key == "style" || strings.HasPrefix(a.Key, "on") {
			say("<%s %s=…> is inline", n.Data, a.Key)
		}
		if slices.Contains([]string{"src", "href", "action"}, a.Key) && !ours(a.Val) {
			say("<%s %s=%q> leads to another host", n.Data, a.Key, a.Val)
		}
	}
	hidden, _ := attr(n, "aria-hidden")
	label, _ := attr(n, "aria-label")
	switch n.Data {
	case "script":
		if src, _ := attr(n, "src"); src == "" || n.FirstChild != nil {
			say("an inline script")
		}
	case "style", "img", "iframe", "object":
		say("a <%s>", n.Data)
	case "svg":
		if hidden != "true" && label == "" {
			say("a drawing without a text alternative")
		}
	case "button", "a", "legend", "label", "summary", "th", "option":
		if textOf(n) == "" && label == "" {
			say("an empty <%s>", n.Data)
		}
	case "form":
		if method, _ := attr(n, "method"); method != "post" && method != "get" {
			say("a form with the method %q", method)
		}
	case "nav":
		if label == "" {
			say("a nav without a name")
		}
	case "fieldset":
		if first := elements(n)[0]; first.Data != "legend" {
			say("a fieldset without a legend")
		}
	}
	return wrong
}

// ours reports whether an address is one of this server.
func ours(to string) bool {
	u, err := url.Parse(to)
	return err == nil && u.Scheme == "" && u.Host == "" && (strings.HasPrefix(to, "/") || strings.HasPrefix(to, "#"))
}
