package procfile

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"go.yaml.in/yaml/v4"
	"go.yaml.in/yaml/v4/plugin/loaderlimits"
)

// deepest is more than any procedure nests; a file beyond it is an attack or a slip.
const deepest = 100

// parse returns the root of the one document in data, or the one error that
// stops the reading: what comes after a syntax error cannot be trusted.
func parse(data []byte) (*yaml.Node, *Error) {
	if bad := characters(data); bad != nil {
		return nil, bad
	}
	loader, err := yaml.NewLoader(bytes.NewReader(data), yaml.WithV4Defaults(),
		yaml.WithPlugin(loaderlimits.New(loaderlimits.DepthValue(deepest))))
	if err != nil {
		return nil, &Error{Line: 1, Column: 1, Message: err.Error()}
	}
	var doc, second yaml.Node
	switch err := loader.Load(&doc); {
	case errors.Is(err, io.EOF):
		return nil, &Error{Line: 1, Column: 1, Message: "the file is empty", Remedy: "write the procedure as FORMAT.md shows"}
	case err != nil:
		return nil, syntax(err)
	}
	switch err := loader.Load(&second); {
	case err == nil:
		return nil, &Error{Line: second.Line, Column: second.Column, Message: "a second document begins here", Remedy: "keep one procedure in one file and take the --- away"}
	case !errors.Is(err, io.EOF):
		return nil, syntax(err)
	}
	return doc.Content[0], nil
}

// characters refuses bytes that are no UTF-8 text, with their place: the library
// reports them without one, or takes them for another encoding.
func characters(data []byte) *Error {
	line, column := 1, 1
	for rest := data; len(rest) > 0; {
		r, n := utf8.DecodeRune(rest)
		switch {
		case r == utf8.RuneError && n == 1:
			return &Error{Line: line, Column: column, Message: "this byte is no text", Remedy: "save the file as UTF-8"}
		case r < ' ' && r != '\n' && r != '\r' && r != '\t', r == 0x7f:
			return &Error{Line: line, Column: column, Message: fmt.Sprintf("the control character U+%04X is not allowed", r), Remedy: "delete it"}
		}
		column++
		if r == '\n' {
			line, column = line+1, 1
		}
		rest = rest[n:]
	}
	return nil
}

// syntax turns the library's error into ours, with what usually mends it.
func syntax(err error) *Error {
	var at *yaml.LoadError
	if !errors.As(err, &at) {
		return &Error{Line: 1, Column: 1, Message: err.Error()}
	}
	e := &Error{Line: max(1, at.Mark.Line), Column: max(1, at.Mark.Column), Message: "not YAML: " + at.Message}
	if at.ContextMsg != "" {
		e.Message += " " + at.ContextMsg
		if at.ContextMark.Line > 0 && at.ContextMark != at.Mark {
			e.Message += fmt.Sprintf(" that begins at line %d, column %d", at.ContextMark.Line, at.ContextMark.Column)
		}
	}
	e.Remedy = mend(at.Message, at.ContextMsg)
	return e
}

// mend says what usually mends a syntax error, by the words of the library's
// message; the last answer fits all.
func mend(message, context string) string {
	for _, m := range []struct{ word, remedy string }{
		{"mapping values", "put a text with a colon and a space in it in quotes"},
		{"cannot start any token", "indent with spaces and not with tabs, and put a text that begins with a sign like @ ` % * & or ! in quotes"},
		{"quoted scalar", "close the quotes, and write a backslash in a text in single quotes"},
		{"flow sequence", "close the [ with a ], with a comma between the entries"},
		{"flow mapping", "close the { with a }, with a comma between the keys"},
		{"unknown anchor", "put a text that begins with * in quotes; aliases are not used here"},
		{"max depth", "close the brackets"},
		{"block mapping", "indent the keys that belong together alike"},
		{"block collection", "indent the entries that belong together alike, each with its hyphen"},
	} {
		if strings.Contains(message, m.word) || strings.Contains(context, m.word) {
			return m.remedy
		}
	}
	return "indent alike what belongs together, and close quotes and brackets"
}
